"""The way out of a pipe that may join no drain: along the ring, or along a lane further out where others lie on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise, product
from math import dist
from typing import Any

import numpy as np

from lynchet.water.aprons import apron_barred, meets_apron, passes_apron
from lynchet.water.lying import Lying, lying
from lynchet.water.lying import Pipe as AnyPipe
from lynchet.water.model import Drain, Point, SolidPipe, Stone
from lynchet.water.over_stone import over_stone
from lynchet.water.ring import Ring
from lynchet.water.routes import Pipe
from lynchet.water.settings import Settings, gentle
from lynchet.water.tails import Ahead, Tail, Tenant, daylight, look_ahead
from lynchet.water.yard import Yard

_REACH_M = 6.0
"""From where the pipe starts straight to the lane, at most. PRACTICE."""
_ASIDE_M = (0.0, 0.75, -0.75, 1.5, -1.5, 2.5, -2.5)
_FURTHER_M = (0.0, 0.35, 0.8, 1.5, 3.0, 5.0)
"""How far the lanes lie outside the ring, which is the first of them. OWN."""
_EVEN_M = 0.02
"""A pipe laid along the ground is straight to within so much."""
_POINTS_M = 0.05
"""Places of it nearer to each other are one."""
_SHORT_M = 8.0
"""A way no longer than this is taken as it is; beside a longer one the lanes further out are looked at too. OWN."""
_SAVES = 0.75
"""One further out is taken where less than this share is dug for it of what the one found nearer asks for. OWN."""
_STEP_M = 0.5
"""Depths of a trench are taken so far apart at most."""
_EVERY = tuple(product((False, True), (False, True), range(len(_FURTHER_M))))
"""Whether water may come out above stone of a wall, whether what may be given up is, which lane: tried in turn."""


@dataclass(frozen=True, eq=False)
class Lane:
    """One line round the area on which a pipe may run."""

    yard: Yard
    """With the settings of this lane."""
    ring: Ring
    tenants: list[Tenant]
    """Pipes on it already."""


@dataclass(frozen=True, eq=False)
class Way:
    """A pipe from its start to daylight."""

    points_m: tuple[Point, ...]
    inverts_m: tuple[float, ...]
    tail: Tail
    """Its part along the lane."""
    lane: Lane

    @property
    def length_m(self) -> float:
        """From its start to where it pours."""
        return dist(*self.points_m[:2]) + max(self.tail.length_m, 0.0)

    @property
    def fall(self) -> float:
        """Least fall it is laid at."""
        return self.lane.yard.settings.fall


@dataclass(frozen=True, eq=False)
class _Lying:
    """All pipes that are laid, as the ways looked for next ask for them."""

    beside: Lying
    pipes: list[Pipe]
    mouths: list[Pipe]
    """Those that end at an outlet."""
    own: Any
    """The line (shapely) of the pipe that leads to the way; None where none does."""


@dataclass(eq=False)
class WaysOut:
    """Finds ways out one after the other; each keeps clear of those kept before it."""

    yard: Yard
    ring: Ring
    tenants: Sequence[Tenant]
    """Pipes on the ring already; none of these may run into them."""
    ring_of: Callable[[Yard], Ring]
    """The ring under other settings."""
    laid: list[AnyPipe]
    """All pipes, wherever they lie."""
    stones: Sequence[Stone]
    """Drain stone of the walls: no water is let out close above it where it need not be."""
    _lanes: dict[int, Lane] = field(default_factory=dict)
    """Those looked at, by their place in ``_EVERY``."""

    def found(self, line: Sequence[Point], invert_m: float) -> Way | None:
        """The shortest way on the first lane that has one, then with what may be given up; None where none has.

        Where it is long, one on a lane further out is taken in its place if that saves a quarter of the digging: pipes
        of drains on the ring may shut the short way along it, and the long one is dug deep round the whole yard.

        Args:
            line: plan points outside of the pipe that leads to its start; that one alone where none does.
            invert_m: at its start, at most.
        """
        others = _lying(self.laid, line)
        best: Way | None = None
        for place, (_, _, number) in enumerate(_EVERY):
            if best is not None and (number == 0 or best.length_m <= _SHORT_M):
                break
            way = self._along(self._lane_at(place), (line[-1], invert_m), others)
            if way is not None and (best is None or _dug_m2(way) < _SAVES * _dug_m2(best)):
                best = way
        return best

    def keep(self, way: Way, pipe: AnyPipe) -> None:
        """Later pipes keep clear of one that is laid along a way."""
        tail = way.tail
        kept = Tenant(pipe.id, tail.r_m, tail.way, tail.length_m, tail.needs_m, tail.end_invert_m, joins=False)
        way.lane.tenants.append(kept)
        self.laid.append(pipe)

    def lowest_m(self) -> float:
        """Least level of the ground on the lanes looked at, where water may come out; infinite where it may nowhere."""
        levels = [lane.ring.levels_m[lane.ring.pour] for lane in self._lanes.values()]
        return min((float(one.min()) for one in levels if len(one)), default=float("inf"))

    def _lane_at(self, place: int) -> Lane:
        """A lane by its place in ``_EVERY``, made when first asked for."""
        if place not in self._lanes:
            self._lanes[place] = self._made(*_EVERY[place])
        return self._lanes[place]

    def _made(self, above: bool, soft: bool, number: int) -> Lane:
        if not (above or soft):
            plain = self._lane(number)
            pour = plain.ring.pour & ~over_stone(self.stones, plain.ring.points, plain.ring.levels_m)
            return replace(plain, ring=replace(plain.ring, pour=pour))
        like = self._lane_at(_EVERY.index((above and soft, False, number)))
        if soft:
            return replace(like, yard=like.yard.with_settings(gentle(like.yard.settings)))
        return replace(like, ring=self.ring if number == 0 else self.ring_of(like.yard))

    def _lane(self, number: int) -> Lane:
        if number == 0:
            return Lane(self.yard, self.ring, [replace(tenant, joins=False) for tenant in self.tenants])
        settings = self.yard.settings
        yard = self.yard.with_settings(replace(settings, ring_m=settings.ring_m + _FURTHER_M[number]))
        return Lane(yard, self.ring_of(yard), [])

    def _along(self, lane: Lane, start: tuple[Point, float], others: _Lying) -> Way | None:
        ring, s = lane.ring, lane.yard.settings
        nearest = ring.nearest_m(start[0])
        best: tuple[float, Way | None] = (float("inf"), None)
        for aside in _ASIDE_M:
            at = (nearest + aside) % ring.length_m
            stub = dist(start[0], ring.point_at(at))
            for way in (1, -1) if stub <= _REACH_M else ():
                ahead, _ = look_ahead(ring, at, way, lane.tenants, s)
                for tail in daylight(ahead, start[1] - s.fall * stub, Tail(at, way, 0.0, 0.0, 0.0), s):
                    if stub + tail.length_m >= best[0] - 1e-6:
                        continue
                    made = Way(*_laid_out(ahead, tail, start, s), tail, lane)
                    if _clear(made, others):
                        best = stub + tail.length_m, made
        return best[1]


def _dug_m2(way: Way) -> float:
    """How much is dug for a pipe for each metre of its trench's width, in m2: its depth along its length."""
    import shapely

    line = shapely.LineString(way.points_m)
    along = np.append(0.0, np.cumsum([dist(a, b) for a, b in pairwise(way.points_m)]))
    places = np.linspace(0.0, line.length, max(2, int(line.length / _STEP_M) + 2))
    ground = way.lane.yard.level_at(shapely.get_coordinates(shapely.line_interpolate_point(line, places)).tolist())
    depths = np.clip(ground - np.interp(places, along, way.inverts_m), 0.0, None)
    return float(np.trapezoid(np.nan_to_num(depths), places))


def _clear(way: Way, others: _Lying) -> bool:
    """Whether a pipe keeps clear of timber, of what stays, of all other pipes and of the stone at their ends."""
    yard, points, levels = way.lane.yard, way.points_m, way.inverts_m
    if not _stub_free(yard, points[:2], levels[:2]) or others.beside.meets(points, levels, apart_m(yard)):
        return False
    if _turns_back(points, others.own, apart_m(yard)):
        return False
    mine = Pipe("", points, levels)
    return not (apron_barred(yard, mine) or meets_apron(mine, others.mouths, yard.settings)
                or passes_apron(yard, [mine], others.mouths) or passes_apron(yard, others.pipes, [mine]))  # fmt: skip


def _lying(laid: Sequence[AnyPipe], line: Sequence[Point]) -> _Lying:
    from shapely import LineString

    pipes = [Pipe(pipe.id, pipe.points_m, pipe.inverts_m) for pipe in laid]
    names = {pipe.id for pipe in laid}
    mouths = [made for made, pipe in zip(pipes, laid, strict=True)
              if not isinstance(pipe, Drain) and not (isinstance(pipe, SolidPipe) and pipe.into in names)]  # fmt: skip
    return _Lying(lying(laid), pipes, mouths, LineString(line) if len(line) > 1 else None)


def _turns_back(points: Sequence[Point], own: Any, apart: float) -> bool:
    """Whether a way runs back along the pipe that leads to it, once it has left its end."""
    from shapely import LineString
    from shapely.geometry import Point as Dot

    if own is None:
        return False
    on = LineString(points).difference(Dot(points[0]).buffer(2.0 * apart))
    return not on.is_empty and bool(on.dwithin(own, apart))


def apart_m(yard: Yard) -> float:
    """Between the middles of two pipes at least."""
    return yard.settings.outside_m + yard.settings.clear_m


def _laid_out(
    ahead: Ahead, tail: Tail, start: tuple[Point, float], settings: Settings
) -> tuple[tuple[Point, ...], tuple[float, ...]]:
    """A pipe from a point outside along a tail: no deeper than its cover asks, never under its least fall.

    The lowest it may lie is laid back from its end at the least fall; the highest falls so from its start and keeps its
    cover under the ground. It follows the higher of the two, straight to within ``_EVEN_M``: both fall at least so much
    everywhere, and so does what lies straight between two places of either.

    Args:
        ahead: the way along the lane.
        tail: along it.
        start: plan point and invert.
        settings: fall, cover, width.

    Returns:
        Its points, at every corner of the lane and every change of fall, and its inverts there.
    """
    import shapely

    ring, fall, long = ahead.ring, settings.fall, tail.length_m
    if long < 1e-6:
        return (start[0], ring.point_at(tail.r_m)), (start[1], tail.end_invert_m)
    stub = dist(start[0], ring.point_at(tail.r_m))
    d = np.append(ahead.d_m[ahead.d_m < long - 1e-6], long)
    covered = np.interp(d, ahead.d_m, ahead.rise_m) - (settings.outside_m - settings.wall_m + settings.cover_m)
    highest = np.minimum.accumulate(np.append(start[1] - fall * stub, covered))[1:]
    levels = np.maximum(tail.end_invert_m + fall * long, highest) - fall * d
    even = shapely.get_coordinates(shapely.simplify(shapely.LineString(np.column_stack([d, levels])), _EVEN_M))
    corners = (ring.corners_m - tail.r_m) * tail.way % ring.length_m
    corners = corners[(corners > _POINTS_M) & (corners < long - _POINTS_M)]
    places = np.unique(np.concatenate([even[:, 0], corners]))
    ends = np.concatenate([[0.0, long], corners])
    kept = [at for at in places.tolist() if at in ends or np.abs(ends - at).min() > _POINTS_M]
    points = [ring.point_at(tail.r_m + tail.way * at) for at in kept]
    return (start[0], *points), (start[1], *np.interp(kept, even[:, 0], even[:, 1]).tolist())


def _stub_free(yard: Yard, ends_m: Sequence[Point], inverts_m: Sequence[float]) -> bool:
    """Whether a pipe can run straight to the lane: no timber, no house but its own, nothing that stays in its way."""
    from shapely.geometry import LineString

    if dist(*ends_m) < 1e-6:
        return True
    line = LineString(ends_m)
    if yard.timber_near(line, min(inverts_m) - 0.2, max(inverts_m) + 0.3, yard.settings.radius_m):
        return False
    if line.intersects(yard.lot_lines) or line.dwithin(yard.kept, yard.settings.radius_m):
        return False
    return bool(yard.houses.is_empty or line.intersection(yard.houses.buffer(-0.02)).length < 1e-9)
