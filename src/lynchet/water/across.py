"""Ways across a bench that has no drain: solid pipe under it to an edge where no timber stands, and on outside."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import dist, hypot
from typing import Any

import numpy as np

from lynchet.terraces.model import Level
from lynchet.water.inside import Rooms, moved
from lynchet.water.options import Mouth, Option, notch_cost
from lynchet.water.programme import Sink
from lynchet.water.ring import Ring
from lynchet.water.settings import Settings
from lynchet.water.tails import Ahead, Tail, Tenant, daylight, look_ahead
from lynchet.water.yard import Yard

Point = tuple[float, float]
_LEAVE_M = 0.25
_INSIDE_M = 0.20
"""From the edge of a bench to the last bend of the pipe under it."""
_EVERY_M = 1.5
"""Crossings of one open edge are tried this far apart, and at both its ends."""
_MOUTHS = 8
"""Places in the timber tried for one bench: its ends and others spread between."""


@dataclass(frozen=True)
class Crossing:
    """Where pipe may pass from under a bench to the ring."""

    point_m: Point
    """Under the bench."""
    ring_m: float
    out_m: float
    """From the point to the ring."""


class Crossings:
    """Places where pipe may pass from under each bench to the ring; each bench is looked at once.

    Args:
        yard: the earlier results.
        ring: the ring.
    """

    def __init__(self, yard: Yard, ring: Ring) -> None:
        self._yard, self.ring = yard, ring
        self._known: dict[str, list[Crossing]] = {}

    def of(self, face: str) -> list[Crossing]:
        """Those of a bench."""
        if face not in self._known:
            self._known[face] = _crossings(self._yard, self.ring, face)
        return self._known[face]


def _crossings(yard: Yard, ring: Ring, face: str) -> list[Crossing]:
    """Places along the open edges of a bench, by the ring.

    Args:
        yard: the earlier results.
        ring: the ring.
        face: the bench.
    """
    import shapely

    found = yard.terraces.face(face)
    if found is None or found.kind != "bed":
        return []
    reach = yard.settings.ring_m + 0.05
    dots = shapely.points(ring.points[:-1])
    lines = shapely.shortest_line(dots, found.polygon)
    edge = shapely.distance(shapely.points(shapely.get_coordinates(lines)[1::2]), yard.outline.exterior) < 0.02
    near = (shapely.length(lines) <= reach) & edge
    ends = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    way = ends[:, 1] - ends[:, 0]
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    inner = ends[:, 1] + _INSIDE_M * way
    stubs = shapely.linestrings(np.stack([ends[:, 0], inner], axis=1))
    clear = near & shapely.covers(found.polygon.buffer(1e-6), shapely.points(inner))
    clear &= ~shapely.intersects(stubs, yard.bars_crossings)
    return [
        Crossing((float(inner[i][0]), float(inner[i][1])), float(ring.at_m[i]), dist(ends[i][0], inner[i]))
        for i in _spread(np.flatnonzero(clear), ring)
    ]


def _spread(clear: Any, ring: Ring) -> list[int]:
    """The ends of every run of neighbouring samples and others between."""
    kept: list[int] = []
    for place, i in enumerate(clear):
        first = place == 0 or clear[place - 1] != i - 1
        last = place + 1 == len(clear) or clear[place + 1] != i + 1
        if first or last or ring.at_m[i] - ring.at_m[kept[-1]] >= _EVERY_M:
            kept.append(int(i))
    return kept


def across_options(
    yard: Yard, crossings: Crossings, rooms: Rooms, mouths: list[Mouth], tenants: list[Tenant]
) -> list[Option]:
    """Ways out of a chain across the benches below it.

    Args:
        yard: the earlier results.
        crossings: where pipe may pass from under the benches to the ring.
        rooms: free ground by face.
        mouths: of one chain.
        tenants: pipes on the ring already.
    """
    found: list[Option] = []
    for face in dict.fromkeys(mouth.face for mouth in mouths if not mouth.outside and mouth.opening is not None):
        bench = yard.terraces.face(face)
        places = crossings.of(face)
        if bench is None or not isinstance(bench.finish, Level) or not places:
            continue
        room = rooms.free(face)
        for crossing in places:
            ahead = [
                (way, *look_ahead(crossings.ring, crossing.ring_m, way, tenants, yard.settings)) for way in (1, -1)
            ]
            if not any(len(seen.d_m) or joint is not None for _, seen, joint in ahead):
                continue
            for mouth in _few([m for m in mouths if m.face == face]):
                past = moved(mouth.point_m, mouth.out, _LEAVE_M)
                path = room.way(past, crossing.point_m)
                if path is None:
                    continue
                for way, seen, joint in ahead:
                    found += _led(yard.settings, mouth, (crossing, path, bench.finish.level_m), way, (seen, joint))
    return found


def _few(mouths: list[Mouth]) -> list[Mouth]:
    """The highest opening at each of a few stations."""
    best: dict[int, Mouth] = {}
    for mouth in mouths:
        if mouth.node not in best or mouth.highest_m > best[mouth.node].highest_m:
            best[mouth.node] = mouth
    nodes = sorted(best)
    step = max(1, -(-len(nodes) // _MOUTHS))
    return [best[node] for node in dict.fromkeys((*nodes[::step], nodes[-1]))]


def _led(
    s: Settings, mouth: Mouth, under: tuple[Crossing, tuple[Point, ...], float], way: int,
    seen: tuple[Ahead, Tail | None],
) -> list[Option]:  # fmt: skip
    """Daylight or a joint on the ring, if the pipe lies under its cover in the bench and low enough at the wall."""
    crossing, path, level_m = under
    length = sum(dist(a, b) for a, b in itertools.pairwise(path)) + crossing.out_m
    fixed = s.fall * (mouth.through_m + hypot(*_between(mouth.point_m, path[0])) + length)
    deepest = min(mouth.highest_m - fixed, level_m - s.cover_m - s.outside_m + s.wall_m - s.fall * length)
    start = Tail(crossing.ring_m, way, 0.0, 0.0, 0.0)
    tails = [] if s.named_only else daylight(seen[0], deepest, start, s)
    if seen[1] is not None and seen[1].needs_m <= deepest:
        tails.append(seen[1])
    found = []
    for tail in tails:
        invert = max(mouth.lowest_m, tail.needs_m + fixed)
        solid = mouth.through_m + _LEAVE_M + length + tail.length_m
        cost = notch_cost(mouth, s) + s.cost_solid * solid + (s.cost_wye if tail.into else s.cost_outlet)
        cost += (s.cost_mound if tail.mound else 0.0) + (s.cost_drop if invert - fixed - tail.needs_m > 0.05 else 0.0)
        sink = Sink(mouth.node, invert, cost)
        found.append(Option(sink, "across", mouth, tail, path, tail.end_invert_m, tail.into))
    return found


def _between(a: Point, b: Point) -> Point:
    return b[0] - a[0], b[1] - a[1]
