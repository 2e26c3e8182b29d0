"""Pipes without holes that run through the ground of beds: how much soil lies over them where a spade turns it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, dist

from lynchet.core.findings import Finding, Verdict
from lynchet.terraces.model import Terraces
from lynchet.units.format import small
from lynchet.units.measures import System
from lynchet.water.model import SolidPipe
from lynchet.water.told_points import is_drop

Point = tuple[float, float]
_LEAST_M = 0.10
"""A shorter piece of pipe in a bed is none. PRACTICE."""
_STEP_M = 0.1
_OUT_M = 0.005


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


@dataclass(frozen=True)
class _Place:
    """A short piece of a pipe."""

    at: Point
    invert_m: float
    way_m: float
    runs: bool
    """Beyond all drops, where it runs to its end."""


def pipes_under_beds(terraces: Terraces, solids: Sequence[SolidPipe]) -> tuple[UnderBed, ...]:
    """Every pipe without holes in every bed it runs through, in the order of the pipes."""
    import shapely

    beds = [(bed, bed.polygon) for bed in terraces.beds]
    found = []
    for solid in solids:
        wall, places = (solid.outside_m - solid.bore_m) / 2, _places(solid)
        dots = shapely.points([place.at for place in places])
        for bed, shape in beds:
            mine = [one for one, yes in zip(places, shapely.contains(shape, dots).tolist(), strict=True) if yes]
            long = sum(one.way_m for one in mine)
            if long < _LEAST_M:
                continue
            covers = [(bed.level_m - one.invert_m - (solid.outside_m - wall), one.runs) for one in mine]
            run = [cover for cover, runs in covers if runs] or [max(cover for cover, _ in covers)]
            out = max(0.0, -min(cover for cover, _ in covers))
            deepest = max(bed.level_m - one.invert_m for one in mine) + wall
            found.append(UnderBed(solid.id, bed.id, bed.terrace, long, min(run), out, deepest))
    return tuple(found)


def _places(solid: SolidPipe) -> list[_Place]:
    """Middles of short pieces of a pipe, in order."""
    parts = list(zip(pairwise(solid.points_m), pairwise(solid.inverts_m), strict=True))
    drops = [n for n, ((a, b), (high, low)) in enumerate(parts) if is_drop(dist(a, b), high - low)]
    found = []
    for number, ((a, b), (high, low)) in enumerate(parts):
        count = max(1, ceil(dist(a, b) / _STEP_M))
        for n in range(count):
            s = (n + 0.5) / count
            at = (a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1]))
            runs = not drops or number > drops[-1]
            found.append(_Place(at, high + s * (low - high), dist(a, b) / count, runs))
    return found


def shallow(under: Sequence[UnderBed], dig_depth_m: float) -> list[UnderBed]:
    """Those a spade can reach."""
    return [one for one in under if one.cover_m < dig_depth_m - 1e-9]


def under_findings(under: Sequence[UnderBed], dig_depth_m: float, units: System) -> list[Finding]:
    """One finding for each bed with a pipe that a spade can reach, and one for what stands out beside walls.

    A pipe lies as deep as its end allows: what is told cannot be laid deeper.

    Args:
        under: every pipe in every bed.
        dig_depth_m: depth the beds are dug to.
        units: of the file.
    """
    found = []
    reached = shallow(under, dig_depth_m)
    for bed in dict.fromkeys(one.bed for one in reached):
        mine = [one for one in reached if one.bed == bed]
        told = " and ".join(f"{one.pipe} with {_cover(one, units)}" for one in mine)
        text = (
            f"In bed {bed}, dug {small(dig_depth_m, units)} deep, lies {told}: as deep as the way out allows. Mark "
            f"the line on the walls and on the planting plan: no spade and no fork within {kept_words(units)} of "
            "it, a hand trowel only."
        )
        least = min(one.cover_m for one in mine)
        found.append(
            Finding(
                "water.pipe_in_bed", Verdict.WATCH, text, bed, demand=dig_depth_m, capacity=least, unit="m",
                source="PRACTICE", cause="water.pipe_in_bed",
            )
        )  # fmt: skip
    bare = [one for one in under if one.out_m > _OUT_M]
    if bare:
        told = ", ".join(f"{one.pipe} in bed {one.bed} ({small(one.out_m, units)})" for one in bare)
        text = (
            f"Where it comes through the wall, before it drops, this stands out of the soil: {told}. Heap soil over it."
        )
        found.append(Finding("water.pipe_out_of_bed", Verdict.OK, text, bare[0].bed, source="PRACTICE"))
    return found


def kept_words(units: System) -> str:
    """How far spade and fork keep off on either side. PRACTICE."""
    return "12 in" if units == "us" else "300 mm"


def _cover(one: UnderBed, units: System) -> str:
    """ "100 mm of soil over it"."""
    return f"{small(one.cover_m, units)} of soil over it" if one.cover_m > _OUT_M else "no soil over it"
