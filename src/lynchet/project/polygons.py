"""Tests on outlines and names of the project file, with words for what is wrong."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from math import hypot

from lynchet.core.plane import cross, distance_to_segment, minus, segments_cross, signed_area
from lynchet.project.faults import Faults
from lynchet.project.lines import KeyPath
from lynchet.units.format import length
from lynchet.units.measures import System

Point = tuple[float, float]
CLOSE_M = 1e-3


def open_outline(points: Sequence[Point]) -> tuple[Point, ...]:
    """Corners without a first one repeated at the end."""
    same = len(points) > 1 and hypot(*minus(points[0], points[-1])) < CLOSE_M
    return tuple(points[:-1] if same else points)


def check_outline(points: tuple[Point, ...] | None, path: KeyPath, faults: Faults) -> tuple[Point, ...]:
    """A simple outline; an empty one where it is wrong (the fault is kept)."""
    if points is None:
        return ()
    outline = open_outline(points)
    wrong = outline_fault(outline, faults.system)
    if wrong:
        faults.add(path, wrong, "corners in order round the outline, sides that do not cross or touch")
        return ()
    return outline


def outline_fault(outline: Sequence[Point], system: System) -> str:
    """What is wrong with an outline, in words; empty where nothing is."""
    count = len(outline)
    if count < 3:
        return f"{count} different corners"
    for i in range(count):
        if hypot(*minus(outline[i], outline[(i + 1) % count])) < CLOSE_M:
            return f"corner {i} {_at(outline[i], system)} stands twice"
    for i in range(count):
        a, b = outline[i], outline[(i + 1) % count]
        for j in range(i + 2, count):
            if (j + 1) % count == i:
                continue
            c, d = outline[j], outline[(j + 1) % count]
            share = segments_cross(a, b, c, d)
            if share is not None:
                place = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
                return f"sides {i} and {j} cross or touch at {_at(place, system)}"
    for i in range(count):
        before, here, after = outline[i - 1], outline[i], outline[(i + 1) % count]
        back, on = minus(before, here), minus(after, here)
        if abs(cross(back, on)) < 1e-9 * hypot(*back) * hypot(*on) and back[0] * on[0] + back[1] * on[1] > 0:
            return f"the outline runs back on itself at corner {i} {_at(here, system)}"
    if abs(signed_area(outline)) < 0.01:
        return "corners on one line"
    return ""


def _at(point: Point, system: System) -> str:
    return f"({length(point[0], system)}, {length(point[1], system)})"


def place_text(point: Point, system: System) -> str:
    """A place as people read it: "(4.80 m, 2.10 m)"."""
    return _at(point, system)


def outside_m(point: Point, outline: Sequence[Point]) -> float:
    """How far a point lies outside an outline; 0 inside or on it."""
    inside, count = False, len(outline)
    nearest = float("inf")
    for i in range(count):
        (ax, ay), (bx, by) = outline[i], outline[(i + 1) % count]
        nearest = min(nearest, distance_to_segment(point, (ax, ay), (bx, by)))
        if (ay > point[1]) != (by > point[1]) and point[0] < ax + (point[1] - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return 0.0 if inside else nearest


def hull(points: Iterable[Point]) -> list[Point]:
    """Convex outline of points, anticlockwise."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered
    halves: list[list[Point]] = []
    for way in (ordered, ordered[::-1]):
        half: list[Point] = []
        for point in way:
            while len(half) > 1 and cross(minus(half[-1], half[-2]), minus(point, half[-2])) <= 0:
                half.pop()
            half.append(point)
        halves.append(half[:-1])
    return halves[0] + halves[1]


def refuse_twins(names: Iterable[tuple[KeyPath, str | None]], what: str, faults: Faults) -> None:
    """Two things of one kind with one name; nameless ones do not count."""
    named = [(path, name) for path, name in names if name]
    counts = Counter(name for _, name in named)
    seen: set[str] = set()
    for path, name in named:
        if counts[name] > 1 and name in seen:
            faults.add((*path, "name"), f'"{name}" stands twice', f"a name of its own for each {what}")
        seen.add(name)
