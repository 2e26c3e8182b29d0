"""The layouts of one chain that a net is grown by: the cheapest, and those for further tries."""

from __future__ import annotations

from dataclasses import replace

from lynchet.water.cheapest import cheapest_layout, cheapest_of
from lynchet.water.detours import Detours
from lynchet.water.inside import inside_options, target_options
from lynchet.water.laying import solved, stone_prices
from lynchet.water.options import Option, level_and_cost, not_dominated, outside_options
from lynchet.water.problem import Laid, Net, Problem, carries

REFUSED_COST = 1000.0
_DEEP_TRIES = 15


def all_options(problem: Problem, number: int, net: Net) -> list[Option]:
    """Every way out of a chain, given what is laid."""
    return not_dominated(_every_option(problem, number, net))


def _every_option(problem: Problem, number: int, net: Net) -> list[Option]:
    """Ways out with those that others beat, which still serve where those meet something.

    Nets differ in few pipes, so a chain is asked again and again for ways beside the same ones.
    """
    yard, mouths = problem.yard, list(problem.mouths[number])
    here = {mouth.face for mouth in mouths}
    exits = tuple(exit_ for exit_ in net.exits if exit_.face in here)
    outside, inside = problem.outside, problem.inside
    if (number, net.tenants) not in outside:
        outside[number, net.tenants] = outside_options(yard, problem.ring, mouths, list(net.tenants))
    if (number, exits) not in inside:
        inside[number, exits] = inside_options(yard, problem.rooms, mouths, list(exits))
    found = [*outside[number, net.tenants], *inside[number, exits]]
    found += target_options(yard, problem.rooms, mouths, list(problem.targets))
    return [option for option in found if carries(problem, number, net, option)]


def detours(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain that no usual way out serves."""
    usual = _every_option(problem, number, net)
    laid = cheapest_of(problem, number, net, Detours(problem, number, net, usual))
    return [] if laid is None else [laid]


def layouts_of(problem: Problem, number: int, net: Net, width: int) -> list[Laid]:
    """The cheapest layout of a chain; the cheapest of each kind and place of a way out too where more are kept.

    Args:
        problem: chains and their mouths.
        number: index of the chain.
        net: what is laid.
        width: partial nets kept.
    """
    if width == 1:
        laid = cheapest_layout(problem, number, net)
        return [] if laid is None else [laid]
    options = all_options(problem, number, net)
    some = [options]
    some += [[o for o in options if o.kind == kind] for kind in dict.fromkeys(o.kind for o in options)]
    some += [[o for o in options if o.sink.node == node] for node in dict.fromkeys(o.sink.node for o in options)]
    unlike = {tuple(map(id, each)): each for each in some}
    found = (solved(problem, number, net, each) for each in unlike.values())
    return [laid for laid in found if laid is not None]


def piped_layouts(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain with pipe wherever it can lie: stone alone counts as dear as no way out."""
    return _with_dear_stone(problem, number, net, all_options(problem, number, net))


def deep_layouts(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain with the lowest single sink that serves it."""
    options = sorted(all_options(problem, number, net), key=lambda o: (*level_and_cost(o), o.sink.node))
    for option in options[:_DEEP_TRIES]:
        laid = _with_dear_stone(problem, number, net, [option])
        if laid and laid[0].reaches:
            return laid
    return []


def _with_dear_stone(problem: Problem, number: int, net: Net, options: list[Option]) -> list[Laid]:
    settings = problem.yard.settings
    chain = problem.chains[number].chain
    dear = tuple(None if price is None else REFUSED_COST for price in stone_prices(chain, settings))
    laid = solved(problem, number, net, options, dear)
    if laid is None:
        return []
    edges = chain.edges
    served = {i % len(edges) for reach in laid.reaches for i in range(reach.first, reach.last)}
    bare = sum(edge.length_m for i, edge in enumerate(edges) if i not in served)
    return [replace(laid, cost=laid.cost - (REFUSED_COST - settings.cost_stone_only) * bare)]


def last_resort(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain that may keep stone alone where a little more is held than stone should drain."""
    s = problem.yard.settings
    edges = problem.chains[number].chain.edges
    over = sum(e.length_m for e in edges if s.stone_last_m + 1e-9 < e.held_height_m <= s.stone_short_m + 1e-9)
    most = s.stone_short_m if over <= s.stone_short_length_m else s.stone_last_m
    prices = [
        s.cost_stone_only if edge.held_height_m <= s.unpiped_m + 1e-9
        else s.cost_stone_last if edge.held_height_m <= most + 1e-9 else None
        for edge in edges
    ]  # fmt: skip
    laid = solved(problem, number, net, all_options(problem, number, net), tuple(prices))
    return [] if laid is None else [laid]
