"""Pipes that run through the ground of beds: how much soil lies over them where a spade turns it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, dist
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Finding, Verdict
from lynchet.terraces.model import Terraces
from lynchet.units.format import small
from lynchet.units.measures import System
from lynchet.water.model import Drain, SolidPipe
from lynchet.water.told_points import is_drop

Point = tuple[float, float]
Array = NDArray[np.float64]
_LEAST_M = 0.10
"""A shorter piece of pipe in a bed is none. PRACTICE."""
_STEP_M = 0.1
_OUT_M = 0.005
SPADE_M = 0.30
"""What a spade or a fork reaches, however deep the beds are meant to be dug: its blade is about 12 in. PRACTICE."""
_MARK_IT = (
    "Mark the line on the walls and on the planting plan: no spade and no fork within {kept} of it, a hand trowel only."
)
TRENCH_M = 0.30
"""Width of a trench for a pipe alone: as wide as a spade digs. PRACTICE."""
STUB_M = 0.5
"""So much pipe lies in the trench of its wall, and is told with the drain it comes from."""


class _Pipe(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def points_m(self) -> tuple[Point, ...]: ...
    @property
    def inverts_m(self) -> tuple[float, ...]: ...
    @property
    def bore_m(self) -> float: ...
    @property
    def outside_m(self) -> float: ...


@dataclass(frozen=True)
class UnderBed:
    """One pipe in one bed."""

    pipe: str
    """Its id."""
    bed: str
    terrace: int
    length_m: float
    cover_m: float
    """Least soil over its crown, where it comes through a wall and drops not counted."""
    out_m: float
    """By how much its crown stands out of the bed beside that wall; 0 where it does not."""
    deepest_m: float
    """From the finished bed down to the pipe's underside, where it lies deepest."""
    least_m: float
    """Least soil over its crown anywhere in the bed, beside that wall too; below 0 where it stands out."""
    section_m2: float = 0.0
    """Length times the depth of its underside under the finished bed."""
    in_stone: bool = False
    """A drain, in the stone behind its wall."""

    def by_wall(self, dig_depth_m: float) -> bool:
        """Whether a spade reaches it beside the wall it comes through alone, before it drops."""
        return self.cover_m >= max(dig_depth_m, SPADE_M) - 1e-9

    def shown_m(self, dig_depth_m: float) -> float:
        """The soil told: that over its run, else that beside the wall."""
        return self.least_m if self.by_wall(dig_depth_m) else self.cover_m


@dataclass(frozen=True)
class _Places:
    """Middles of short pieces of pipes, in order."""

    at_m: Array
    """(n, 2)"""
    invert_m: Array
    way_m: Array
    runs: NDArray[np.bool_]
    """Beyond all drops, where it runs to its end."""
    pipe: NDArray[np.intp]
    """Number of the pipe each is of."""


def pipes_under_beds(terraces: Terraces, pipes: Sequence[_Pipe], *, in_stone: bool = False) -> tuple[UnderBed, ...]:
    """Every pipe in every bed it runs through, in the order of the pipes.

    Args:
        terraces: for the beds.
        pipes: without holes; or drains, if ``in_stone``, of which no part is a drop.
        in_stone: whether they are drains.
    """
    import shapely

    if not pipes:
        return ()
    places = _places(pipes)
    found: list[tuple[int, UnderBed]] = []
    for bed in terraces.beds:
        inside = np.flatnonzero(shapely.contains_xy(bed.polygon, places.at_m))
        if not len(inside):
            continue
        level, owner = bed.level_m, places.pipe[inside]
        for first, last in pairwise([0, *(np.flatnonzero(owner[1:] != owner[:-1]) + 1).tolist(), len(inside)]):
            mine = inside[first:last]
            number, way, runs = int(places.pipe[mine[0]]), places.way_m[mine], places.runs[mine] | in_stone
            long = float(way.sum())
            if long < _LEAST_M:
                continue
            pipe = pipes[number]
            wall = (pipe.outside_m - pipe.bore_m) / 2
            deep = level - places.invert_m[mine] + wall
            covers = deep - pipe.outside_m
            run, least = float(covers[runs].min() if runs.any() else covers.max()), float(covers.min())
            section = float((way * np.maximum(deep, 0.0)).sum())
            found.append((number, UnderBed(pipe.id, bed.id, bed.terrace, long, run, max(0.0, -least),
                                           float(deep.max()), least, section, in_stone)))  # fmt: skip
    found.sort(key=lambda one: one[0])
    return tuple(one for _, one in found)


def trench_m3(under: Sequence[UnderBed], bed_soil_m: float) -> float:
    """Dug for pipes away from the trench of their wall, from the ground as it is until its bed soil comes, last.

    Args:
        under: pipes in beds.
        bed_soil_m: depth of that soil.
    """
    return sum(TRENCH_M * max(0.0, one.section_m2 - one.length_m * bed_soil_m)
               for one in under if one.length_m > STUB_M)  # fmt: skip


def _places(pipes: Sequence[_Pipe]) -> _Places:
    """Short pieces of pipes."""
    rows: list[tuple[float, float, float, float, float, float, int, bool, int]] = []
    for number, pipe in enumerate(pipes):
        parts = [
            (a, b, high, low, dist(a, b))
            for (a, b), (high, low) in zip(pairwise(pipe.points_m), pairwise(pipe.inverts_m), strict=True)
        ]
        last = max((n for n, (_, _, high, low, way) in enumerate(parts) if is_drop(way, high - low)), default=-1)
        rows += [(*a, *b, high, low, max(1, ceil(way / _STEP_M)), n > last, number)
                 for n, (a, b, high, low, way) in enumerate(parts)]  # fmt: skip
    ax, ay, bx, by, high, low, count, runs, pipe_of = np.array(rows, dtype=float).reshape(-1, 9).T
    counts = count.astype(np.intp)
    part = np.repeat(np.arange(len(counts)), counts)
    share = (np.arange(len(part)) - np.repeat(np.cumsum(counts) - counts, counts) + 0.5) / count[part]
    dx, dy = bx - ax, by - ay
    at = np.column_stack([ax[part] + share * dx[part], ay[part] + share * dy[part]])
    return _Places(at, high[part] + share * (low - high)[part], (np.hypot(dx, dy) / count)[part], runs[part] > 0,
                   pipe_of[part].astype(np.intp))  # fmt: skip


def reached(
    terraces: Terraces, drains: Sequence[Drain], solids: Sequence[SolidPipe], under: Sequence[UnderBed],
    dig_depth_m: float,
) -> list[UnderBed]:  # fmt: skip
    """Pipes of every kind that a spade can reach in a bed.

    Args:
        terraces: for the beds.
        drains, solids: behind the walls, and what takes their water away.
        under: pipes without holes in beds: those, roof pipes and cut-off drains.
        dig_depth_m: depth the beds are dug to; a spade goes to ``SPADE_M`` at least.
    """
    under = (*under, *pipes_under_beds(terraces, drains, in_stone=True))
    found = shallow(under, max(dig_depth_m, SPADE_M))
    with_drain = {solid.id: solid.drain for solid in solids}
    told = {(one.pipe, one.bed) for one in found if one.in_stone}
    return [one for one in found
            if one.length_m > STUB_M or (with_drain.get(one.pipe), one.bed) not in told]  # fmt: skip


def shallow(under: Sequence[UnderBed], depth_m: float) -> list[UnderBed]:
    """Those with less soil over them somewhere than a depth."""
    return [one for one in under if one.least_m < depth_m - 1e-9]


def under_findings(
    under: Sequence[UnderBed], told: Sequence[UnderBed], dig_depth_m: float, units: System
) -> list[Finding]:
    """One finding for each bed dug down to a pipe, one for all that only a spade reaches, one for what stands out.

    A pipe lies as deep as its end allows: what is told cannot be laid deeper. It takes care where the bed is dug to it,
    as the file says; else it is told for whoever digs deeper all the same.

    Args:
        under: every pipe without holes in every bed.
        told: what a spade can reach.
        dig_depth_m: depth the beds are dug to.
        units: of the file.
    """
    beds = {bed: [one for one in told if one.bed == bed] for bed in dict.fromkeys(one.bed for one in told)}
    least = {bed: min(one.least_m for one in mine) for bed, mine in beds.items()}
    said = {bed: enumerated(list(_said(mine, dig_depth_m, units))) for bed, mine in beds.items()}
    dug = [bed for bed in beds if least[bed] < dig_depth_m - 1e-9]
    found = [
        _in_bed(Verdict.WATCH, bed, (dig_depth_m, least[bed]),
                f"In bed {bed}, dug {small(dig_depth_m, units)} deep, lies {said[bed]}: as deep as the way out allows. "
                f"{_MARK_IT.format(kept=kept_words(units))}")
        for bed in dug
    ]  # fmt: skip
    spaded = [bed for bed in beds if bed not in dug]
    if spaded:
        listed = "; ".join(f"in bed {bed} {said[bed]}" for bed in spaded)
        text = (
            f"A spade goes {kept_words(units)} deep, deeper than the beds are dug. It reaches {listed}: as deep as the "
            f"way out allows. {_MARK_IT.format(kept=kept_words(units))}"
        )
        found.append(_in_bed(Verdict.OK, spaded[0], (dig_depth_m, min(least[bed] for bed in spaded)), text))
    bare = [one for one in under if one.out_m > _OUT_M]
    if bare:
        out = ", ".join(f"{one.pipe} in bed {one.bed} ({small(one.out_m, units)})" for one in bare)
        text = (
            f"Where it comes through the wall, before it drops, this stands out of the soil: {out}. Heap soil over it."
        )
        found.append(Finding("water.pipe_out_of_bed", Verdict.OK, text, bare[0].bed, source="PRACTICE"))
    return found


def _said(told: Sequence[UnderBed], dig_depth_m: float, units: System) -> Iterator[str]:
    """ "P1 with 100 mm of soil over it"; what lies deeper but beside the wall it comes through is told there."""
    for one in told:
        soil = f"{small(one.shown_m(dig_depth_m), units)} of soil" if one.shown_m(dig_depth_m) > _OUT_M else "no soil"
        where = ", in its stone," if one.in_stone else " beside the wall" if one.by_wall(dig_depth_m) else ""
        yield f"{one.pipe}{where} with {soil} over it"


def _in_bed(verdict: Verdict, bed: str, dug_and_cover_m: tuple[float, float], text: str) -> Finding:
    deep, cover = dug_and_cover_m
    return Finding(
        "water.pipe_in_bed", verdict, text, bed, demand=deep, capacity=cover, unit="m", source="PRACTICE",
        cause="water.pipe_in_bed",
    )  # fmt: skip


def kept_words(units: System) -> str:
    """How far spade and fork keep off on either side, and how deep they go. PRACTICE."""
    return "12 in" if units == "us" else "300 mm"
