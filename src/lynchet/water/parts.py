"""Linking stretches to lines of pipe: where two ends of one high face meet at a node the pipe turns."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, hypot, inf

from lynchet.core.quick import quick
from lynchet.walls.model import Node, Walls
from lynchet.water.pockets import Stretch
from lynchet.water.settings import Settings

Point = tuple[float, float]
_FAR_M = 3.0
_SAME_M = 1e-6
_ROOM_M = 0.02
_BESIDE_M = 2.5e-3


@quick
@dataclass(frozen=True)
class Part:
    """A straight run along one stretch; ``from_m`` may be above ``to_m``. Stations may pass the leg's ends."""

    stretch: Stretch
    from_m: float
    to_m: float

    @property
    def length_m(self) -> float:
        """Length in plan."""
        return abs(self.to_m - self.from_m)

    def station_at(self, along_m: float) -> float:
        """Station on the leg at a distance from the part's start."""
        return self.from_m + along_m if self.to_m >= self.from_m else self.from_m - along_m

    def point_at(self, along_m: float) -> Point:
        """Plan point at a distance from the part's start."""
        return self.stretch.pipe_at(self.station_at(along_m))


@dataclass(frozen=True)
class Turn:
    """A corner between two parts with the bounds of the two ends it cuts off."""

    point_m: Point
    floor_m: float
    ceiling_m: float


@dataclass(frozen=True)
class Line:
    """Parts in order with the turns between them (one less; as many where the line is closed)."""

    parts: tuple[Part, ...]
    turns: tuple[Turn, ...]
    closed: bool


@quick
@dataclass(frozen=True)
class _End:
    stretch: int
    at_end: bool


def bounds_at(stretch: Stretch, station_m: float, settings: Settings) -> tuple[float, float]:
    """Lowest and highest invert behind a stretch at a station.

    The lowest lies the stone under the pipe above the stone bed's bottom. The highest keeps the cover over the crown
    and lets water pond no higher than a share of the held height, unless the lowest lies higher still (a high step).
    """
    floor, crown, pond = _limits(stretch, station_m, settings)
    return floor, min(crown, max(pond, floor + _ROOM_M))


def _limits(stretch: Stretch, station_m: float, settings: Settings) -> tuple[float, float, float]:
    """Floor, highest invert under the cover, highest invert for ponding."""
    beside = settings.radius_m + _BESIDE_M if stretch.box_m else _BESIDE_M  # of the lower box too, where two meet
    near = [p for p in stretch.pieces if p.start_m - beside <= station_m <= p.end_m + beside]
    s, base, surface, pond = settings, -inf, inf, inf
    for piece in near or stretch.pieces_at(station_m):
        low, high = piece.levels_at(station_m)
        base, surface = max(base, piece.base_m), min(surface, high)
        pond = min(pond, low + max(s.least_held_m, s.pond * (high - low)))
    if stretch.box_m and _at_lower_box(stretch, station_m, beside):
        surface -= stretch.box_m
    floor = base - s.stone_bed_m + s.stone_under_m + s.wall_m
    return floor, surface - max(s.cover_m, stretch.box_m + _ROOM_M) - s.outside_m + s.wall_m, pond


def _at_lower_box(stretch: Stretch, station_m: float, beside_m: float) -> bool:
    """Whether a stretch under steps ends at a place, so near that a pipe reaches under the next step down."""
    low = station_m - stretch.start_m if stretch.uphill > 0 else stretch.end_m - station_m
    return stretch.uphill != 0 and low < beside_m


def lines_of(walls: Walls, stretches: list[Stretch], settings: Settings) -> list[Line]:
    """Link stretches whose ends meet in one corner of ground at a node.

    Args:
        walls: for its nodes.
        stretches: in order of the file.
        settings: sizes.

    Returns:
        Lines in the order of their first stretch.
    """
    partner = _partners(walls, stretches)
    turns = {}
    for a, b in list(partner.items()):
        if (b, a) in turns:
            continue
        turn = _turn(stretches, a, b, settings)
        if turn is None:
            partner.pop(a, None)
            partner.pop(b, None)
        else:
            turns[a, b] = turns[b, a] = turn
    _part_overlong(stretches, partner, turns)
    lines, used = [], set[int]()
    for number in range(len(stretches)):
        if number not in used:
            lines.append(_walk(stretches, number, partner, turns, used))
    return [line for line in lines if line.parts]


def _part_overlong(
    stretches: list[Stretch], partner: dict[_End, _End], turns: dict[tuple[_End, _End], tuple[Turn, float, float]]
) -> None:
    """Undo one turn of every stretch that is too short for the corners at both its ends."""
    for number, stretch in enumerate(stretches):
        start, end = _End(number, False), _End(number, True)
        if start in partner and end in partner:
            room = _station(stretch, end, partner, turns) - _station(stretch, start, partner, turns)
            if room < 0.05:
                partner.pop(partner.pop(end))


def _partners(walls: Walls, stretches: list[Stretch]) -> dict[_End, _End]:
    sectors: dict[tuple[str, int, str], list[_End]] = {}
    nodes = {(arm.leg, arm.way): [] for node in walls.nodes for arm in node.arms}  # type: ignore[var-annotated]
    for node in walls.nodes:
        for arm in node.arms:
            nodes[arm.leg, arm.way].append((arm.station_m, node))
    for number, stretch in enumerate(stretches):
        for at_end in (False, True):
            way = -1 if at_end else 1
            station = stretch.end_m if at_end else stretch.start_m
            for at, node in nodes.get((stretch.leg.id, way), []):
                if abs(at - station) < 1e-4:
                    sector = _sector(walls, node, stretch, way)
                    sectors.setdefault((node.id, sector, stretch.high_face), []).append(_End(number, at_end))
    pairs = {}
    for ends in sectors.values():
        if len(ends) == 2 and ends[0].stretch != ends[1].stretch:
            pairs[ends[0]], pairs[ends[1]] = ends[1], ends[0]
    return pairs


def _sector(walls: Walls, node: Node, stretch: Stretch, way: int) -> int:
    """Number of the corner of ground at a node, between neighbouring standing arms, in which a stretch lies."""
    arms = []
    for arm in node.arms:
        leg = walls.leg(arm.leg)
        inward = arm.station_m + arm.way * 0.01
        if any(seg.start_m - _SAME_M <= inward <= seg.end_m + _SAME_M for seg in leg.segments):
            arms.append((atan2(arm.way * leg.direction[1], arm.way * leg.direction[0]), arm.leg, arm.way))
    arms.sort()
    own = next((i for i, arm in enumerate(arms) if arm[1:] == (stretch.leg.id, way)), 0)
    left = stretch.held * way > 0
    return own if left else (own - 1) % max(1, len(arms))


def _inner(stretch: Stretch, end: _End) -> tuple[float, int]:
    """Station of an end and the way into the stretch from it."""
    return (stretch.end_m, -1) if end.at_end else (stretch.start_m, 1)


def _turn(stretches: list[Stretch], a: _End, b: _End, settings: Settings) -> tuple[Turn, float, float] | None:
    """The turn between two ends and its stations on a's and b's leg; None where the pipe cannot turn there."""
    first, second = stretches[a.stretch], stretches[b.stretch]
    (at_a, way_a), (at_b, way_b) = _inner(first, a), _inner(second, b)
    pa, pb, da, db = first.pipe_at(at_a), second.pipe_at(at_b), first.leg.direction, second.leg.direction
    cross = da[0] * db[1] - da[1] * db[0]
    if abs(cross) < 0.02:
        point = (pa[0] + pb[0]) / 2, (pa[1] + pb[1]) / 2
        if hypot(pa[0] - pb[0], pa[1] - pb[1]) > 0.2:
            return None
    else:
        along = ((pb[0] - pa[0]) * db[1] - (pb[1] - pa[1]) * db[0]) / cross
        if abs(along) > _FAR_M:
            return None
        point = pa[0] + along * da[0], pa[1] + along * da[1]
    corner = first.leg.point_at(at_a)
    if hypot(point[0] - corner[0], point[1] - corner[1]) > _FAR_M:
        return None
    sa, sb = first.leg.station_of(point), second.leg.station_of(point)
    floors, crowns, ponds = [], [], []
    for stretch, at, station, way in ((first, at_a, sa, way_a), (second, at_b, sb, way_b)):
        inside = (station - at) * way
        if inside > abs(stretch.end_m - stretch.start_m) - 0.01:
            return None
        between = (x for x in stretch.breaks() if min(at, station) < x < max(at, station))
        places = [min(max(s, stretch.start_m), stretch.end_m) for s in (at, station, *between)]
        limits = [_limits(stretch, s, settings) for s in places]
        floors.append(max(floor for floor, _, _ in limits))
        crowns.append(min(crown for _, crown, _ in limits))
        ponds.append(min(pond for _, _, pond in limits))
    # At a corner the leg with the higher low ground decides how high water may pond: it falls from there to the other.
    ceiling = min(*crowns, max(*ponds, max(floors) + _ROOM_M))
    return Turn(point, max(floors), ceiling), sa, sb


def _walk(
    stretches: list[Stretch],
    number: int,
    partner: dict[_End, _End],
    turns: dict[tuple[_End, _End], tuple[Turn, float, float]],
    used: set[int],
) -> Line:
    """The whole line that a stretch belongs to, walked from its free end (or round, where it is closed)."""
    entry = _End(number, False)
    seen = {number}
    while entry in partner:
        before = partner[entry]
        if before.stretch in seen:
            break
        seen.add(before.stretch)
        entry = _End(before.stretch, not before.at_end)
    closed = entry in partner
    parts, corners = [], []
    here = entry
    while True:
        used.add(here.stretch)
        stretch, leave = stretches[here.stretch], _End(here.stretch, not here.at_end)
        start = _station(stretch, here, partner, turns)
        end = _station(stretch, leave, partner, turns)
        parts.append(Part(stretch, start, end))
        if leave not in partner:
            break
        corners.append(turns[leave, partner[leave]][0])
        here = partner[leave]
        if here == entry:
            break
    return Line(tuple(parts), tuple(corners), closed)


def _station(
    stretch: Stretch,
    end: _End,
    partner: dict[_End, _End],
    turns: dict[tuple[_End, _End], tuple[Turn, float, float]],
) -> float:
    if end not in partner:
        return stretch.end_m if end.at_end else stretch.start_m
    turn = turns[end, partner[end]][0]
    return stretch.leg.station_of(turn.point_m)
