"""Ways out of a chain: straight out through the wall, along the ring to daylight, into a pipe outside."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist

from lynchet.terraces.model import OUTSIDE
from lynchet.water.chains import DrawnChain
from lynchet.water.model import SinkKind
from lynchet.water.openings import Opening
from lynchet.water.programme import Sink
from lynchet.water.ring import Ring
from lynchet.water.settings import Settings
from lynchet.water.tails import Ahead, Tail, Tenant, closest_miss_m, daylight, look_ahead
from lynchet.water.yard import Yard

Point = tuple[float, float]
_STUB_M = 2.0


@dataclass(frozen=True)
class Mouth:
    """Where water of a chain can leave its pocket: through a notch, or from a bank's pipe straight outward."""

    node: int
    opening: Opening | None
    point_m: Point
    """Just past the timber; of a bank's pipe the node itself."""
    out: Point
    """Unit vector away from the pocket."""
    lowest_m: float
    highest_m: float
    through_m: float
    """From the chain's pipe to the point."""
    ground_m: float
    """Level under the point; NaN where not known."""
    ring_m: float | None
    """Place on the ring it reaches, None where it reaches none."""
    stub_m: float
    """From the point to the ring."""
    face: str = OUTSIDE
    """Ground it opens to: the face beyond the timber, round the area, or the pocket's own."""

    @property
    def outside(self) -> bool:
        """Whether it opens to the ground round the area."""
        return self.face == OUTSIDE

    def levels(self) -> list[float]:
        """Inverts worth trying, the lowest first."""
        room = self.highest_m - self.lowest_m
        steps = 1 if room < 0.004 else 3 if room < 0.05 else 5
        return [self.lowest_m + room * i / max(1, steps - 1) for i in range(steps)]


@dataclass(frozen=True)
class Option:
    """One way out, with all that is needed to lay it."""

    sink: Sink
    kind: SinkKind
    mouth: Mouth
    tail: Tail | None = None
    way_m: tuple[Point, ...] = ()
    """Past the mouth, for ways that do not follow the ring."""
    end_invert_m: float = 0.0
    into: str = ""
    """Drain it runs into; "given:0", "soakaway:0" for what the file names; empty = daylight."""


def mouths_of(yard: Yard, ring: Ring, drawn: DrawnChain) -> list[Mouth]:
    """Every place where a chain could be let out.

    Args:
        yard: the earlier results.
        ring: for ways along the walls.
        drawn: the chain.
    """
    nodes, settings = drawn.chain.nodes, yard.settings
    found = []
    ground = _Places(yard, ring)
    for index, opening in drawn.openings:
        node = nodes[index]
        lowest, highest = max(opening.lowest_m, node.floor_m), min(opening.highest_m, node.ceiling_m)
        if lowest > highest + 1e-9:
            continue
        leg, held = yard.walls.leg(opening.leg), _held(drawn, opening.leg)
        past = settings.mouth_m
        far = leg.thickness_m + leg.setback_m * (max(s.top for s in leg.segments) - leg.lowest_course)
        point = leg.point_at(opening.station_m, -past if held > 0 else far + past)
        out = (-held * leg.normal[0], -held * leg.normal[1])
        found.append(_mouth(ground, index, opening, (point, out, node.point_m), (lowest, max(lowest, highest))))
    if drawn.chain.high_face == OUTSIDE:
        for index, node in enumerate(nodes):
            if node.floor_m <= node.ceiling_m:
                leg, held = yard.walls.leg(node.leg), _held(drawn, node.leg)
                out = (held * leg.normal[0], held * leg.normal[1])
                place = (node.point_m, out, node.point_m)
                found.append(_mouth(ground, index, None, place, (node.floor_m, node.ceiling_m)))
    return found


def _held(drawn: DrawnChain, leg: str) -> int:
    return next(stretch.held for stretch in drawn.stretches if stretch.leg.id == leg)


class _Places:
    """Ground level and place on the ring of a point, looked up once for all the openings above each other there."""

    def __init__(self, yard: Yard, ring: Ring) -> None:
        self._yard, self._ring = yard, ring
        self._levels: dict[Point, float] = {}
        self._on_ring: dict[tuple[Point, Point], tuple[float | None, float]] = {}

    def level_m(self, point: Point) -> float:
        """Ground under a point."""
        if point not in self._levels:
            self._levels[point] = float(self._yard.level_at([point])[0])
        return self._levels[point]

    def on_ring(self, point: Point, out: Point) -> tuple[float | None, float]:
        """Place on the ring ahead of a point and the way to it."""
        if (point, out) not in self._on_ring:
            self._on_ring[point, out] = _onto_ring(self._ring, point, out)
        return self._on_ring[point, out]


def _mouth(
    places: _Places,
    node: int,
    opening: Opening | None,
    place: tuple[Point, Point, Point],
    levels: tuple[float, float],
) -> Mouth:
    point, out, start = place
    at, stub = None, 0.0
    if opening is None or opening.low_face == OUTSIDE:
        at, stub = places.on_ring(point, out)
    ground = places.level_m(point)
    face = opening.low_face if opening is not None else OUTSIDE
    return Mouth(node, opening, point, out, levels[0], levels[1], dist(start, point), ground, at, stub, face)


def _onto_ring(ring: Ring, point: Point, out: Point) -> tuple[float | None, float]:
    """Place on the ring straight ahead, or the nearest within reach."""
    from shapely.geometry import LineString
    from shapely.geometry import Point as Dot

    far = (point[0] + _STUB_M * out[0], point[1] + _STUB_M * out[1])
    cut = LineString([point, far]).intersection(ring.line)
    dot = Dot(point)
    if not cut.is_empty:
        near = min(getattr(cut, "geoms", [cut]), key=dot.distance)
        here = near.coords[0]
        return ring.nearest_m(here), dist(point, here)
    if ring.line.distance(dot) <= _STUB_M:
        at = ring.nearest_m(point)
        return at, dist(point, ring.point_at(at))
    return None, 0.0


def notch_cost(mouth: Mouth, settings: Settings) -> float:
    """Points for the opening in the timber."""
    if mouth.opening is None:
        return 0.0
    return settings.cost_notch * (len(mouth.opening.courses) + mouth.opening.open_top)


def outside_options(yard: Yard, ring: Ring, mouths: list[Mouth], tenants: list[Tenant]) -> list[Option]:
    """Direct outlets, tails and joints outside.

    Args:
        yard: the earlier results.
        ring: the ring.
        mouths: of one chain.
        tenants: pipes on the ring already.
    """
    found = []
    free: dict[tuple[Point, float], bool] = {}
    ahead: dict[tuple[float, int], tuple[Ahead, Tail | None]] = {}
    for mouth in mouths:
        if not mouth.outside:
            continue
        if mouth.opening is not None:
            found += _direct(yard, mouth)
        if mouth.ring_m is None:
            continue
        place = mouth.point_m, mouth.ring_m
        if place not in free:
            free[place] = _stub_free(yard, ring, mouth)
        if not free[place]:
            continue
        for way in (1, -1):
            if (mouth.ring_m, way) not in ahead:
                ahead[mouth.ring_m, way] = look_ahead(ring, mouth.ring_m, way, tenants, yard.settings)
            found += _along(yard.settings, mouth, way, ahead[mouth.ring_m, way])
    return found


def _direct(yard: Yard, mouth: Mouth) -> list[Option]:
    s = yard.settings
    need = mouth.ground_m + s.drop_m + s.fall * mouth.through_m
    level = max(mouth.lowest_m, need)
    if not level <= mouth.highest_m + 1e-9 or not yard.may_pour(mouth.point_m):
        return []
    if yard.pours_over_lot_line(mouth.point_m, mouth.out):
        return []
    cost = notch_cost(mouth, s) + s.cost_outlet + s.cost_solid * mouth.through_m
    end = level - s.fall * mouth.through_m
    return [Option(Sink(mouth.node, level, cost), "direct", mouth, None, (), end)]


def _stub_free(yard: Yard, ring: Ring, mouth: Mouth) -> bool:
    from shapely.geometry import LineString

    assert mouth.ring_m is not None
    end = ring.point_at(mouth.ring_m)
    if dist(end, mouth.point_m) < 1e-6:
        return True
    stub = LineString([mouth.point_m, end])
    return not (stub.intersects(yard.barred) or stub.intersects(yard.no_dig) or stub.intersects(yard.lot_lines))


def _along(settings: Settings, mouth: Mouth, way: int, seen_ahead: tuple[Ahead, Tail | None]) -> list[Option]:
    assert mouth.ring_m is not None
    ahead, joint = seen_ahead
    lead = settings.fall * (mouth.through_m + mouth.stub_m)
    fixed = notch_cost(mouth, settings) + settings.cost_solid * (mouth.through_m + mouth.stub_m)
    found = []
    start = Tail(mouth.ring_m, way, 0.0, 0.0, 0.0)
    seen = set[float]()
    for level in mouth.levels():
        for tail in daylight(ahead, level - lead, start, settings):
            if tail.length_m in seen:
                continue
            seen.add(tail.length_m)
            invert = max(mouth.lowest_m, tail.needs_m + lead)
            drop = settings.cost_drop if invert - lead - tail.needs_m > 0.05 else 0.0
            cost = fixed + settings.cost_outlet + settings.cost_solid * tail.length_m + drop
            cost += settings.cost_mound if tail.mound else 0.0
            found.append(Option(Sink(mouth.node, invert, cost), "tail", mouth, tail, (), tail.end_invert_m))
    if joint is not None:
        invert = max(mouth.lowest_m, joint.needs_m + lead)
        crown = joint.needs_m + settings.outside_m - settings.wall_m
        covered = not len(ahead.d_m) or crown <= ahead.lowest_m + 1e-9
        if invert <= mouth.highest_m + 1e-9 and (covered or joint.length_m <= settings.tail_bare_m):
            drop = settings.cost_drop if invert - lead - joint.needs_m > 0.05 else 0.0
            cost = fixed + settings.cost_wye + settings.cost_solid * joint.length_m + drop
            sink = Sink(mouth.node, invert, cost)
            found.append(Option(sink, "join", mouth, joint, (), joint.end_invert_m, joint.into))
    return found


def best_miss(yard: Yard, ring: Ring, mouths: list[Mouth], tenants: list[Tenant]) -> tuple[Mouth, float] | None:
    """The outside mouth whose best daylight is least too high for its highest invert, and by how much."""
    best: tuple[Mouth, float] | None = None
    s = yard.settings
    for mouth in mouths:
        if not mouth.outside or mouth.ring_m is None:
            continue
        lead = s.fall * (mouth.through_m + mouth.stub_m)
        for way in (1, -1):
            ahead, _ = look_ahead(ring, mouth.ring_m, way, tenants, s)
            miss = closest_miss_m(ahead, mouth.highest_m - lead, s)
            if miss is not None and (best is None or miss < best[1]):
                best = (mouth, miss)
    return best


def not_dominated(options: list[Option]) -> list[Option]:
    """Without options that another of the same node beats in both level and cost."""
    by_node: dict[int, list[Option]] = {}
    for option in sorted(options, key=lambda o: (o.sink.node, o.sink.invert_m, o.sink.cost)):
        kept = by_node.setdefault(option.sink.node, [])
        same = [o for o in kept if o.kind == option.kind]
        if not same or option.sink.cost < min(o.sink.cost for o in same) - 1e-9:
            kept.append(option)
    return [option for node in sorted(by_node) for option in by_node[node]]
