"""Upright faces where the finished ground steps from one level to another and no wall timber stands in between."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

Plane = tuple[float, float, float]
Part = tuple[Any, Plane]
"""A polygon and the plane it lies on."""
Corner = tuple[float, float, float]
LEAST_M = 1e-3
"""A lower step is none."""
_OFF_M, _TIMBER_M = 2e-4, 2e-3


def upright_faces(parts: Sequence[Part], timber: Any) -> Iterator[tuple[Corner, Corner, Corner]]:
    """Triangles that close the ground between parts that meet at different levels.

    Args:
        parts: the ground, none over another.
        timber: (shapely) where timber of walls stands, which closes it there.
    """
    import shapely

    shapes = [shape for shape, _ in parts]
    tree = shapely.STRtree(shapes)
    stands = shapely.buffer(timber, _TIMBER_M, join_style="mitre")
    shapely.prepare(stands)
    noded = shapely.union_all(shapely.boundary(shapes))
    for line in shapely.get_parts(shapely.difference(noded, stands)):
        points = [(float(x), float(y)) for x, y in line.coords]
        for here, there in pairwise(points):
            sides = _sides(here, there, parts, tree)
            if sides is not None:
                yield from _between(here, there, *sides)


def _sides(
    here: tuple[float, float], there: tuple[float, float], parts: Sequence[Part], tree: Any
) -> tuple[Plane, Plane] | None:
    """The planes on both sides of a piece of border; None where there is ground on one side alone."""
    import shapely

    along = (there[0] - here[0], there[1] - here[1])
    long = (along[0] ** 2 + along[1] ** 2) ** 0.5
    if long < LEAST_M:
        return None
    x, y = (here[0] + there[0]) / 2.0, (here[1] + there[1]) / 2.0
    off = (-along[1] / long * _OFF_M, along[0] / long * _OFF_M)
    found = []
    for hand in (1.0, -1.0):
        hit = tree.query(shapely.Point(x + hand * off[0], y + hand * off[1]), predicate="intersects")
        if not len(hit):
            return None
        found.append(parts[int(hit[0])][1])
    return found[0], found[1]


def _between(
    here: tuple[float, float], there: tuple[float, float], one: Plane, other: Plane
) -> Iterator[tuple[Corner, Corner, Corner]]:
    """The upright face between two planes over a piece of border: two triangles that share a corner or a side."""
    (a, b), (c, d) = ((_on(plane, here), _on(plane, there)) for plane in (one, other))
    first, last = a[2] - c[2], b[2] - d[2]
    if max(abs(first), abs(last)) < LEAST_M:
        return
    if first * last < 0.0:  # they cross on the way
        share = first / (first - last)
        x, y = here[0] + share * (there[0] - here[0]), here[1] + share * (there[1] - here[1])
        met = _on(one, (x, y))
        yield a, c, met
        yield b, met, d
        return
    if abs(first) > 0.0:
        yield a, c, b
    if abs(last) > 0.0:
        yield b, c, d


def _on(plane: Plane, point: tuple[float, float]) -> Corner:
    return (*point, plane[0] * point[0] + plane[1] * point[1] + plane[2])
