"""The net: chains one after the other from the lowest up, because water can only join what lies lower.

Sharing couples them, so the best few partial nets are kept (a beam), each with the cheapest layout of the next chain
and, where more than one is kept, the cheapest of each kind of sink. A layout whose solid pipe would meet timber or
another pipe is barred and the chain solved again: what comes out never clashes by this stage's own measure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from lynchet.core.same import Same
from lynchet.water.laying import with_chain
from lynchet.water.layouts import REFUSED_COST, deep_layouts, detours, last_resort, layouts_of, piped_layouts
from lynchet.water.problem import Laid, Net, Problem
from lynchet.water.second_way import second_ways

_Way = Callable[[Problem, int, Net], list[Laid]]
"""Layouts of one chain after a net."""


def best_net(problem: Problem, width: int) -> Net:
    """The cheapest net found.

    Where a chain finds no way out, low chains that stone alone would drain get a pipe all the same, so that the water
    above can run down through their benches, and the whole is solved again; then a little more ground may keep stone
    alone. A yard without any outlet is never helped so.

    Args:
        problem: chains (the lowest first) and their mouths.
        width: partial nets kept, 1 or more.
    """
    growing = _Growing(problem, width)
    best = growing.net(Aim())
    for last in (False, True):
        for kind in ("plain", "late", "piped", "deep"):
            if not best.refused:
                return best
            aim = _aim(problem, best, last, kind)
            if aim is not None:
                net = growing.net(aim)
                if net.exits and net.cost < best.cost - 1e-9:
                    best = net
    return best


@dataclass(frozen=True)
class Aim:
    """What a further try does otherwise than the cheapest first one."""

    last: bool = False
    """A chain without a way out may keep stone alone up to the last height for it."""
    piped: frozenset[int] = frozenset()
    """Chains that carry a pipe wherever one can lie."""
    late: frozenset[int] = frozenset()
    """Chains laid after all others, so that they may run into any of these."""
    deep: frozenset[int] = frozenset()
    """Chains let out as low as they can be, so that water from above reaches their sink."""


def _aim(problem: Problem, best: Net, last: bool, kind: str) -> Aim | None:
    """The next try, None where it would be one made already."""
    if kind == "plain":
        return Aim(last) if last else None
    if kind == "late":
        return Aim(last, late=frozenset(best.refused))
    if kind == "piped":
        dry = frozenset(laid.chain for laid in best.laid if not laid.reaches)
        return Aim(last, piped=dry) if dry else None
    chains = [problem.chains[number].chain for number in best.refused]
    below = {edge.low_face for chain in chains for edge in chain.edges} | {chain.high_face for chain in chains}
    deep = frozenset(i for i, drawn in enumerate(problem.chains) if drawn.chain.high_face in below)
    return Aim(last, deep=deep) if deep else None


class _Growing:
    """Nets grown chain by chain. All aims begin alike, so what came of a chain after a net is kept, and a further try
    searches only from where it does otherwise.

    Args:
        problem: chains (the lowest first) and their mouths.
        width: partial nets kept.
    """

    def __init__(self, problem: Problem, width: int) -> None:
        self._problem, self._width, self._start = problem, width, Net()
        self._usual: _Way = partial(layouts_of, width=width)
        self._known: dict[tuple[Same[Net], int, _Way | None], list[Net]] = {}
        self._nets: dict[tuple[Any, ...], Net] = {}

    def net(self, aim: Aim) -> Net:
        """The cheapest net found for an aim."""
        nets = [self._start]
        for number in sorted(range(len(self._problem.chains)), key=lambda i: i in aim.late):
            grown = [further for net in nets for further in self._further(net, number, aim)]
            grown.sort(key=lambda net: round(net.cost, 9))
            nets = _different(grown)[: max(1, self._width)]
        return nets[0]

    def _further(self, net: Net, number: int, aim: Aim) -> list[Net]:
        """A net with one chain more."""
        ways = [deep_layouts] if number in aim.deep else []
        ways += [piped_layouts] if number in aim.piped else []
        found = self._first(net, number, [*ways, self._usual])
        if found and self._problem.yard.project.drain.ways_out > 1:
            found = self._first(net, number, [second_ways]) or found
        found = found or self._first(net, number, [detours, *([last_resort] if aim.last else [])])
        return found or self._without(net, number)

    def _first(self, net: Net, number: int, ways: Sequence[_Way]) -> list[Net]:
        """What the first of some ways that leads to anything leads to."""
        for way in ways:
            asked = Same(net), number, way
            if asked not in self._known:
                found = way(self._problem, number, net)
                self._known[asked] = [self._with(net, laid) for laid in found]
            if self._known[asked]:
                return self._known[asked]
        return []

    def _with(self, net: Net, laid: Laid) -> Net:
        """A net with a layout; the same one where two ways come to the same pipes."""
        lie = tuple((reach.first, reach.last, reach.inverts_m) for reach in laid.reaches)
        key = Same(net), laid.chain, lie, laid.options
        if key not in self._nets:
            self._nets[key] = with_chain(self._problem, net, laid)
        return self._nets[key]

    def _without(self, net: Net, number: int) -> list[Net]:
        """A net with a chain that finds no way out."""
        refused = replace(net, cost=net.cost + REFUSED_COST, refused=(*net.refused, number))
        return self._known.setdefault((Same(net), number, None), [refused])


def _different(nets: list[Net]) -> list[Net]:
    kept: list[Net] = []
    for net in nets:
        if not any(abs(net.cost - other.cost) < 1e-9 and net.pipes == other.pipes for other in kept):
            kept.append(net)
    return kept
