"""What stands one over another in each column: how much of a height solids take up, each place counted once."""

from __future__ import annotations

import sys
from functools import cached_property

import numpy as np

from lynchet.earth.rows import Array, Flags, Index
from lynchet.earth.solids import MATERIALS, ROOM, Solids

_FIRM = tuple(MATERIALS.index(name) for name in ("timber", "ties", "steps"))
_PIPES, _STONE = MATERIALS.index("pipes"), MATERIALS.index("stone")


class Stack:
    """Bottoms and tops of solids, by column and then from the deepest up."""

    def __init__(
        self,
        solids: Solids,
        met: tuple[Index, Index],
        places: tuple[Array, Array],
        columns: int,
        compiled: bool = True,
    ) -> None:
        """Look at the solids met in each column.

        Args:
            solids: what lies in the ground.
            met: (solid, column) of every solid a column goes through.
            places: x and y of every column.
            columns: how many there are.
            compiled: heights by compiled code where numba is loaded already; else the same in NumPy.
        """
        self.compiled = compiled
        solid, column = met
        x, y = places[0][column], places[1][column]
        bottom, top = (levels_on(planes, solid, (x, y)) for planes in (solids.bottom, solids.top))
        rooms = np.flatnonzero(solid >= len(solids.bottom) - len(solids.reach)) if len(solids.reach) else ()
        if len(rooms):
            room = solid[rooms] - len(solids.bottom)
            bottom[rooms] = np.clip(bottom[rooms], *solids.reach[room].T)
            top[rooms] = -np.inf
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
        """(columns,) highest top; minus infinity where no solid is met, room beside one being none."""
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
        out = np.zeros((2, self.columns, len(MATERIALS)))
        levels, count = (low, middle, high), self.columns
        firm = self.material <= max(_FIRM)
        each = self._sums(firm, (self.column * len(_FIRM) + self.material, count * len(_FIRM)), levels)
        out[..., : len(_FIRM)] = each.reshape(2, count, len(_FIRM))
        with_pipes = firm | (self.material == _PIPES)
        for which, wanted in ((_PIPES, with_pipes), (_STONE, self.material < ROOM)):
            whole = self._sums(wanted, (self.column, count), levels)
            out[..., which] = np.maximum(whole - across(out), 0.0)
        return out[0], out[1]

    def _sums(self, wanted: Flags, slots: tuple[Index, int], levels: tuple[Array, Array, Array]) -> Array:
        """(2, slots) height each wanted solid adds to those before it, under and over the middle level."""
        apart_m = self.high_m - self.low_m + float(np.ptp(levels[2])) + 100.0
        entries = self.column, self.bottom, self.top
        if self.compiled and "numba" in sys.modules:  # loading it takes longer than a whole first look
            try:
                from lynchet.earth.stack_compiled import once_sums
            except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
                pass
            else:
                return np.asarray(once_sums(entries, wanted, slots, levels, self.low_m, apart_m))
        return plain_sums(entries, wanted, slots, levels, self.low_m, apart_m)


def plain_sums(
    entries: tuple[Index, Array, Array],
    wanted: Flags,
    slots: tuple[Index, int],
    levels: tuple[Array, Array, Array],
    lowest_m: float,
    apart_m: float,
) -> Array:
    """As ``stack_compiled.once_sums``, in NumPy."""
    column, (low, middle, high), (slot, count) = entries[0][wanted], levels, slots
    bottom, top = (np.clip(one[wanted], low[column], high[column]) for one in entries[1:])
    apart = column * apart_m
    reached = np.maximum.accumulate(top - lowest_m + apart) - apart + lowest_m
    start = bottom.copy()
    start[1:] = np.maximum(bottom[1:], np.where(column[1:] == column[:-1], reached[:-1], -np.inf))
    between = middle[column]
    under, over = np.minimum(top, between) - start, top - np.maximum(start, between)
    return np.stack([np.bincount(slot[wanted], np.maximum(one, 0.0), count) for one in (under, over)])


def levels_on(planes: Array, number: Index, at: tuple[Array, Array]) -> Array:
    """(n,) levels of planes a x + b y + c, given by number, at plan places."""
    a, b, c = (np.ascontiguousarray(part)[number] for part in planes.T)
    return np.asarray(a * at[0] + b * at[1] + c, dtype=float)


def across(materials: Array) -> Array:
    """(..., materials) summed over the materials: one column of numbers after another, quicker than row by row."""
    return np.asarray(sum(materials[..., number] for number in range(materials.shape[-1])), dtype=float)


def _firsts(column: Index) -> Index:
    """Where each column begins in a sorted array of them."""
    if not len(column):
        return np.empty(0, dtype=np.intp)
    return np.flatnonzero(np.concatenate([[True], column[1:] != column[:-1]]))
