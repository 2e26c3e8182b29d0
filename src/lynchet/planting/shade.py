"""What throws shade, as upright screens in the own frame: walls, houses, trees, fences, whatever has a height.

A height nobody gave is never guessed: such a thing has a lowest form (not there) and a highest (as tall as such things
get), and the sun lies between. Screens reach down without end: nothing shines through under them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from lynchet.core.frame import Point
from lynchet.core.quick import quick
from lynchet.core.same import Same
from lynchet.ground.model import Ground, Surface
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.project.things import Fixed, House, LotLine
from lynchet.walls.carried import stands_at
from lynchet.walls.model import Leg, Walls

Array = NDArray[np.float64]
Segment = tuple[float, float, float, float]
TALLEST_M = {"house": 12.0, "tree": 30.0, "fence": 2.5, "wall": 3.0, "other": 5.0}
"""As tall as such things get where nobody gave a height. PRACTICE."""
WIDEST_CROWN_M = 12.0
"""Crown of a tree of which nothing is known. PRACTICE."""
_ALIKE_M = 0.02
_DEEP_M = 1000.0
_REACH_M = 1e6


@quick
@dataclass(frozen=True)
class Shade:
    """Upright screens with a top; the lowest and the highest it may be."""

    what: str
    """In the words of the file; "" for our own walls."""
    segments: tuple[Segment, ...]
    low_m: float
    high_m: float
    write: str = ""
    """Key that would settle the height; empty where it is known."""


def shades(project: Project, ground: Ground, walls: Walls) -> list[Shade]:
    """Everything that throws shade."""
    found = list(_walls(walls))
    found += _on_walls(project, walls)
    return [*found, *_staying(project.houses, project.fixed, project.lot_lines, Same(ground.surface))]


@lru_cache(maxsize=8)
def _staying(
    houses: tuple[House, ...], things: tuple[Fixed, ...], lines: tuple[LotLine, ...], surface: Same[Surface]
) -> tuple[Shade, ...]:
    """Of what is there; kept by value from plan to plan of a yard."""
    ground = surface.thing
    found = [shade for house in houses for shade in _house(house, ground)]
    found += [shade for thing in things for shade in _fixed(thing, ground)]
    for line in lines:
        if line.height_m is not None or line.trust == "fence":
            base, write = _ground(ground, line.line_m), "" if line.height_m is not None else "height"
            low, high = (line.height_m,) * 2 if line.height_m is not None else (0.0, TALLEST_M["fence"])
            if high > 0:
                found.append(Shade(line.name, _sides(line.line_m), base + low, base + high, write))
    return tuple(found)


def screens_of(found: Sequence[Shade], highest: bool) -> Array:
    """(m, 6) x1, y1, x2, y2, base, top of all shades at their lowest or their highest."""
    tops = [(shade, shade.high_m if highest else shade.low_m) for shade in found]
    rows = [(*segment, top - _DEEP_M, top) for shade, top in tops for segment in shade.segments]
    return np.array(rows, dtype=float).reshape(-1, 6)


def _walls(walls: Walls) -> Iterator[Shade]:
    """Standing timber, its middle line, neighbouring stretches of one top in one."""
    for leg in walls.legs:
        for start, end, top in _tops(leg, walls):
            yield Shade("", (_middle(leg, start, end),), top, top)


def _tops(leg: Leg, walls: Walls) -> list[tuple[float, float, float]]:
    found: list[tuple[float, float, float]] = []
    for segment in leg.segments:
        runs = walls.runs_of(leg.id, segment.top)
        if not runs:
            continue
        top = max(run.top_m for run in runs)
        if found and abs(found[-1][2] - top) < _ALIKE_M and segment.start_m - found[-1][1] < _ALIKE_M:
            found[-1] = (found[-1][0], segment.end_m, max(top, found[-1][2]))
        else:
            found.append((segment.start_m, segment.end_m, top))
    return found


def _middle(leg: Leg, start_m: float, end_m: float) -> Segment:
    a, b = leg.point_at(start_m, leg.thickness_m / 2.0), leg.point_at(end_m, leg.thickness_m / 2.0)
    return (*a, *b)


def _on_walls(project: Project, walls: Walls) -> Iterator[Shade]:
    """Fences on or behind walls; what one looks through or over (rails, seats, caps, tubs) is left out."""
    for thing in project.on_wall:
        if thing.kind != "fence":
            continue
        known = thing.height_m > 0
        high = thing.height_m if known else TALLEST_M["fence"]
        for leg in walls.legs:
            if stands_at(thing, leg):
                for start, end, top in _tops(leg, walls):
                    name = f"fence on {leg.id}"
                    low = top + (high if known else 0.0)
                    yield Shade(name, (_middle(leg, start, end),), low, top + high, "" if known else "height")


def _house(house: House, ground: Surface) -> Iterator[Shade]:
    """Its walls up to the eaves, and the ridge along its longer axis."""
    base = house.floor_m if house.floor_m is not None else _ground(ground, house.outline_m)
    sides = _sides((*house.outline_m, house.outline_m[0]))
    if house.eaves_m is None:
        top = max(TALLEST_M["house"], house.ridge_m or 0.0)
        yield Shade(house.name, sides, base - _DEEP_M, base + top, "eaves")
        return
    yield Shade(house.name, sides, base + house.eaves_m, base + house.eaves_m)
    if house.ridge_m is not None and house.ridge_m > house.eaves_m:
        yield Shade(house.name, (_long_axis(house.outline_m),), base + house.ridge_m, base + house.ridge_m)


def _fixed(thing: Fixed, ground: Surface) -> Iterator[Shade]:
    base = _ground(ground, thing.line_m)
    if thing.kind == "tree":
        yield from _tree(thing, base)
        return
    if thing.kind in ("service", "septic", "well") or len(thing.line_m) < 2:
        return  # under the ground, or thin
    line = (*thing.line_m, thing.line_m[0]) if thing.closed else thing.line_m
    if thing.height_m is not None:
        yield Shade(thing.name, _sides(line), base + thing.height_m, base + thing.height_m)
    elif thing.kind in ("wall", "other"):
        yield Shade(thing.name, _sides(line), base, base + TALLEST_M[thing.kind], "height")


def _tree(tree: Fixed, base: float) -> Iterator[Shade]:
    """Three screens crossing at the stem, in leaf and solid to the ground: from no side narrower than 0.87 crowns."""
    known = tree.height_m is not None and tree.crown_m is not None
    radius = (tree.crown_m if tree.crown_m is not None else WIDEST_CROWN_M) / 2.0
    top = base + (tree.height_m if tree.height_m is not None else TALLEST_M["tree"])
    write = "" if known else "height and crown" if tree.height_m is None and tree.crown_m is None else (
        "height" if tree.height_m is None else "crown"
    )  # fmt: skip
    segments = tuple(
        (x - radius * cos(a), y - radius * sin(a), x + radius * cos(a), y + radius * sin(a))
        for x, y in tree.line_m
        for a in (0.0, pi / 3.0, 2.0 * pi / 3.0)
    )
    yield Shade(tree.name, segments, top if known else base - _DEEP_M, top, write)


def _sides(line: Sequence[Point]) -> tuple[Segment, ...]:
    return tuple((*a, *b) for a, b in pairwise(line) if hypot(b[0] - a[0], b[1] - a[1]) > 1e-6)


def _ground(ground: Surface, points: Sequence[Point]) -> float:
    """Highest ground at these points; that of the nearest reading where they lie off the measured ground."""
    return float(np.max(level_at(ground, points, reach_m=_REACH_M)))


def _long_axis(outline: Sequence[Point]) -> Segment:
    """Between the middles of the two short sides of the narrowest box round an outline."""
    import shapely

    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shapely.Polygon(outline)))[:4]
    sides = np.hypot(*(np.roll(box, -1, axis=0) - box).T)
    first = int(sides[0] > sides[1])  # number of a short side
    a = (box[first] + box[first + 1]) / 2.0
    b = (box[(first + 2) % 4] + box[(first + 3) % 4]) / 2.0
    return float(a[0]), float(a[1]), float(b[0]), float(b[1])
