"""Where a wish for steps crosses the wall lines: what is climbed there, in which direction, by how much."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from lynchet.core.plane import Point, between, left_of, minus, segments_cross, unit
from lynchet.ground.model import Surface
from lynchet.ground.surface import level_at
from lynchet.project.things import StepsWish
from lynchet.terraces.model import HOUSE, Face, Lattice, Level, WallLine
from lynchet.terraces.worth_a_wall import LEAST_M, REACH_M, wall_stands


@dataclass(frozen=True)
class Crossing:
    """One wall to be climbed."""

    wish: int
    width_m: float
    line: WallLine
    station_m: float
    point: Point
    way: Point
    """Unit vector square to the line, toward the higher side."""
    low: str
    high: str
    """Faces."""
    low_flat: bool
    """The lower side is a bed."""
    foot_level_m: float
    """Top of the landing at the foot: flush with the lattice on a bed, the ground's own level elsewhere."""
    head_level_m: float
    """Top of the wall, and of the landing at the head."""
    landing_m: float
    """Depth of the landings."""

    @property
    def timber_low(self) -> bool:
        """The timber stands on the lower side of the line (a wall that holds the bank)."""
        left = left_of(unit(minus(self.line.end_m, self.line.start_m)))
        return left[0] * self.way[0] + left[1] * self.way[1] < 0


@dataclass(frozen=True)
class EdgeWall:
    """Timber that stands on an edge that ends as a bank, where the bank does not end."""

    line: str
    outline_m: tuple[Point, ...]


@dataclass(frozen=True)
class Plot:
    """The terraces before any flight."""

    faces: dict[str, Face]
    lines: Sequence[WallLine]
    lattice: Lattice
    surface: Surface
    freeboard_m: float
    landing_m: float
    """Depth of the landings of steps whose wish says none."""
    edge_walls: tuple[EdgeWall, ...] = ()
    """As far as they are known: no step stands in them."""

    def level(self, face: str, point: Point) -> float:
        """Finished level of a face at a point on its border; the ground's where it is left as it is."""
        known = self.faces.get(face)
        if known is not None and isinstance(known.finish, Level):
            return known.finish.level_m
        return float(level_at(self.surface, [point], REACH_M)[0])

    def flat(self, face: str) -> bool:
        """Whether a face is a bed."""
        known = self.faces.get(face)
        return known is not None and isinstance(known.finish, Level)

    def wall_top(self, level: float) -> float:
        """Top of a wall that holds this level."""
        datum, course = self.lattice.bottoms_m[0], self.lattice.course_m
        return datum + ceil((level + self.freeboard_m - datum) / course - 1e-6) * course


def crossings(number: int, wish: StepsWish, plot: Plot) -> list[Crossing]:
    """The walls a wish crosses, from its foot to its head; none stands against a house, at an open edge, or where the
    levels differ by too little or over too short a stretch."""
    found: list[tuple[float, Crossing]] = []
    walked = 0.0
    for a, b in zip(wish.line_m, wish.line_m[1:], strict=False):
        for line in plot.lines:
            share = segments_cross(a, b, line.start_m, line.end_m)
            if share is None or line.finish in ("open", "house", "bank"):
                continue
            made = _crossing(number, wish, line, between(a, b, share), plot)
            if made is not None:
                found.append((walked + share, made))
        walked += 1.0
    found.sort(key=lambda entry: entry[0])
    return [made for _, made in found]


def _crossing(number: int, wish: StepsWish, line: WallLine, point: Point, plot: Plot) -> Crossing | None:
    way = unit(minus(line.end_m, line.start_m))
    station = (point[0] - line.start_m[0]) * way[0] + (point[1] - line.start_m[1]) * way[1]
    side = next((s for s in line.sides if s.start_m <= station <= s.end_m), None)
    if side is None or HOUSE in (side.left, side.right):
        return None
    left, right = plot.level(side.left, point), plot.level(side.right, point)
    if not abs(left - right) > LEAST_M:  # also where a level is not known
        return None
    low_step = abs(left - right) <= plot.lattice.course_m and not (plot.flat(side.left) and plot.flat(side.right))
    if low_step and not wall_stands(line, station, plot.faces, plot.surface, plot.lattice.course_m):
        return None
    up = left_of(way)
    low, high, rise = side.right, side.left, left
    if left < right:
        low, high, rise, up = side.left, side.right, right, (-up[0], -up[1])
    flat = plot.flat(low)
    foot = min(left, right) + (plot.freeboard_m if flat else 0.0)
    return Crossing(number, wish.width_m, line, station, point, up, low, high, flat, foot, plot.wall_top(rise),
                    wish.landing_m or plot.landing_m)  # fmt: skip


def banks_met(wish: StepsWish, plot: Plot) -> Iterator[tuple[WallLine, float]]:
    """The edges that end as banks which a wish crosses, with the difference of levels there, NaN where not known."""
    for a, b in pairwise(wish.line_m):
        for line in plot.lines:
            share = segments_cross(a, b, line.start_m, line.end_m) if line.finish == "bank" else None
            if share is None:
                continue
            point, way = between(a, b, share), unit(minus(line.end_m, line.start_m))
            station = (point[0] - line.start_m[0]) * way[0] + (point[1] - line.start_m[1]) * way[1]
            side = next((s for s in line.sides if s.start_m <= station <= s.end_m), None)
            if side is None or HOUSE in (side.left, side.right):
                continue
            yield line, abs(plot.level(side.left, point) - plot.level(side.right, point))
