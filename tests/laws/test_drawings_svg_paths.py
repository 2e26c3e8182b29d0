"""Paths written all in one go are those written number by number, as Python itself prints them."""

from __future__ import annotations

import numpy as np

from lynchet.drawings.svg_paths import one_by_one, outlines

Paths = tuple[tuple[tuple[float, float], ...], ...]


def _strokes(rng: np.random.Generator, reach_mm: float) -> list[tuple[Paths, bool]]:
    """Strokes of some paths; many of their numbers lie halfway between two thousandths, or next to nothing."""
    found: list[tuple[Paths, bool]] = []
    for _ in range(40):
        paths = []
        for _ in range(int(rng.integers(1, 4))):
            points = rng.uniform(-reach_mm, reach_mm, (int(rng.integers(1, 8)), 2))
            halves = np.round(points * 16.0) / 16.0 + rng.choice([0.0, 0.0005, -0.0005, 0.1], points.shape)
            points = np.where(rng.random(points.shape) < 0.3, halves, points)
            points = np.where(rng.random(points.shape) < 0.1, rng.choice([0.0, -0.0, -0.0004, 0.0005]), points)
            paths.append(tuple((float(x), float(y)) for x, y in points))
        found.append((tuple(paths), bool(rng.random() < 0.5)))
        if rng.random() < 0.3:
            found.append(found[int(rng.integers(len(found)))])
    return found


def test_paths_in_one_go_are_those_number_by_number() -> None:
    """On a sheet and far off it, open and closed, one stroke after the other and some twice."""
    rng = np.random.default_rng(11)
    for reach_mm in (0.02, 5.0, 400.0, 999.0, 20000.0):
        for _ in range(20):
            strokes = _strokes(rng, reach_mm)
            assert outlines(strokes) == [one_by_one(*stroke) for stroke in strokes]


def test_paths_of_nothing() -> None:
    """No strokes, a stroke of no paths, and one of a path without points beside a plain one."""
    line: tuple[Paths, bool] = (((1.25, 2.0), (3.0625, -4.5)),), False
    assert outlines([]) == []
    assert outlines([((), True), line]) == ["", "M1.25 2L3.062 -4.5"]
    assert outlines([(((),), True), line]) == ["MZ", "M1.25 2L3.062 -4.5"]
    assert outlines([line, (line[0], True)]) == ["M1.25 2L3.062 -4.5", "M1.25 2L3.062 -4.5Z"]
