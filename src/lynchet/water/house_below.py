"""Houses the beds lie above: the water that runs over the lowest walls must not run to them."""

from __future__ import annotations

from collections.abc import Sequence
from math import dist, hypot

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.plane import dot, minus
from lynchet.project.things import House
from lynchet.terraces.model import OUTSIDE
from lynchet.units.format import flow as flow_text
from lynchet.units.format import length as length_text
from lynchet.units.format import small as small_text
from lynchet.water.beside import TopWater
from lynchet.water.house_fall import COUNTED_M, needed_fall_m
from lynchet.water.yard import Point, Yard

_LOOK_M = 10.0
"""A house farther off is not looked at. PRACTICE."""
_LEAST_SLOPE = 0.01
"""Ground flatter than this is not taken to lead water anywhere. PRACTICE."""
_WITHIN = 0.5
"""Cosine of the angle to the steepest way down within which water is taken to run (60 degrees). PRACTICE."""
_AT_ONCE_M = 0.02
"""A house nearer than this touches the beds: the fall of the ground beside it has a check of its own."""


def below_findings(yard: Yard, waters: Sequence[TopWater]) -> list[Finding]:
    """Houses to which rain runs that comes over the lowest walls.

    Args:
        yard: the earlier results.
        waters: where each bench spills.
    """
    if not yard.project.houses or not any(yard.terraces.fall):
        return []
    spills = _spills(yard, waters)
    found = []
    for house in yard.project.houses:
        flow_l_s = sum(flow for point, flow in spills if _runs_to(yard, house, point))
        if flow_l_s > 0:
            found.append(_finding(yard, house, flow_l_s))
    return found


def _spills(yard: Yard, waters: Sequence[TopWater]) -> list[tuple[Point, float]]:
    """Where water leaves the beds over a rim, and how much in all: what falls on a lower bed goes on from there."""
    by_face = {one.face: one for one in waters}
    found = []
    for one in waters:
        last, seen = one, {one.face}
        while last.onto in by_face and last.onto not in seen:
            last = by_face[last.onto]
            seen.add(last.face)
        if last.onto == OUTSIDE and last.over:
            found.append((yard.walls.leg(last.over).point_at(last.station_m), one.flow_l_s))
    return found


def _nearest(yard: Yard, house: House, point: Point | None = None) -> tuple[Point, Point]:
    """From the beds, or from a place, to the nearest point of a house."""
    import shapely

    start = yard.outline if point is None else shapely.Point(point)
    a, b = shapely.get_coordinates(shapely.shortest_line(start, shapely.Polygon(house.outline_m))).tolist()
    return (a[0], a[1]), (b[0], b[1])


def _falls_m(yard: Yard, start: Point, end: Point) -> float:
    """How much the ground falls between two places; beyond the readings as the yard does on the whole."""
    a, b = (float(level) for level in yard.level_at([start, end]))
    return a - b if a == a and b == b else -dot(minus(end, start), yard.terraces.fall)


def _runs_to(yard: Yard, house: House, point: Point) -> bool:
    """Whether water let go at a place runs to a house: it lies near, downhill, and lower by the lie of the ground."""
    start, end = _nearest(yard, house, point)
    away, uphill = dist(start, end), yard.terraces.fall
    if not _AT_ONCE_M < away <= _LOOK_M or -dot(minus(end, start), uphill) < _WITHIN * away * hypot(*uphill):
        return False
    return _falls_m(yard, start, end) > _LEAST_SLOPE * away


def _finding(yard: Yard, house: House, flow_l_s: float) -> Finding:
    """A question to the building office where the house stands within what the code counts, else a care."""
    units = yard.project.units
    start, end = _nearest(yard, house)
    away = max(dist(start, end), 1e-3)
    falls = _falls_m(yard, start, end)
    near = away <= COUNTED_M
    needed = needed_fall_m(min(away, COUNTED_M), hard=False)
    name = house.name or "the house"
    text = (
        f"The ground falls from the beds to {name}, {length_text(away, units)} away: {flow_text(flow_l_s, units)} of "
        f"water that the beds cannot take in the design rain runs over the lowest walls and on to it."
    )
    if near:
        text += (
            f" Beside a house the ground should fall away from it, {small_text(needed, units)} here; where there "
            "is no room for that, a drain or a swale (a shallow ditch) between must lead the water past the house. "
            "None is in this plan: ask the building office which it must be, and lay it before the walls."
        )
    else:
        text += " Cut a swale (a shallow ditch) between that leads it past the house."
    cure = Cure("swale-at-house", "a drain or a swale between beds and house, falling 1 in 50 to a place beside it")
    return Finding(
        "water.house_below", Verdict.ASK if near else Verdict.WATCH, text, house.name, demand=needed, capacity=-falls,
        unit="m", source="International Residential Code R401.3 (local code governs)", ask="office" if near else "",
        cures=(cure,), working=("grade_from_house", (("fall_m", -falls), ("distance_m", away))),
    )  # fmt: skip
