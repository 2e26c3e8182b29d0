"""Tails: solid pipe along the ring from a place outside a wall to daylight, or to a pipe that lies there already."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lynchet.water.ring import FloatArray, Ring
from lynchet.water.settings import Settings

_APART_M = 0.6
_BESIDE_M = 0.3
_MOST_M = 60.0


@dataclass(frozen=True)
class Tenant:
    """A pipe that lies on the ring already, or stands across it (length 0)."""

    drain: str
    r_m: float
    way: int
    length_m: float
    start_invert_m: float
    end_invert_m: float
    joins: bool = True
    """Whether another pipe may run into it."""

    def invert_at(self, along_m: float) -> float:
        """Invert at a distance from its start."""
        share = along_m / self.length_m if self.length_m else 0.0
        return self.start_invert_m + share * (self.end_invert_m - self.start_invert_m)


@dataclass(frozen=True)
class Tail:
    """A way along the ring."""

    r_m: float
    way: int
    length_m: float
    end_invert_m: float
    needs_m: float
    """Invert at least at the ring's place where it starts: end and fall on the way."""
    into: str = ""
    """Drain it runs into; empty = daylight."""
    mound: bool = False
    """Earth is heaped over its end."""


@dataclass(frozen=True, eq=False)
class Ahead:
    """What a pipe that starts somewhere on the ring and runs one way meets, until it cannot go on."""

    d_m: FloatArray
    """(n,) distances from the start."""
    rise_m: FloatArray
    """(n,) ground level plus fall times distance: daylight needs an invert of this plus the drop."""
    pour: FloatArray
    """(n,) 1.0 where water may come out."""
    lowest_m: float
    """Least ``rise_m`` of all."""
    crown_m: float
    """Crown of a pipe at its mouth over the ground there."""

    @cached_property
    def bare_m(self) -> FloatArray:
        """(n,) length at the end of a tail that ends at this sample over which its crown is bare."""
        return _bare_lengths(self.d_m, self.rise_m, self.crown_m)


def look_ahead(
    ring: Ring, r_m: float, way: int, tenants: list[Tenant], settings: Settings
) -> tuple[Ahead, Tail | None]:
    """The open way along the ring and the first pipe one could join on it.

    Args:
        ring: the ring.
        r_m: start.
        way: +1 anticlockwise, -1 clockwise.
        tenants: pipes on the ring.
        settings: least fall.

    Returns:
        The way, and the joint with the pipe that ends it (None where there is none).
    """
    stop, joint = min(_MOST_M, ring.length_m - _APART_M), None
    for tenant in tenants:
        limit, found = _meets(ring, r_m, way, tenant, settings)
        if limit < stop:
            stop, joint = limit, found
    d, z, pour, free = _samples(ring, r_m, way, stop)
    if not free and joint is not None:
        joint = None
    rise = z + settings.fall * d
    return Ahead(d, rise, pour, float(rise.min()) if len(d) else 0.0, _crown_m(settings)), joint


def _crown_m(settings: Settings) -> float:
    """Crown of a pipe at its mouth over the ground there."""
    return settings.drop_m + settings.outside_m - settings.wall_m


def _bare_lengths(d: FloatArray, rise: FloatArray, crown_m: float) -> FloatArray:
    """For a tail laid back from each sample at the least fall: from where its crown comes out to its end."""
    crown = rise + crown_m
    first = np.searchsorted(-np.minimum.accumulate(rise), -crown, side="right")
    first = np.minimum(first, np.arange(len(d)))
    before = np.maximum(first - 1, 0)
    above, below = rise[before], rise[first]
    share = np.where(above > below, (above - crown) / np.where(above > below, above - below, 1.0), 0.0)
    out = np.where(first == 0, 0.0, d[before] + np.clip(share, 0.0, 1.0) * (d[first] - d[before]))
    return np.asarray(np.where(rise[first] < crown - 1e-9, d - out, 0.0))


def _meets(ring: Ring, r_m: float, way: int, tenant: Tenant, settings: Settings) -> tuple[float, Tail | None]:
    """Where a pipe must stop for a tenant, and how it could join it."""
    round_m = ring.length_m
    inside = (r_m - tenant.r_m) * (tenant.way or 1) % round_m
    if inside <= tenant.length_m + 1e-9 and tenant.joins:
        level = tenant.invert_at(inside)
        return -1.0, Tail(r_m, way, 0.0, level, level, tenant.drain)
    if inside <= tenant.length_m + _BESIDE_M or round_m - inside <= _BESIDE_M:
        return -1.0, None
    start = (tenant.r_m - r_m) * way % round_m
    if tenant.way == way or tenant.length_m == 0.0:
        if not tenant.joins:
            return start - _BESIDE_M, None
        level = tenant.start_invert_m
        return start, Tail(r_m, way, start, level, level + settings.fall * start, tenant.drain)
    end = (tenant.r_m + tenant.way * tenant.length_m - r_m) * way % round_m
    return end - _APART_M, None


def _samples(ring: Ring, r_m: float, way: int, stop: float) -> tuple[FloatArray, FloatArray, FloatArray, bool]:
    """Distances, ground levels and pouring flags ahead; whether the way is free up to ``stop``."""
    if stop < 0.0:
        empty = np.empty(0)
        return empty, empty, empty, True
    at, z, pour, passes = ring.at_m, ring.levels_m, ring.pours, ring.open
    length = ring.length_m
    r = r_m % length
    here = int(np.clip(np.searchsorted(at, r, side="right") - 1, 0, len(at) - 2))
    if way > 0:
        order = np.concatenate([np.arange(here, len(at) - 1), np.arange(here + 1)])
        sides, d = order, (at[1:][order] - r) % length
        ends = order + 1
    else:
        order = np.concatenate([np.arange(here, -1, -1), np.arange(len(at) - 2, here - 1, -1)])
        sides, d = order, (r - at[:-1][order]) % length
        ends = order
    d[-1] = length - 1e-9 if d[-1] <= 0 else d[-1]
    shut = np.flatnonzero(~passes[sides])
    last = int(shut[0]) if len(shut) else len(sides)
    within = int(np.searchsorted(d[:last], stop, side="right"))
    first_z, first_pour = _between(at, z, here, r), float(_between(at, pour, here, r) == 1.0)
    d_all = np.concatenate([[0.0], d[:within]])
    z_all = np.concatenate([[first_z], z[ends[:within]]])
    pour_all = np.concatenate([[first_pour], pour[ends[:within]]])
    known = ~np.isnan(z_all)
    cut = len(known) if known.all() else int(np.argmin(known))
    return d_all[:cut], z_all[:cut], pour_all[:cut], last == len(sides) or (within < last or d[last - 1] >= stop)


def _between(at: FloatArray, values: FloatArray, here: int, r_m: float) -> float:
    """The value at a place from sample ``here`` on, in a straight line to the next (as ``numpy.interp``, one place)."""
    start, first = float(at[here]), float(values[here])
    if r_m == start:
        return first
    return (float(values[here + 1]) - first) / (float(at[here + 1]) - start) * (r_m - start) + first


def daylight(ahead: Ahead, invert_m: float, tail: Tail, settings: Settings) -> list[Tail]:
    """The first place ahead where a pipe that starts at an invert comes to daylight; an earlier one with a mound.

    It is laid back from there at the least fall, so it must lie under ground but for its last part, which is longer
    where earth is heaped over it.

    Args:
        ahead: the way.
        invert_m: invert at the start on the ring, at most.
        tail: start and direction.
        settings: fall, drop, part that may be bare.
    """
    found: list[Tail] = []
    if not len(ahead.d_m):
        return found
    wanted = invert_m - settings.drop_m
    if ahead.lowest_m > wanted + 1e-9:
        return found
    able = (ahead.rise_m <= wanted + 1e-9) & (ahead.pour > 0.5) & (ahead.bare_m <= settings.tail_mound_m + 1e-9)
    for i in np.flatnonzero(able):
        d, rise, bare = float(ahead.d_m[i]), float(ahead.rise_m[i]), float(ahead.bare_m[i])
        if i and ahead.rise_m[i - 1] > wanted and ahead.pour[i - 1] > 0.5:
            before = float(ahead.rise_m[i - 1])
            share = (before - wanted) / (before - rise)
            d = float(ahead.d_m[i - 1]) + share * (d - float(ahead.d_m[i - 1]))
            rise, bare = wanted, float(ahead.bare_m[i - 1]) + share * (bare - float(ahead.bare_m[i - 1]))
        mound = bare > settings.tail_bare_m + 1e-9
        if bare > settings.tail_mound_m + 1e-9 or (mound and found):
            continue
        end = rise - settings.fall * d + settings.drop_m
        found.append(Tail(tail.r_m, tail.way, d, end, end + settings.fall * d, mound=mound))
        if not mound:
            break
    return found


def closest_miss_m(ahead: Ahead, invert_m: float, settings: Settings) -> float | None:
    """How far the best daylight ahead lies too high for an invert; None where water may come out nowhere."""
    able = ahead.pour > 0.5
    if not len(ahead.d_m) or not able.any():
        return None
    return float(ahead.rise_m[able].min()) + settings.drop_m - invert_m
