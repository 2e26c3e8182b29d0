"""A second way out for a chain: its pipe parts at a high point and each half leaves by its own way, so that with one
shut the water runs over the high point to the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import accumulate, pairwise
from math import dist

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Finding, Verdict
from lynchet.water.laying import solved
from lynchet.water.layouts import all_options
from lynchet.water.model import Chain, Drain
from lynchet.water.options import Option, level_and_cost
from lynchet.water.problem import Laid, Net, Problem
from lynchet.water.programme import Chosen, Course, Reach, Sink, best_layout
from lynchet.water.settings import Settings

MOUTHS_APART_M = 1.0
"""Two ways out start at least so far apart, so that one heap of leaves does not shut both. PRACTICE."""
_PARTINGS, _EACH = 7, 3
"""Places tried for the parting, and ways out looked at from each node: a second way is a plain one or none."""
_Ends = Callable[[Option, Option], bool]


def second_ways(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The cheapest layout of a chain with two ways out; none where there is none, or where the chain is closed.

    Args:
        problem: the search's constants.
        number: index of the chain.
        net: laid so far.
    """
    if problem.chains[number].chain.closed:
        return []
    roots = dict(net.roots)

    def apart(first: Option, second: Option) -> bool:
        """Whether two ways out end at different outlets and start apart."""
        if first.into and second.into and roots.get(first.into, first.into) == roots.get(second.into, second.into):
            return False
        return dist(first.mouth.point_m, second.mouth.point_m) >= MOUTHS_APART_M

    options = _cheapest(all_options(problem, number, net))
    laid = solved(problem, number, net, options, search=_parting(apart))
    return [] if laid is None else [laid]


def _parting(apart: _Ends) -> Callable[[Course, list[Option], Settings], Chosen | None]:
    def search(course: Course, options: list[Option], settings: Settings) -> Chosen | None:
        found = [chosen for node in _partings(course) if (chosen := _parted_at(course, options, settings, node, apart))]
        return min(found, key=lambda one: round(one.cost, 9), default=None)

    return search


def _partings(course: Course) -> list[int]:
    """Nodes where the pipe may part: all of a short chain, else those nearest to even lengths along it."""
    along = list(accumulate(course.lengths_m))[:-1]
    if len(along) <= _PARTINGS:
        return list(range(1, len(along) + 1))
    wished = [share * sum(course.lengths_m) / (_PARTINGS + 1) for share in range(1, _PARTINGS + 1)]
    return sorted({1 + min(range(len(along)), key=lambda i: abs(along[i] - at)) for at in wished})


def _cheapest(options: list[Option]) -> list[Option]:
    """The cheapest few ways out of each node."""
    by_node: dict[int, list[Option]] = {}
    for option in sorted(options, key=lambda o: level_and_cost(o)[::-1]):
        by_node.setdefault(option.sink.node, []).append(option)
    return [option for node in sorted(by_node) for option in by_node[node][:_EACH]]


def _parted_at(course: Course, options: list[Option], settings: Settings, node: int, apart: _Ends) -> Chosen | None:
    """The cheapest two pipes that part at a node, each with its own way out."""
    low = [i for i, option in enumerate(options) if option.sink.node <= node]
    high = [i for i, option in enumerate(options) if option.sink.node >= node]
    first, second = _half(course, options, settings, (0, node), low), None
    if first is not None:
        second = _half(course, options, settings, (node, len(course.floors_m) - 1), high)
    if first is None or second is None:
        return None
    if not apart(options[first.reaches[-1].sink], options[second.reaches[0].sink]):
        # keep either and look for another beside it
        kept = options[first.reaches[-1].sink]
        others = [i for i in high if apart(kept, options[i])]
        again = _half(course, options, settings, (node, len(course.floors_m) - 1), others)
        kept = options[second.reaches[0].sink]
        before = _half(course, options, settings, (0, node), [i for i in low if apart(options[i], kept)])
        pairs = [(a, b) for a, b in ((first, again), (before, second)) if a is not None and b is not None]
        if not pairs:
            return None
        first, second = min(pairs, key=lambda pair: round(pair[0].cost + pair[1].cost, 9))
    cost = first.cost + second.cost + settings.cost_high_point
    return Chosen(cost, (*first.reaches, *second.reaches))


def _half(
    course: Course, options: list[Option], settings: Settings, span: tuple[int, int], some: list[int]
) -> Chosen | None:
    """The cheapest layout of some nodes of a chain, with a pipe up to both sides of the parting."""
    low, high = span
    sinks = [Sink(options[i].sink.node - low, options[i].sink.invert_m, options[i].sink.cost) for i in some]
    found = best_layout(course.part(low, high), sinks, settings) if sinks else None
    if found is None or not found.reaches:
        return None
    if (found.reaches[-1].last + low != high) if low == 0 else (found.reaches[0].first != 0):
        return None
    moved = (Reach(r.first + low, r.last + low, some[r.sink], r.inverts_m) for r in found.reaches)
    return replace(found, reaches=tuple(moved))


def _drains(mine: Sequence[Drain]) -> str:
    names = [drain.id for drain in mine]
    return f"Drain {names[0]} has" if len(names) == 1 else f"Drains {enumerated(names)} have"


def one_way_findings(chains: tuple[Chain, ...], drains: tuple[Drain, ...], ends: dict[str, str]) -> list[Finding]:
    """Chains for which two ways out are asked and one is all there is.

    Args:
        chains: of the yard.
        drains: laid.
        ends: outlet at which each drain's water comes out.
    """
    found = []
    for chain in chains:
        mine = [drain for drain in drains if drain.chain == chain.id]
        if mine and not any(ends[a.id] != ends[b.id] and a.nodes[-1] == b.nodes[0] for a, b in pairwise(mine)):
            text = (
                f"{_drains(mine)} one way out only: no second one was found. With that outlet shut, water stands "
                "behind the wall as high as it can; the wall is checked so. An outlet of your own elsewhere "
                "(`outlet` under [drain]) may be the second."
            )
            found.append(Finding("water.one_way", Verdict.WATCH, text, chain.id, source="PRACTICE"))
    return found
