"""The net: chains one after the other from the lowest up, because water can only join what lies lower.

Sharing couples them, so the best few partial nets are kept (a beam), each with the cheapest layout of the next chain
and, where more than one is kept, the cheapest of each kind of sink. A layout whose solid pipe would meet timber or
another pipe is barred and the chain solved again: what comes out never clashes by this stage's own measure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from lynchet.water.laying import with_chain
from lynchet.water.layouts import REFUSED_COST, deep_layouts, detours, last_resort, layouts_of, piped_layouts
from lynchet.water.problem import Net, Problem
from lynchet.water.second_way import second_ways


def best_net(problem: Problem, width: int) -> Net:
    """The cheapest net found.

    Where a chain finds no way out, low chains that stone alone would drain get a pipe all the same, so that the water
    above can run down through their benches, and the whole is solved again; then a little more ground may keep stone
    alone. A yard without any outlet is never helped so.

    Args:
        problem: chains (the lowest first) and their mouths.
        width: partial nets kept, 1 or more.
    """
    best = _grown(problem, width, Aim())
    for last in (False, True):
        for kind in ("plain", "late", "piped", "deep"):
            if not best.refused:
                return best
            aim = _aim(problem, best, last, kind)
            if aim is not None:
                net = _grown(problem, width, aim)
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


def _grown(problem: Problem, width: int, aim: Aim) -> Net:
    """The cheapest net found for an aim."""
    nets = [Net()]
    for number in sorted(range(len(problem.chains)), key=lambda i: i in aim.late):
        grown: list[Net] = []
        for net in nets:
            layouts = layouts_of(problem, number, net, width)
            if number in aim.piped:
                layouts = piped_layouts(problem, number, net) or layouts
            if number in aim.deep:
                layouts = deep_layouts(problem, number, net) or layouts
            if problem.yard.project.drain.ways_out > 1 and layouts:
                layouts = second_ways(problem, number, net) or layouts
            layouts = layouts or detours(problem, number, net)
            if not layouts and aim.last:
                layouts = last_resort(problem, number, net)
            grown += [with_chain(problem, net, laid) for laid in layouts]
            if not layouts:
                grown.append(replace(net, cost=net.cost + REFUSED_COST, refused=(*net.refused, number)))
        grown.sort(key=lambda net: round(net.cost, 9))
        nets = _different(grown)[: max(1, width)]
    return nets[0]


def _different(nets: list[Net]) -> list[Net]:
    kept: list[Net] = []
    for net in nets:
        if not any(abs(net.cost - other.cost) < 1e-9 and net.pipes == other.pipes for other in kept):
            kept.append(net)
    return kept
