"""Whether a wall is built where the levels beside a line differ: too short and low a stretch is raked."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from lynchet.core.intervals import Interval, joined
from lynchet.ground.model import Surface
from lynchet.ground.surface import profile
from lynchet.terraces.model import HOUSE, Face, Level, WallLine

LEAST_M = 0.05
"""Levels that differ by no more are left to the rake. PRACTICE."""
SHORT_M = 0.6
"""Ends, gaps and stretches under this are run on, bridged, dropped. PRACTICE."""
STUB_M = 0.3
REACH_M = 0.35


def wall_stands(line: WallLine, station_m: float, faces: Mapping[str, Face], surface: Surface, course_m: float) -> bool:
    """Whether the stretch round a station, over which the levels differ, is long or high enough to be built.

    Args:
        line: a line with ground that is no bed on a side.
        station_m: along it, where the levels differ by more than ``LEAST_M``.
        faces: of the terraces, by id; what is none of them is left as it is.
        surface: the ground.
        course_m: height of a course.
    """
    pieces = list(_differing(line, faces, surface))
    for start, end in joined([part for part, _ in pieces], SHORT_M):
        start, end = 0.0 if start < SHORT_M else start, line.length_m if end > line.length_m - SHORT_M else end
        if start - 1e-6 <= station_m <= end + 1e-6:
            high = max(by for part, by in pieces if part[1] >= start and part[0] <= end)
            return end - start >= SHORT_M or (end - start >= STUB_M and high > course_m)
    return False


def _differing(line: WallLine, faces: Mapping[str, Face], surface: Surface) -> Iterator[tuple[Interval, float]]:
    """Straight pieces of the line over which the levels differ by more than the rake takes up, and the most they do."""
    import numpy as np

    stations, ground = profile(surface, line.start_m, line.end_m, REACH_M)
    for side in line.sides:
        if HOUSE in (side.left, side.right):
            continue
        inner = stations[(stations > side.start_m) & (stations < side.end_m)]
        marks = np.concatenate([[side.start_m], inner, [side.end_m]])
        here = np.interp(marks, stations, ground)
        levels = [face.finish.level_m if (face := faces.get(name)) and isinstance(face.finish, Level) else here
                  for name in (side.left, side.right)]  # fmt: skip
        apart = np.broadcast_to(np.asarray(levels[0]) - levels[1], marks.shape)
        for (a, d0), (b, d1) in itertools.pairwise(zip(marks.tolist(), apart.tolist(), strict=True)):
            for part in (_above(a, d0, b, d1), _above(a, -d0, b, -d1)):
                if part is not None:
                    yield part, max(abs(d0), abs(d1))


def _above(start: float, first: float, end: float, last: float) -> Interval | None:
    """Part of a straight piece over which its value is more than the rake takes up."""
    if max(first, last) <= LEAST_M:
        return None
    if min(first, last) >= LEAST_M:
        return start, end
    cut = start + (LEAST_M - first) / (last - first) * (end - start)
    return (cut, end) if last > first else (start, cut)
