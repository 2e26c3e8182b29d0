"""The cheapest layout of one chain, with only those ways out worked out that it could use.

Every cost of a layout is 0 or more, so no layout holds a way out that costs more than the whole. What a way out must
cost at least is known from few numbers: its notch, the straight way, how far the ring runs to ground low enough. Ways
are worked out from the cheapest such bound on, until a layout is found that costs no more than any left out could:
the layout is then the one all ways together give.
"""

from __future__ import annotations

from math import dist, inf
from typing import Protocol

import numpy as np

from lynchet.water.inside import inside_options, target_options
from lynchet.water.laying import TRIES, course_of, laid_or_bad, stone_prices
from lynchet.water.options import Mouth, Option, Seen, direct_invert_m, not_dominated, notch_cost, outside_options
from lynchet.water.problem import Laid, Net, Problem, carries
from lynchet.water.programme import best_layout, best_round
from lynchet.water.ring import FloatArray, Ring

_HAIR = 1e-6
_MORE = 0.5
"""Points by which the first ways worked out may be dearer than the cheapest bound."""


def cheapest_layout(problem: Problem, number: int, net: Net) -> Laid | None:
    """What ``laying.solved`` finds from every way out; options that clash are barred one by one.

    Args:
        problem: chains and their mouths.
        number: index of the chain.
        net: what is laid.
    """
    return cheapest_of(problem, number, net, _Ways(problem, number, net))


class Bounded(Protocol):
    """Ways out of a chain by what they cost at least, worked out when first wanted."""

    @property
    def cheapest(self) -> float:
        """No way out costs less; infinite where there is none."""

    def more_up_to(self, most: float) -> bool:
        """Whether any way not worked out yet may cost no more."""

    def up_to(self, most: float) -> list[Option]:
        """All ways that cost no more; more than these, it may be."""


def cheapest_of(problem: Problem, number: int, net: Net, ways: Bounded) -> Laid | None:
    """The same from some ways out."""
    chain = problem.chains[number].chain
    settings = problem.yard.settings
    course = course_of(problem, number, stone_prices(chain, settings))
    solve = best_round if chain.closed else best_layout
    barred = set[int]()
    most = ways.cheapest + _MORE
    for _ in range(TRIES):
        while True:
            options = [option for option in ways.up_to(most) if id(option) not in barred]
            chosen = solve(course, [option.sink for option in options], settings)
            needed = inf if chosen is None else chosen.cost + _HAIR
            if not ways.more_up_to(needed):
                break
            most = max(most, needed)
        if chosen is None:
            return None
        laid, bad = laid_or_bad(problem, number, net, chosen, options)
        if bad is None:
            return laid
        barred.add(id(bad))
    return None


class _Ways:
    """The ways out of a chain by what they cost at least, worked out when first wanted.

    Args:
        problem, number, net: as above.
    """

    def __init__(self, problem: Problem, number: int, net: Net) -> None:
        self._problem, self._number, self._net = problem, number, net
        self._mouths = list(problem.mouths[number])
        self._place = {id(mouth): place for place, mouth in enumerate(self._mouths)}
        self._outside, self._inside = _outside_bounds(problem, self._mouths, net), _inside_bounds(problem, self, net)
        self._seen: Seen = {}
        self._found: tuple[list[Option], list[Option]] = ([], [])
        targets = target_options(problem.yard, problem.rooms, self._mouths, list(problem.targets))
        self._targets = self._carried(targets)
        self._kept: list[Option] | None = None
        self.cheapest = min((*self._outside, *self._inside, *(o.sink.cost for o in self._targets)), default=inf)

    @property
    def mouths(self) -> list[Mouth]:
        """The chain's mouths, in order."""
        return self._mouths

    def more_up_to(self, most: float) -> bool:
        """Whether any way not worked out yet may cost no more."""
        return any(bound < inf and bound <= most for bound in (*self._outside, *self._inside))

    def up_to(self, most: float) -> list[Option]:
        """All ways that cost no more (and some that do), without those that others beat, in the usual order."""
        problem, net = self._problem, self._net
        outside, inside = self._take(self._outside, most), self._take(self._inside, most)
        if outside:
            found = outside_options(problem.yard, problem.ring, outside, list(net.tenants), self._seen)
            self._add(0, found)
        if inside:
            self._add(1, inside_options(problem.yard, problem.rooms, inside, list(net.exits)))
        if self._kept is None or outside or inside:
            self._kept = not_dominated([*self._found[0], *self._found[1], *self._targets])
        return self._kept

    def _take(self, bounds: list[float], most: float) -> list[Mouth]:
        """Mouths not looked at yet whose ways may cost no more; they count as looked at from now on."""
        taken = []
        for place, bound in enumerate(bounds):
            if bound <= most and bound < inf:
                taken.append(self._mouths[place])
                bounds[place] = inf
        return taken

    def _add(self, kind: int, found: list[Option]) -> None:
        self._found[kind].extend(self._carried(found))
        self._found[kind].sort(key=lambda option: self._place[id(option.mouth)])

    def _carried(self, found: list[Option]) -> list[Option]:
        return [option for option in found if carries(self._problem, self._number, self._net, option)]


def _outside_bounds(problem: Problem, mouths: list[Mouth], net: Net) -> list[float]:
    """Least cost of any way out on the ground round the area, by mouth; infinite where there is none."""
    s = problem.yard.settings
    tails, joints = _least_tails_m(problem, mouths), _least_joints_m(problem, mouths, net)
    found = []
    for mouth, tail, joint in zip(mouths, tails.tolist(), joints.tolist(), strict=True):
        least = inf
        if mouth.outside and mouth.opening is not None and direct_invert_m(mouth, s) is not None:
            least = s.cost_outlet
        if mouth.outside and mouth.ring_m is not None:
            along = min(s.cost_outlet + s.cost_solid * tail, s.cost_wye + s.cost_solid * joint)
            least = min(least, s.cost_solid * mouth.stub_m + along)
        found.append(notch_cost(mouth, s) + s.cost_solid * mouth.through_m + least - _HAIR)
    return found


def _least_tails_m(problem: Problem, mouths: list[Mouth]) -> FloatArray:
    """Length along the ring to ground low enough for daylight from the highest invert, at least; whatever bars the way.

    Ground between two samples of the ring is no lower than both, and no farther off than the nearer.
    """
    ring, s = problem.ring, problem.yard.settings
    found = np.full(len(mouths), inf)
    rows, starts = _on_ring(mouths)
    if rows:
        leads = [mouths[i].highest_m - s.fall * (mouths[i].through_m + mouths[i].stub_m) for i in rows]
        gap = float(np.diff(ring.at_m).max())
        apart = np.maximum(_round_apart(ring, ring.at_m[None, :-1], starts) - gap, 0.0)
        low = ring.levels_m[None, :-1] + s.fall * apart <= np.array(leads)[:, None] - s.drop_m + _HAIR
        found[rows] = np.where(low, apart, inf).min(axis=1)
    return found


def _least_joints_m(problem: Problem, mouths: list[Mouth], net: Net) -> FloatArray:
    """Length along the ring to a pipe one may join, at least: to where it starts, or none beside it."""
    ring = problem.ring
    found = np.full(len(mouths), inf)
    rows, starts = _on_ring(mouths)
    tenants = [tenant for tenant in net.tenants if tenant.joins]
    if rows and tenants:
        at, way, long = (np.array([getattr(t, name) for t in tenants]) for name in ("r_m", "way", "length_m"))
        beside = (starts - at) * np.where(way == 0, 1, way) % ring.length_m <= long + _HAIR
        found[rows] = np.where(beside, 0.0, _round_apart(ring, at[None, :], starts)).min(axis=1)
    return found


def _on_ring(mouths: list[Mouth]) -> tuple[list[int], FloatArray]:
    """Places of the mouths that reach the ring, and (n, 1) where they do."""
    rows = [i for i, mouth in enumerate(mouths) if mouth.outside and mouth.ring_m is not None]
    return rows, np.array([mouths[i].ring_m for i in rows], dtype=float)[:, None]


def _round_apart(ring: Ring, places: FloatArray, starts: FloatArray) -> FloatArray:
    """The shorter way round between places on the ring."""
    apart = np.abs(places % ring.length_m - starts % ring.length_m)
    return np.asarray(np.minimum(apart, ring.length_m - apart))


def _inside_bounds(problem: Problem, ways: _Ways, net: Net) -> list[float]:
    """Least cost of a way to a drain of the bench below, by mouth."""
    s = problem.yard.settings
    found = []
    for mouth in ways.mouths:
        exits = [] if mouth.outside or mouth.opening is None else [e for e in net.exits if e.face == mouth.face]
        straight = min((dist(mouth.point_m, exit_.point_m) for exit_ in exits), default=inf)
        found.append(notch_cost(mouth, s) + s.cost_solid * (straight + mouth.through_m) + s.cost_wye - _HAIR)
    return found
