"""What stands one over another in each column: how much of a height solids take up, each place counted once."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lynchet.earth.rows import Array, Index
from lynchet.earth.solids import MATERIALS, ROOM, Solids

_FIRM = tuple(MATERIALS.index(name) for name in ("timber", "ties", "steps"))
_PIPES, _STONE = MATERIALS.index("pipes"), MATERIALS.index("stone")


class Stack:
    """Bottoms and tops of solids, by column and then from the deepest up."""

    def __init__(self, solids: Solids, met: tuple[Index, Index], places: tuple[Array, Array], columns: int) -> None:
        """Look at the solids met in each column.

        Args:
            solids: what lies in the ground.
            met: (solid, column) of every solid a column goes through.
            places: x and y of every column.
            columns: how many there are.
        """
        solid, column = met
        x, y = places[0][column], places[1][column]
        bottom, top = ((plane[:, 0] * x + plane[:, 1] * y + plane[:, 2]) for plane in
                       (solids.bottom[solid], solids.top[solid]))  # fmt: skip
        self.low_m = float(bottom.min(initial=0.0)) if len(bottom) else 0.0
        self.high_m = float(max(top.max(initial=-np.inf), self.low_m)) if len(top) else 0.0
        order = np.argsort(column * (self.high_m - self.low_m + 1.0) + (bottom - self.low_m), kind="stable")
        self.solid, self.column = solid[order], column[order]
        self.bottom, self.top = bottom[order], top[order]
        self.material = solids.material[self.solid]
        self.dug = solids.dug[self.solid]
        self.columns = columns

    @cached_property
    def _begins(self) -> Index:
        """Where each column that meets a solid begins in the arrays."""
        return _firsts(self.column)

    def deepest(self) -> tuple[Array, Index]:
        """(columns,) lowest bottom to be dug to, infinite where there is none, and its solid, -1.

        Where a trench is there already, what lies no deeper in it wants no digging.
        """
        if not self.dug.any():
            return self._lowest(self._begins)
        fresh, there = (np.flatnonzero(part) for part in (~self.dug, self.dug))
        level, solid = self._lowest(fresh[_firsts(self.column[fresh])])
        reached = self._lowest(there[_firsts(self.column[there])])[0]
        done = level > reached - 1e-6
        level[done], solid[done] = np.inf, -1
        return level, solid

    def _lowest(self, entries: Index) -> tuple[Array, Index]:
        """(columns,) bottoms and solids of some entries, one for a column at most."""
        level, solid = np.full(self.columns, np.inf), np.full(self.columns, -1, dtype=np.intp)
        level[self.column[entries]] = self.bottom[entries]
        solid[self.column[entries]] = self.solid[entries]
        return level, solid

    def highest(self) -> Array:
        """(columns,) highest top; minus infinity where no solid is met."""
        level = np.full(self.columns, -np.inf)
        if len(self._begins):
            level[self.column[self._begins]] = np.maximum.reduceat(self.top, self._begins)
        return level

    def taken(self, low: Array, middle: Array, high: Array) -> tuple[Array, Array]:
        """Height taken up by each material between two levels, where several meet by the first of: timber, pipe, stone.

        Args:
            low, middle, high: (columns,) levels.

        Returns:
            (columns, materials) between low and middle, and between middle and high.
        """
        parts = [np.zeros((self.columns, len(MATERIALS))) for _ in range(2)]
        firm = self.material <= max(_FIRM)
        column, material = self.column[firm], self.material[firm]
        for out, part in zip(parts, self._once(firm, low, middle, high), strict=True):
            sums = np.bincount(column * len(_FIRM) + material, part, self.columns * len(_FIRM))
            out[:, : len(_FIRM)] = sums.reshape(self.columns, len(_FIRM))
        with_pipes = firm | (self.material == _PIPES)
        for which, wanted in ((_PIPES, with_pipes), (_STONE, self.material < ROOM)):
            column = self.column[wanted]
            for out, part in zip(parts, self._once(wanted, low, middle, high), strict=True):
                whole = np.bincount(column, part, self.columns)
                out[:, which] = np.maximum(whole - out.sum(axis=1), 0.0)
        return parts[0], parts[1]

    def _once(self, wanted: NDArray[np.bool_], low: Array, middle: Array, high: Array) -> tuple[Array, Array]:
        """Height each wanted solid adds to those before it in its column, under and over the middle level."""
        column = self.column[wanted]
        bottom = np.clip(self.bottom[wanted], low[column], high[column])
        top = np.clip(self.top[wanted], low[column], high[column])
        apart = column * (self.high_m - self.low_m + float(np.ptp(high)) + 100.0)
        reached = np.maximum.accumulate(top - self.low_m + apart) - apart + self.low_m
        start = bottom.copy()
        start[1:] = np.maximum(bottom[1:], np.where(column[1:] == column[:-1], reached[:-1], -np.inf))
        between = middle[column]
        return np.maximum(np.minimum(top, between) - start, 0.0), np.maximum(top - np.maximum(start, between), 0.0)


def _firsts(column: Index) -> Index:
    """Where each column begins in a sorted array of them."""
    if not len(column):
        return np.empty(0, dtype=np.intp)
    return np.flatnonzero(np.concatenate([[True], column[1:] != column[:-1]]))
