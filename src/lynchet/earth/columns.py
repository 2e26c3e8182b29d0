"""What is dug, put in and taken up by timber, stone and pipes, column by column under a finished yard.

The plan is cut along rows into short pieces; under the middle of each the ground, the finished level and every solid
are looked at upright. A column is dug to the lowest of its bed soil, its solids and its topsoil, once, whatever lies
in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lynchet.earth.finishes import ALONE, BANK, BED, LANDING, STEP, STRIP, Finish
from lynchet.earth.rows import Array, Flags, Index, Pieces, Rings, Rows, chords, met, only, pieces_of, rings_of
from lynchet.earth.solids import Solids
from lynchet.earth.stack import Stack, across, levels_on
from lynchet.ground.model import Surface
from lynchet.ground.surface import beyond

STEP_M = 0.20
"""Width of the strip each row stands for. Rows lie aslant to every wall, so that narrow trenches are met evenly: a
tenth of it changes no volume of a yard by more than 1 %."""
SMALL_M2 = 4.0
"""Rows lie half as far apart where a bed is smaller: few of them meet it, and one of 0.9 m2 got an eighth too much
soil."""
PIECE_M = 0.5
_SAME_M = 0.005
"""Where the finished level is so close to the ground, nothing is done."""


@dataclass(frozen=True)
class Depths:
    """Depths of the layers."""

    topsoil_m: float
    bed_soil_m: float
    lowered_m: float = 0.0
    """By how much the soil of a bed lies under its finished level, to make room for deep mulch."""


@dataclass(frozen=True, eq=False)
class Columns:
    """One entry per column; heights in metres, to be multiplied by ``area_m2``."""

    area_m2: Array
    ground_m: Array
    finish_m: Array
    face_m: Array
    """Level of the bed the column lies in, whatever goes over it; NaN outside the beds."""
    finish: Index
    """Number of its finish; -1 for none."""
    face: Index
    """Number of the bed's own finish; -1 outside the beds."""
    solid: Index
    """Number of its deepest solid; -1 for none."""
    planted: Flags
    mulched: Flags
    topsoil_m: Array
    """Topsoil taken off."""
    bench_m: Array
    """Dug for the finished level and the bed soil, topsoil not counted."""
    trench_m: Array
    """Dug deeper for a solid."""
    fill_m: Array
    """Soil put in and tamped."""
    laid_m: Array
    """Bed soil or topsoil laid on top."""
    taken_m: Array
    """(n, materials) taken up by each material within what is dug and filled."""

    @property
    def dug_m(self) -> Array:
        """All that is dug."""
        return self.topsoil_m + self.bench_m + self.trench_m


def columns_of(
    surface: Surface,
    finishes: Sequence[Finish],
    solids: Solids,
    rows: Rows,
    depths: Depths,
    fall: tuple[float, float] = (0.0, 0.0),
) -> Columns:
    """Every column under the finishes and solids.

    Args:
        surface: the ground.
        finishes: in the order in which they go over one another, at least one.
        solids: what lies in the ground.
        rows: over all of it.
        depths: of the layers.
        fall: gradient (uphill) with which the ground goes on where nobody measured it.
    """
    over, within = chords(rings_of([finish.rings for finish in finishes]), rows), chords(solids.rings, rows)
    pieces = pieces_of([over, within], rows, PIECE_M)
    (finish, here), (solid, there) = met(over, pieces, rows), met(within, pieces, rows)
    used = np.zeros(len(pieces.row), dtype=np.bool_)
    alone = np.array([one.kind == ALONE for one in finishes])
    used[here[~alone[finish]]] = used[there] = True
    pieces, number = only(pieces, used)
    kept = used[here]
    places = rows.places(pieces.row, 0.5 * (pieces.start + pieces.end))
    ground = _ground(surface, rows, pieces, places)
    off = np.isnan(ground)
    if off.any():
        ground[off] = beyond(surface, np.column_stack(places)[off], fall)
    top = _top(finishes, (finish[kept], number[here[kept]]), places, ground)
    stack = Stack(solids, (solid, number[there]), places, len(ground))
    return _dug((pieces.end - pieces.start) * rows.step_m, ground, top, stack, depths)


def _ground(surface: Surface, rows: Rows, pieces: Pieces, places: tuple[Array, Array]) -> Array:
    """Ground level at the middle of every piece; NaN off the measured ground."""
    corners = surface.points[surface.triangles, :2]
    u, v = rows.turned(corners)
    near = (v.max(axis=1) > rows.first_v) & (v.min(axis=1) < rows.first_v + rows.count * rows.step_m)
    near &= (u.max(axis=1) > rows.least_u) & (u.min(axis=1) < rows.least_u + rows.length_m)
    triangles, planes = corners[near], surface.planes[near]
    owner = np.repeat(np.arange(len(triangles), dtype=np.intp), 3)
    sides = Rings(triangles.reshape(-1, 2), np.roll(triangles, -1, axis=1).reshape(-1, 2), owner, len(triangles))
    found = chords(sides, rows)
    keys = rows.key(found.row, found.start)
    order = np.argsort(keys, kind="stable")
    x, y = places
    levels = np.full(len(x), np.nan)
    if len(order):
        middle = 0.5 * (pieces.start + pieces.end)
        at = np.searchsorted(keys[order], rows.key(pieces.row, middle), side="right") - 1
        chord = order[np.maximum(at, 0)]
        on = (at >= 0) & (found.row[chord] == pieces.row) & (found.end[chord] >= middle - 1e-9)
        levels[on] = levels_on(planes, found.owner[chord[on]], (x[on], y[on]))
    return levels


@dataclass(frozen=True, eq=False)
class _Top:
    finish: Index
    face: Index
    kind: Index
    """Of the finish; -1 for none."""
    finish_m: Array
    face_m: Array


def _top(finishes: Sequence[Finish], found: tuple[Index, Index], places: tuple[Array, Array], ground: Array) -> _Top:
    """Which finish each column has, and its level."""
    number, column = found
    x, y = places
    kinds = np.array([one.kind for one in finishes], dtype=np.intp)
    planes = np.array([one.level for one in finishes])
    names = {name: i for i, name in enumerate(dict.fromkeys(one.place for one in finishes))}
    place = np.array([names[one.place] for one in finishes], dtype=np.intp)
    finish, face = (np.full(len(ground), -1, dtype=np.intp) for _ in range(2))
    beds = kinds[number] == BED
    face[column[beds]] = finish[column[beds]] = number[beds]
    over = (kinds[number] > BED) & (kinds[number] < BANK)
    at_home = (kinds[number] == STEP) | (place[number] == np.where(face[column] >= 0, place[face[column]], -1))
    over &= at_home
    finish[column[over]] = number[over]
    free = finish < 0
    over_beds = free | (kinds[finish] <= STRIP)
    alone = kinds[number] == ALONE
    free[column[alone]] = over_beds[column[alone]] = False
    ends = np.array([one.over for one in finishes])[number]
    bank = np.flatnonzero((kinds[number] == BANK) & np.where(ends, over_beds[column], free[column]))
    level = (planes[number[bank], :2] * np.column_stack([x, y])[column[bank]]).sum(axis=1) + planes[number[bank], 2]
    raised = np.array([one.raised for one in finishes])[number[bank]]
    lies = ends[bank] | (raised * (level - ground[column[bank]]) > 0.0)
    finish[column[bank[lies]]] = number[bank[lies]]
    kind = np.where(finish >= 0, kinds[finish], -1)
    finish_m = np.where(finish >= 0, levels_on(planes, finish, places), ground)
    return _Top(finish, face, kind, finish_m, np.where(face >= 0, planes[face, 2], np.nan))


def _dug(area: Array, ground: Array, top: _Top, stack: Stack, depths: Depths) -> Columns:
    first, solid = stack.deepest()
    planted, bank, step = top.kind == BED, top.kind == BANK, top.kind == STEP
    raised = top.finish_m - ground
    bank &= np.abs(raised) > _SAME_M
    outside = (top.finish < 0) & (first < ground)
    surface = np.where(planted, top.finish_m - depths.lowered_m, top.finish_m)
    layer = np.where(planted, depths.bed_soil_m, np.where(bank | outside, depths.topsoil_m, 0.0))
    under = surface - layer
    bare = planted | step | bank | ((raised > _SAME_M) & (top.kind <= LANDING) & (top.kind > BED))
    bench = np.minimum(ground, under)
    bench = np.where(bare, np.minimum(bench, ground - depths.topsoil_m), bench)
    dug = np.minimum(bench, first)
    off_bench = np.minimum(depths.topsoil_m, ground - bench)
    off = np.minimum(depths.topsoil_m, ground - dug)
    below, above = stack.taken(dug, under, surface)
    standing = stack.highest() > surface - 1e-6
    return Columns(
        area_m2=area,
        ground_m=ground,
        finish_m=top.finish_m,
        face_m=top.face_m,
        finish=top.finish,
        face=top.face,
        solid=solid,
        planted=planted,
        mulched=planted & ~standing,
        topsoil_m=off,
        bench_m=ground - bench - off_bench,
        trench_m=bench - dug - (off - off_bench),
        fill_m=np.maximum(under - dug - across(below), 0.0),
        laid_m=np.maximum(layer - across(above), 0.0),
        taken_m=below + above,
    )
