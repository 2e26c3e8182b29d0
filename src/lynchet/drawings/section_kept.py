"""What the cuts of a plan are held against, worked out once for all of them: outlines with their boxes, and pipes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise
from math import hypot
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from lynchet.core.same import Same
from lynchet.drawings.kept import area_of
from lynchet.drawings.section_line import Cut
from lynchet.drawings.source import Planned
from lynchet.plan.placed import Placed, placed_of
from lynchet.water.model import Drain, SolidPipe

Array = NDArray[np.float64]
Point = tuple[float, float]


class Outlines(NamedTuple):
    """Things of one kind by their outlines."""

    things: tuple[Any, ...]
    shapes: tuple[Any, ...]
    boxes: Array
    """(n, 4): least x and y, greatest x and y."""

    def near(self, cut: Cut) -> Iterator[tuple[Any, Any]]:
        """Those whose box the box of a cut touches, each with its shape."""
        (ax, ay), (bx, by) = cut.start_m, cut.end_m
        left, low, right, high = self.boxes.T
        near = (left <= max(ax, bx)) & (right >= min(ax, bx)) & (low <= max(ay, by)) & (high >= min(ay, by))
        for n in np.flatnonzero(near).tolist():
            yield self.things[n], self.shapes[n]


class Pipes(NamedTuple):
    """Straight parts of pipes."""

    lines: Any
    """(n,) shapely lines."""
    ends: tuple[tuple[Point, tuple[float, float], float], ...]
    """Start, inverts at start and end, and length of each."""
    of: tuple[tuple[str, float, float], ...]
    """Name, bore and outer diameter of the pipe each belongs to."""


class Kept(NamedTuple):
    """What is kept of a plan."""

    timber: Outlines
    beds: Outlines
    stone: Outlines
    treads: Outlines
    """Things are pairs of flight and tread."""
    faces: Outlines
    pipes: Pipes


def kept_of(plan: Planned) -> Kept:
    """What the cuts of a plan are held against."""
    return _kept(Same(plan))


@lru_cache(maxsize=4)
def _kept(same: Same[Planned]) -> Kept:
    plan = same.thing
    runs, faces, beds = plan.walls.runs, plan.terraces.faces, _stone_beds(plan)
    treads = [(flight, tread) for flight in plan.terraces.flights for tread in flight.treads]
    return Kept(
        _outlines(runs, [run.polygon for run in runs]),
        _outlines(beds, [thing.polygon for thing in beds]),
        _outlines(plan.water.stone, [area_of(stone.outline_m) for stone in plan.water.stone]),
        _outlines(treads, [area_of(tread.outline_m) for _, tread in treads]),
        _outlines(faces, [face.polygon.buffer(0) for face in faces]),
        _pipes(plan),
    )


def _outlines(things: Iterable[Any], shapes: list[Any]) -> Outlines:
    import shapely

    return Outlines(tuple(things), tuple(shapes), shapely.bounds(np.array(shapes, dtype=object)).reshape(-1, 4))


def _stone_beds(plan: Planned) -> tuple[Placed, ...]:
    return tuple(thing for thing in placed_of(plan.terraces, plan.walls, plan.water, plan.stability, ())
                 if thing.kind == "stone bed")  # fmt: skip


def _pipes(plan: Planned) -> Pipes:
    import shapely

    lines: list[tuple[Point, Point]] = []
    ends: list[tuple[Point, tuple[float, float], float]] = []
    of: list[tuple[str, float, float]] = []
    pipes: list[Drain | SolidPipe] = [*plan.water.drains, *plan.water.solids]
    for pipe in pipes:
        for (a, b), inverts in zip(pairwise(pipe.points_m), pairwise(pipe.inverts_m), strict=True):
            length = hypot(b[0] - a[0], b[1] - a[1])
            if length >= 1e-6:
                lines.append((a, b))
                ends.append((a, inverts, length))
                of.append((pipe.id, pipe.bore_m, pipe.outside_m))
    return Pipes(shapely.linestrings(np.array(lines).reshape(-1, 2, 2)), tuple(ends), tuple(of))
