"""Tails: solid pipe along the ring from a place outside a wall to daylight, or to a pipe that lies there already."""

from __future__ import annotations

import sys
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from lynchet.core.quick import quick
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


@quick
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


@quick
@dataclass(frozen=True, eq=False)
class Ahead:
    """What a pipe that starts somewhere on the ring and runs one way meets, until it cannot go on.

    Most starts are only asked whether any ground ahead lies low enough, so the rest is worked out when first wanted.
    """

    ring: Ring
    r_m: float
    way: int
    stop_m: float
    """Distance at which something bars the ring; below 0 = right at the start."""
    settings: Settings

    @cached_property
    def _samples(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        return _samples(self.ring, self.r_m, self.way, self.stop_m)

    @property
    def d_m(self) -> FloatArray:
        """(n,) distances from the start."""
        return self._samples[0]

    @cached_property
    def rise_m(self) -> FloatArray:
        """(n,) ground level plus fall times distance: daylight needs an invert of this plus the drop."""
        return self._samples[1] + self.settings.fall * self._samples[0]

    @property
    def pour(self) -> FloatArray:
        """(n,) 1.0 where water may come out."""
        return self._samples[2]

    @property
    def free(self) -> bool:
        """Whether the way is open up to ``stop_m``."""
        return _free(self.ring, self.r_m, self.way, self.stop_m)

    @cached_property
    def lowest_m(self) -> float:
        """Least ``rise_m`` of all; 0 where there is no way."""
        return float(self.rise_m.min()) if len(self.d_m) else 0.0

    @cached_property
    def _bound_m(self) -> float:
        return _lower_bound(self.ring, self.r_m, self.way, self.settings.fall) if self.stop_m >= 0.0 else float("inf")

    def reached_from(self, invert_m: float) -> bool:
        """Whether any ground ahead lies low enough for daylight from an invert at the start."""
        wanted = invert_m - self.settings.drop_m + 1e-9
        return self._bound_m <= wanted + 1e-6 and bool(len(self.d_m)) and self.lowest_m <= wanted

    def covers(self, invert_m: float) -> bool:
        """Whether a pipe laid at the least fall from an invert at the start lies under ground all the way."""
        crown = invert_m + self.settings.outside_m - self.settings.wall_m
        return not len(self.d_m) or crown <= self.lowest_m + 1e-9

    @cached_property
    def samples(self) -> tuple[list[float], list[float], list[float]]:
        """``d_m``, ``rise_m`` and ``pour`` as plain numbers, looked up one by one far more quickly."""
        return self.d_m.tolist(), self.rise_m.tolist(), self.pour.tolist()

    @cached_property
    def ends(self) -> tuple[list[int], list[float]]:
        """Samples at which a tail may end, in order, and the length over which its crown is then bare, of all samples.

        A tail is laid back from its end at the least fall, so its crown is bare from where it comes out.
        """
        bare = _bare_lengths(self.d_m, self.rise_m, _crown_m(self.settings))
        able = (self.pour > 0.5) & (bare <= self.settings.tail_mound_m + 1e-9)
        return np.flatnonzero(able).tolist(), bare.tolist()


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
    ahead = Ahead(ring, r_m, way, stop, settings)
    return ahead, joint if joint is not None and ahead.free else None


def _crown_m(settings: Settings) -> float:
    """Crown of a pipe at its mouth over the ground there."""
    return settings.drop_m + settings.outside_m - settings.wall_m


def _bare_lengths(d: FloatArray, rise: FloatArray, crown_m: float) -> FloatArray:
    """For a tail laid back from each sample at the least fall: from where its crown comes out to its end."""
    if "numba" in sys.modules:  # else loading it takes longer than a whole first look
        from lynchet.water.tails_compiled import bare_lengths

        bare: FloatArray = bare_lengths(d, rise, crown_m)
        return bare
    return _bare_by_arrays(d, rise, crown_m)


def _bare_by_arrays(d: FloatArray, rise: FloatArray, crown_m: float) -> FloatArray:
    """The same by whole arrays."""
    crown = rise + crown_m
    first = (-np.minimum.accumulate(rise)).searchsorted(-crown, side="right")
    first = np.minimum(first, np.arange(len(d)))
    before = np.maximum(first - 1, 0)
    above, below = rise[before], rise[first]
    falls = above > below
    share = np.where(falls, (above - crown) / np.where(falls, above - below, 1.0), 0.0)
    share = np.minimum(np.maximum(share, 0.0), 1.0)
    out = np.where(first == 0, 0.0, d[before] + share * (d[first] - d[before]))
    return np.asarray(np.where(below < crown - 1e-9, d - out, 0.0))


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


def _samples(ring: Ring, r_m: float, way: int, stop: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Distances, ground levels and pouring flags ahead."""
    if stop < 0.0:
        empty = np.empty(0)
        return empty, empty, empty
    r, here, first, last = _from(ring, r_m, way)
    start = r, _between(ring, ring.levels, here, r), _pours(ring, here, r)
    if "numba" in sys.modules:
        from lynchet.water.tails_compiled import samples_ahead

        d, z, pour = samples_ahead(start, way, (first, last), (stop, ring.length_m), ring.runs[way].table)
        return d, z, pour
    return _samples_by_arrays(ring, start, way, (first, last), stop)


def _samples_by_arrays(
    ring: Ring, start: tuple[float, float, float], way: int, side: tuple[int, int], stop: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The same by whole arrays."""
    at, run = ring.at, ring.runs[way]
    (r, level, flag), (first, last) = start, side
    ends = slice(first, first + max(last, 1))
    d = run.at_m[ends] - r if way > 0 else r - run.at_m[ends]
    d[len(at) - 1 - first :] += ring.length_m
    within = int(d[:last].searchsorted(stop, side="right"))
    ends = slice(first, first + within)
    d_all = np.concatenate([[0.0], d[:within]])
    z_all = np.concatenate([[level], run.levels_m[ends]])
    pour_all = np.concatenate([[flag], run.pours[ends]])
    known = ~np.isnan(z_all)
    cut = len(known) if known.all() else int(known.argmin())
    return d_all[:cut], z_all[:cut], pour_all[:cut]


def _free(ring: Ring, r_m: float, way: int, stop: float) -> bool:
    """Whether the way is open up to ``stop``."""
    if stop < 0.0:
        return True
    at = ring.at
    r, _, first, last = _from(ring, r_m, way)
    if last == len(at):
        return True
    end = first + max(last, 1) - 1
    d = way * (float(ring.runs[way].at_m[end]) - r)
    if end >= len(at) - 1:
        d += ring.length_m
    return d >= stop if last else d <= 0.0


def _from(ring: Ring, r_m: float, way: int) -> tuple[float, int, int, int]:
    """A place within the first round, the sample before it, its side in walking order, how many sides are open."""
    at = ring.at
    r = r_m % ring.length_m
    here = min(max(bisect_right(at, r) - 1, 0), len(at) - 2)
    first = here if way > 0 else len(at) - 2 - here
    return r, here, first, min(ring.runs[way].open_ahead[first], len(at))


def _pours(ring: Ring, here: int, r_m: float) -> float:
    """1.0 where water may come out at a place and at the samples before and after it."""
    both = ring.pour[here] and (ring.pour[here + 1] or r_m == ring.at[here])
    return 1.0 if both else 0.0


def _lower_bound(ring: Ring, r_m: float, way: int, fall: float) -> float:
    """No ground ahead, fall on the way added, lies lower than this (but for rounding)."""
    r, here, first, last = _from(ring, r_m, way)
    start = _between(ring, ring.levels, here, r)
    if not last:
        return start
    return min(start, ring.lowest_ahead(way, fall)[first] - fall * way * r)


def _between(ring: Ring, values: Sequence[float], here: int, r_m: float) -> float:
    """The value at a place from sample ``here`` on, in a straight line to the next (as ``numpy.interp``, one place)."""
    start, first = ring.at[here], values[here]
    if r_m == start:
        return first
    return (values[here + 1] - first) / (ring.at[here + 1] - start) * (r_m - start) + first


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
    if not ahead.reached_from(invert_m):
        return found
    wanted = invert_m - settings.drop_m
    ds, rises, pours = ahead.samples
    able, bares = ahead.ends
    for i in able:
        d, rise, bare = ds[i], rises[i], bares[i]
        if rise > wanted + 1e-9:
            continue
        if i and rises[i - 1] > wanted and pours[i - 1] > 0.5:
            share = (rises[i - 1] - wanted) / (rises[i - 1] - rise)
            d = ds[i - 1] + share * (d - ds[i - 1])
            rise, bare = wanted, bares[i - 1] + share * (bare - bares[i - 1])
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
