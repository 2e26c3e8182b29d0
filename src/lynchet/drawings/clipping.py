"""Lines and areas cut at an upright box, in paper mm."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from lynchet.drawings.paper import Box

Point = tuple[float, float]
Path = tuple[Point, ...]


def _inside(points: Path, box: Box) -> bool:
    left, top, right, bottom = box
    return all(left <= x <= right and top <= y <= bottom for x, y in points)


def clip_line(points: Path, box: Box) -> tuple[Path, ...]:
    """The parts of a line of straight parts inside a box, in order along it."""
    if _inside(points, box):
        return (points,)
    parts: list[list[Point]] = []
    for a, b in pairwise(points):
        cut = _clip_part(a, b, box)
        if cut is None:
            continue
        if parts and parts[-1][-1] == cut[0]:
            parts[-1].append(cut[1])
        else:
            parts.append([cut[0], cut[1]])
    return tuple(tuple(part) for part in parts)


def broken_line(points: Sequence[Point], boxes: Sequence[Box]) -> tuple[Path, ...]:
    """The parts of a line of straight parts outside every box, in order along it."""
    parts: list[list[Point]] = []
    for a, b in pairwise(points):
        free = [(0.0, 1.0)]
        for box in boxes:
            cut = _clip_part(a, b, box)
            if cut is not None and a != b:
                low, high = (_share(a, b, at) for at in cut)
                free = [part for s, e in free for part in ((s, min(e, low)), (max(s, high), e)) if part[1] > part[0]]
        for s, e in free:
            start = a if s == 0.0 else (a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1]))
            end = b if e == 1.0 else (a[0] + e * (b[0] - a[0]), a[1] + e * (b[1] - a[1]))
            if parts and parts[-1][-1] == start:
                parts[-1].append(end)
            else:
                parts.append([start, end])
    return tuple(tuple(part) for part in parts)


def _share(a: Point, b: Point, at: Point) -> float:
    """How far along a straight part a point on it lies, 0 to 1."""
    axis = 0 if abs(b[0] - a[0]) >= abs(b[1] - a[1]) else 1
    return (at[axis] - a[axis]) / (b[axis] - a[axis])


def _clip_part(a: Point, b: Point, box: Box) -> tuple[Point, Point] | None:
    """One straight part (Liang-Barsky), or None where nothing of it lies inside."""
    first, last = 0.0, 1.0
    for axis in (0, 1):
        step = b[axis] - a[axis]
        low, high = box[axis] - a[axis], box[axis + 2] - a[axis]
        if step == 0.0:
            if low > 0.0 or high < 0.0:
                return None
            continue
        one, two = low / step, high / step
        first, last = max(first, min(one, two)), min(last, max(one, two))
    if first >= last:
        return None

    def at(share: float) -> Point:
        return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])

    return (a if first == 0.0 else at(first)), (b if last == 1.0 else at(last))


def clip_area(rings: tuple[Path, ...], box: Box) -> tuple[tuple[Path, ...], ...]:
    """The pieces of an area (outer ring and holes) inside a box, each with its holes."""
    if all(_inside(ring, box) for ring in rings):
        return (rings,)
    xs, ys = zip(*rings[0], strict=True)
    if max(xs) <= box[0] or min(xs) >= box[2] or max(ys) <= box[1] or min(ys) >= box[3]:
        return ()
    from shapely import make_valid
    from shapely.geometry import Polygon
    from shapely.geometry import box as upright

    found = make_valid(Polygon(rings[0], rings[1:])).intersection(upright(*box), grid_size=1e-6)
    return tuple(
        _rings(part) for part in getattr(found, "geoms", [found]) if part.geom_type == "Polygon" and part.area > 1e-6
    )


def _rings(polygon: Any) -> tuple[Path, ...]:
    return tuple(tuple((x, y) for x, y in ring.coords[:-1]) for ring in (polygon.exterior, *polygon.interiors))
