"""What stays in the yard as simple upright bodies: houses up to their eaves, trees as a stem and a crown."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, isnan, pi, sin

from lynchet.ground.surface import level_at
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed
from lynchet.project.model import Fixed, House

_UNDER_M = 0.5
"""How far a house's body goes below its floor, so that it stands in the ground."""
_STEM_M = 0.2
_STEM_SHARE = 0.35
"""Of a tree's height under its crown. PRACTICE."""
_SIDES = 12
Point = tuple[float, float]


def stays(plan: Plan) -> Iterator[Placed]:
    """Houses whose eaves the file says, trees whose height and crown it says; nothing is guessed for the rest."""
    for n, house in enumerate(plan.project.houses, start=1):
        if house.eaves_m is not None:
            yield _house(plan, house, n)
    for thing in plan.project.fixed:
        if thing.kind == "tree" and thing.height_m is not None and thing.crown_m is not None:
            yield from _tree(plan, thing)


def _house(plan: Plan, house: House, n: int) -> Placed:
    floor = house.floor_m if house.floor_m is not None else min(_ground(plan, point) for point in house.outline_m)
    eaves = floor + (house.eaves_m or 0.0)
    return Placed(f"house {n}", "house", house.name, house.outline_m, floor - _UNDER_M, eaves)


def _tree(plan: Plan, tree: Fixed) -> Iterator[Placed]:
    x, y = tree.line_m[0]
    foot, height = _ground(plan, (x, y)), tree.height_m or 0.0
    low, half = foot + _STEM_SHARE * height, (tree.stem_m or _STEM_M) / 2.0
    square = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    yield Placed(f"{tree.id}/stem", "stem", tree.name, square, foot, low)
    radius = (tree.crown_m or 0.0) / 2.0
    turns = [2.0 * pi * k / _SIDES for k in range(_SIDES)]
    ring = tuple((x + radius * cos(turn), y + radius * sin(turn)) for turn in turns)
    yield Placed(f"{tree.id}/crown", "crown", tree.name, ring, low, foot + height)


def _ground(plan: Plan, point: Point) -> float:
    """Level of the measured ground; far off it that of its nearest edge."""
    found = float(level_at(plan.ground.surface, [point], 1e6)[0])
    return plan.ground.lowest_m if isnan(found) else found
