"""The bands behind a wall in a cut: fill in lifts, bed soil, mulch; drain stone is drawn over them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from lynchet.drawings.model import Area, Item, Line
from lynchet.drawings.section_data import Cutting, Ground, Interval
from lynchet.works.rates import LAYER_MM

Point = tuple[float, float]
_LEAST_M = 0.02
_LEAST_LIFT_MM = 4.0
"""Nearer lines of lifts than this on paper are left out."""


def band_items(found: Cutting, ground: Ground, n: int, scale: int) -> Iterable[Item]:
    """Fill with its lifts, bed soil and mulch of one bed.

    Args:
        found: what is cut.
        ground: the bed, from behind the wall that holds it.
        n: for ids.
        scale: 1 : n of the picture.
    """
    (start, level), (end, _) = ground.points
    planted = [(max(a, start), min(b, end)) for a, b in ground.planted if min(b, end) - max(a, start) > _LEAST_M]
    top = level - found.bands.lowered_m
    under = top - found.bands.soil_m
    for k, ring in enumerate(_filled(found, (start, end), _floor(planted, level, under))):
        yield Area(id=f"fill-{n:03d}-{k}", layer="tones", rings=(ring,), fill="fill", hatch="fill",
                   hatch_role="earth", key="fill", of=ground.face)  # fmt: skip
        if LAYER_MM / scale >= _LEAST_LIFT_MM:
            yield from _lifts(f"fill-{n:03d}-{k}", ring)
    for k, (a, b) in enumerate(planted):
        soil = ((a, under), (b, under), (b, top), (a, top))
        yield Area(id=f"soil-bed-{n:03d}-{k}", layer="tones", rings=(soil,), fill="bed", hatch="bed soil",
                   key="bed soil", of=ground.face)  # fmt: skip
        if found.bands.mulch_m > 0:
            over = top + found.bands.mulch_m
            mulch = ((a, top), (b, top), (b, over), (a, over))
            yield Area(id=f"soil-mulch-{n:03d}-{k}", layer="tones", rings=(mulch,), fill="mulch", key="mulch",
                       of=ground.face)  # fmt: skip


def _floor(planted: list[Interval], level: float, under: float) -> list[tuple[float, float, float]]:
    """Up to what level the ground is filled, along the bed: under the soil where planted, else to the top."""
    marks = [-1e9, *(at for part in sorted(planted) for at in part), 1e9]
    return [(a, b, under if n % 2 else level) for n, (a, b) in enumerate(pairwise(marks)) if b > a]


def _filled(found: Cutting, bed: Interval, floor: list[tuple[float, float, float]]) -> list[tuple[Point, ...]]:
    """Outlines between the ground before and what the fill reaches up to, the ground being the lower."""
    from shapely import unary_union
    from shapely.geometry import Polygon, box

    stations = sorted({*bed, *(s for s, _ in found.before if bed[0] < s < bed[1])})
    deep = min(found.before_at(s) for s in stations) - 10.0
    line = [(s, found.before_at(s)) for s in stations]
    ground = Polygon([(bed[0], deep), *line, (bed[1], deep)])
    tops = [box(max(a, bed[0]), deep, min(b, bed[1]), level) for a, b, level in floor]
    shape: Any = unary_union(tops).difference(ground, grid_size=1e-6)
    return [
        tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
        for part in getattr(shape, "geoms", [shape])
        if part.geom_type == "Polygon" and part.area > 1e-4
    ]


def _lifts(name: str, ring: tuple[Point, ...]) -> Iterable[Item]:
    """A dashed line at the top of every layer that is tamped."""
    from shapely.geometry import LineString, Polygon

    shape, low, high = Polygon(ring).buffer(0), min(z for _, z in ring), max(z for _, z in ring)
    left, right = min(x for x, _ in ring), max(x for x, _ in ring)
    lift = LAYER_MM / 1000.0
    for n in range(1, int((high - low - 0.03) / lift) + 1):
        cut = shape.intersection(LineString(((left, low + n * lift), (right, low + n * lift))))
        for k, part in enumerate(getattr(cut, "geoms", [cut])):
            if part.geom_type == "LineString":
                for a, b in pairwise(part.coords):
                    yield Line(id=f"{name}-lift-{n:02d}-{k}", layer="tones", z=1, pts=((a[0], a[1]), (b[0], b[1])),
                               pen="hair", dash="hidden", role="earth")  # fmt: skip
