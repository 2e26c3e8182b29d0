"""Ways out of a chain: straight out through the wall, along the ring to daylight, into a pipe outside."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import dist
from typing import Any

import numpy as np

from lynchet.core.quick import quick
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


@quick
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

    @cached_property
    def levels(self) -> list[float]:
        """Inverts worth trying, the lowest first."""
        room = self.highest_m - self.lowest_m
        steps = 1 if room < 0.004 else 3 if room < 0.05 else 5
        return [self.lowest_m + room * i / max(1, steps - 1) for i in range(steps)]


@quick
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
    drafts = [*_notched(yard, drawn), *_from_banks(yard, drawn)]
    points = list(dict.fromkeys(draft.point_m for draft in drafts))
    ground = dict(zip(points, yard.level_at(points).tolist(), strict=True))
    outward = list(dict.fromkeys((d.point_m, d.out) for d in drafts if _opens_outside(d.opening)))
    on_ring = dict(zip(outward, _onto_ring(ring, outward), strict=True))
    nowhere = (None, 0.0)
    return [
        _mouth(d, ground[d.point_m], on_ring[d.point_m, d.out] if _opens_outside(d.opening) else nowhere)
        for d in drafts
    ]


@quick
@dataclass(frozen=True)
class _Draft:
    """A mouth before the ground and the ring are looked up there."""

    node: int
    opening: Opening | None
    point_m: Point
    out: Point
    start_m: Point
    """The node's own point."""
    lowest_m: float
    highest_m: float


def _notched(yard: Yard, drawn: DrawnChain) -> list[_Draft]:
    """Through openings in the timber."""
    found = []
    for index, opening in drawn.openings:
        node = drawn.chain.nodes[index]
        lowest, highest = max(opening.lowest_m, node.floor_m), min(opening.highest_m, node.ceiling_m)
        if lowest > highest + 1e-9:
            continue
        leg, held = yard.walls.leg(opening.leg), _held(drawn, opening.leg)
        past = yard.settings.mouth_m
        far = leg.thickness_m + leg.setback_m * (max(s.top for s in leg.segments) - leg.lowest_course)
        point = leg.point_at(opening.station_m, -past if held > 0 else far + past)
        out = (-held * leg.normal[0], -held * leg.normal[1])
        found.append(_Draft(index, opening, point, out, node.point_m, lowest, max(lowest, highest)))
    return found


def _from_banks(yard: Yard, drawn: DrawnChain) -> list[_Draft]:
    """From the pipe of a bank outside straight outward."""
    if drawn.chain.high_face != OUTSIDE:
        return []
    found = []
    for index, node in enumerate(drawn.chain.nodes):
        if node.floor_m <= node.ceiling_m:
            leg, held = yard.walls.leg(node.leg), _held(drawn, node.leg)
            out = (held * leg.normal[0], held * leg.normal[1])
            found.append(_Draft(index, None, node.point_m, out, node.point_m, node.floor_m, node.ceiling_m))
    return found


def _opens_outside(opening: Opening | None) -> bool:
    return opening is None or opening.low_face == OUTSIDE


def _mouth(draft: _Draft, ground_m: float, on_ring: tuple[float | None, float]) -> Mouth:
    through = dist(draft.start_m, draft.point_m)
    face = OUTSIDE if draft.opening is None else draft.opening.low_face
    return Mouth(draft.node, draft.opening, draft.point_m, draft.out, draft.lowest_m, draft.highest_m, through,
                 ground_m, *on_ring, face)  # fmt: skip


def _held(drawn: DrawnChain, leg: str) -> int:
    return next(stretch.held for stretch in drawn.stretches if stretch.leg.id == leg)


def _onto_ring(ring: Ring, places: list[tuple[Point, Point]]) -> list[tuple[float | None, float]]:
    """Place on the ring straight ahead of each point, or the nearest within reach, and the way to it.

    Args:
        ring: the ring.
        places: points, each with a unit vector.
    """
    import shapely

    if not places:
        return []
    starts, ways = np.array([place[0] for place in places]), np.array([place[1] for place in places])
    at, away = ring.ahead_m(starts, ways, _STUB_M)
    found: list[tuple[float | None, float]] = list(zip(at.tolist(), away.tolist(), strict=True))
    for i in np.flatnonzero(np.isnan(at)).tolist():
        dot = shapely.points(starts[i])
        if ring.line.distance(dot) <= _STUB_M:
            here = ring.nearest_m(places[i][0])
            found[i] = here, dist(places[i][0], ring.point_at(here))
        else:
            found[i] = None, 0.0
    return found


def notch_cost(mouth: Mouth, settings: Settings) -> float:
    """Points for the opening in the timber."""
    if mouth.opening is None:
        return 0.0
    courses, beside = len(mouth.opening.courses) + mouth.opening.open_top, settings.cost_beside * mouth.opening.beside
    return settings.cost_notch * courses + settings.cost_sawn * mouth.opening.sawn + beside


Seen = dict[tuple[float, int], tuple[Ahead, Tail | None]]
"""What was seen from places on the ring, by the way looked."""


def outside_options(
    yard: Yard, ring: Ring, mouths: list[Mouth], tenants: list[Tenant], ahead: Seen | None = None
) -> list[Option]:
    """Direct outlets, tails and joints outside.

    Args:
        yard: the earlier results.
        ring: the ring.
        mouths: of one chain.
        tenants: pipes on the ring already.
        ahead: what earlier calls with the same ring and tenants saw; it is added to.
    """
    found = []
    free = _stubs_free(yard, ring, mouths)
    ahead = {} if ahead is None else ahead
    for mouth in mouths:
        if not mouth.outside:
            continue
        if mouth.opening is not None:
            found += _direct(yard, mouth)
        if mouth.ring_m is None or not free[mouth.point_m, mouth.ring_m]:
            continue
        for way in (1, -1):
            if (mouth.ring_m, way) not in ahead:
                ahead[mouth.ring_m, way] = look_ahead(ring, mouth.ring_m, way, tenants, yard.settings)
            found += _along(yard.settings, mouth, way, ahead[mouth.ring_m, way])
    return found


def direct_invert_m(mouth: Mouth, settings: Settings) -> float | None:
    """Invert at the node for water that comes out right at the mouth; None where the ground there lies too high."""
    level = max(mouth.lowest_m, mouth.ground_m + settings.drop_m + settings.fall * mouth.through_m)
    return level if level <= mouth.highest_m + 1e-9 else None


def _direct(yard: Yard, mouth: Mouth) -> list[Option]:
    s = yard.settings
    level = None if s.named_only else direct_invert_m(mouth, s)
    if level is None or not yard.may_pour(mouth.point_m):
        return []
    if yard.pours_over_lot_line(mouth.point_m, mouth.out):
        return []
    cost = notch_cost(mouth, s) + s.cost_outlet + s.cost_solid * mouth.through_m
    end = level - s.fall * mouth.through_m
    return [Option(Sink(mouth.node, level, cost), "direct", mouth, None, (), end)]


def _stubs_free(yard: Yard, ring: Ring, mouths: list[Mouth]) -> dict[tuple[Point, float], bool]:
    """Whether a pipe can lie between a mouth outside and its place on the ring, by the two."""
    import shapely

    outside = [mouth for mouth in mouths if mouth.outside]
    places = list(dict.fromkeys((m.point_m, m.ring_m) for m in outside if m.ring_m is not None))
    free = np.ones(len(places), dtype=bool)
    barriers = [shape for shape in (yard.barred, yard.no_dig, yard.lot_lines) if not shape.is_empty]
    if places and barriers:
        ends = np.array([(point, ring.point_at(at)) for point, at in places])
        apart = np.hypot(*(ends[:, 1] - ends[:, 0]).T) >= 1e-6
        stubs: Any = shapely.linestrings(ends[apart])
        for shape in barriers:
            free[apart] &= ~shapely.intersects(shape, stubs)
    return dict(zip(places, free.tolist(), strict=True))


def _along(settings: Settings, mouth: Mouth, way: int, seen_ahead: tuple[Ahead, Tail | None]) -> list[Option]:
    assert mouth.ring_m is not None
    ahead, joint = seen_ahead
    lead = settings.fall * (mouth.through_m + mouth.stub_m)
    if joint is None and not ahead.reached_from(mouth.highest_m - lead):
        return []
    fixed = notch_cost(mouth, settings) + settings.cost_solid * (mouth.through_m + mouth.stub_m)
    found = []
    start = Tail(mouth.ring_m, way, 0.0, 0.0, 0.0)
    seen = set[float]()
    for level in () if settings.named_only else mouth.levels:
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
        if invert <= mouth.highest_m + 1e-9 and (joint.length_m <= settings.tail_bare_m or ahead.covers(joint.needs_m)):
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


def level_and_cost(option: Option) -> tuple[float, float]:
    """Invert and cost to the nanometre and nanopoint: equal ways out stay in the order of the chain, whatever the
    last digit of a sum."""
    return round(option.sink.invert_m, 9), round(option.sink.cost, 9)


def not_dominated(options: list[Option]) -> list[Option]:
    """Without options that another of the same node beats in both level and cost."""
    by_node: dict[int, list[Option]] = {}
    for option in sorted(options, key=lambda o: (o.sink.node, *level_and_cost(o))):
        kept = by_node.setdefault(option.sink.node, [])
        same = [o for o in kept if o.kind == option.kind]
        if not same or option.sink.cost < min(o.sink.cost for o in same) - 1e-9:
            kept.append(option)
    return [option for node in sorted(by_node) for option in by_node[node]]
