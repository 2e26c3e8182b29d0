"""The line of solid pipe an option means, and whether it meets timber or another pipe anywhere but where it may."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import dist
from typing import Any

import numpy as np

from lynchet.core.quick import quick
from lynchet.water.chains import DrawnChain
from lynchet.water.options import Option
from lynchet.water.ring import FloatArray, Ring
from lynchet.water.settings import Settings
from lynchet.water.yard import Yard

Point = tuple[float, float]
_MERGE_M = 0.30
_SAME_PLACE_M = 0.01


@quick
@dataclass(frozen=True)
class Pipe:
    """A pipe in space: plan points and inverts; ``part_of`` names its drain."""

    part_of: str
    points_m: tuple[Point, ...]
    inverts_m: tuple[float, ...]

    @cached_property
    def line(self) -> Any:
        """Its plan line."""
        from shapely.geometry import LineString

        return LineString(self.points_m)

    @cached_property
    def parts(self) -> Any:
        """(n,) its straight parts as plan lines."""
        import shapely

        points = np.array(self.points_m)
        return shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))

    @cached_property
    def levels_m(self) -> tuple[FloatArray, FloatArray]:
        """(n,) lower and (n,) higher invert of the ends of its straight parts."""
        ends = np.array(self.inverts_m)
        return np.minimum(ends[:-1], ends[1:]), np.maximum(ends[:-1], ends[1:])

    @cached_property
    def box_m(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y."""
        xs, ys = zip(*self.points_m, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def within_reach(self, boxes_m: FloatArray, reach_m: float) -> list[int]:
        """Which boxes round other pipes lie so near that the pipes may be within reach.

        Args:
            boxes_m: (n, 4) as ``box_m``.
            reach_m: 0 or more.
        """
        left, low, right, high = self.box_m
        apart = np.maximum(boxes_m[:, :2] - (right, high), (left, low) - boxes_m[:, 2:])
        near: list[int] = np.flatnonzero((apart <= reach_m + 1e-9).all(axis=1)).tolist()
        return near


def boxes_of(pipes: Sequence[Pipe]) -> FloatArray:
    """(n, 4) the boxes round pipes."""
    return np.array([pipe.box_m for pipe in pipes], dtype=float).reshape(-1, 4)


def near_m(settings: Settings) -> float:
    """Pipes whose middles lie nearer in plan touch unless one passes over the other."""
    return settings.outside_m + 0.01


def route_of(ring: Ring, drawn: DrawnChain, option: Option, fall: float) -> Pipe:
    """Points and inverts of the solid pipe of an option, from the chain's node on.

    Args:
        ring: the ring.
        drawn: the chain.
        option: the way out.
        fall: least fall.
    """
    mouth = option.mouth
    points = [drawn.chain.nodes[mouth.node].point_m]
    inverts = [option.sink.invert_m]
    if mouth.opening is not None:
        points.append(mouth.point_m)
        inverts.append(option.sink.invert_m - fall * mouth.through_m)
    rest: list[Point] = list(option.way_m)
    if option.tail is not None:
        along = ring.points_between(option.tail.r_m, option.tail.way, option.tail.length_m)
        rest += along[:1] if option.tail.length_m < 1e-6 else along
    level = option.end_invert_m
    back = [level]
    for a, b in zip(rest[::-1], rest[::-1][1:], strict=False):
        level += fall * dist(a, b)
        back.append(level)
    return _without_doubles("", points + rest, inverts + (back[::-1] if rest else []))


def _without_doubles(name: str, points: list[Point], inverts: list[float]) -> Pipe:
    kept = [0]
    for i in range(1, len(points)):
        if dist(points[i], points[kept[-1]]) > 1e-4:
            kept.append(i)
    if kept[-1] != len(points) - 1 and len(kept) > 1:
        kept[-1] = len(points) - 1
    return Pipe(name, tuple(points[i] for i in kept), tuple(inverts[i] for i in kept))


def meets_timber(yard: Yard, pipe: Pipe, option: Option) -> bool:
    """Whether the pipe comes too near to timber other than the courses of its own notch, while in the notch."""
    import shapely

    s = yard.settings
    if (shapely.distance(pipe.parts, yard.barred) < s.radius_m - 1e-3).any():
        return True
    own = set(option.mouth.opening.runs) if option.mouth.opening else set[str]()
    low, high = (levels.tolist() for levels in pipe.levels_m)
    for number, i in zip(*yard.timber.query(pipe.parts, predicate="dwithin", distance=s.radius_m + 0.01), strict=True):
        run = yard.walls.runs[i]
        bottom, top = low[number] - s.wall_m, high[number] + s.outside_m - s.wall_m
        if run.bottom_m < top - 1e-9 and run.top_m > bottom + 1e-9 and not (number == 0 and run.id in own):
            return True
    return False


@lru_cache(maxsize=256)
def _parts_beyond(points_m: tuple[Point, ...], merges: tuple[Point, ...]) -> Any:
    """(n,) straight parts of a pipe without what lies near to points where pipes merge; asked for again and again."""
    import shapely

    near = shapely.buffer(shapely.multipoints(merges), _MERGE_M, quad_segs=16)
    return shapely.difference(Pipe("", points_m, ()).parts, near)


def meets_pipe(yard: Yard, pipe: Pipe, other: Pipe, merges: list[Point]) -> bool:
    """Whether two pipes touch anywhere but near the points where they merge."""
    import shapely

    s = yard.settings
    near = near_m(s)
    if shapely.distance(pipe.line, other.line) >= near:
        return False
    lines = _parts_beyond(pipe.points_m, tuple(merges)) if merges else pipe.parts
    close = shapely.distance(lines, other.line) < near  # never of what is left empty
    if not close.any():
        return False
    touch = shapely.distance(lines[close, None], other.parts[None, :]) < near
    (low, high), (low_other, high_other) = pipe.levels_m, other.levels_m
    height = s.outside_m + 0.02
    level = (low[close, None] < high_other + height) & (low_other < high[close, None] + height)
    return bool((touch & level).any())


def crosses(pipe: Pipe, other: Pipe, end: Point) -> bool:
    """Whether a pipe crosses the one it runs into so near to its end that ``meets_pipe`` does not look: it would come
    round to the other side of it, at its level."""
    import shapely

    met = shapely.get_coordinates(shapely.intersection(pipe.line, other.line))
    return any(_SAME_PLACE_M < dist((x, y), end) <= _MERGE_M for x, y in met.tolist())
