"""Laying one chain: the cheapest layout that meets nothing, and what a net takes from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from lynchet.water.aprons import apron_barred, meets_apron, passes_apron
from lynchet.water.inside import Exit
from lynchet.water.model import Chain
from lynchet.water.options import Option
from lynchet.water.problem import Laid, Net, Problem, drain_name
from lynchet.water.programme import Chosen, Course, Reach, best_layout, best_round
from lynchet.water.routes import Pipe, crosses, meets_pipe, meets_timber, near_m, route_of
from lynchet.water.settings import Settings
from lynchet.water.tails import Tail, Tenant
from lynchet.water.yard import Yard

TRIES = 40
_SEARCH_TRIES = 10
Search = Callable[[Course, list[Option], Settings], Chosen | None]
"""Another choice than the cheapest layout."""


def stone_prices(chain: Chain, settings: Settings) -> tuple[float | None, ...]:
    """Points per metre of each edge for stone alone; None where a pipe must lie."""
    low = settings.unpiped_m + 1e-9
    return tuple(settings.cost_stone_only if edge.held_height_m <= low else None for edge in chain.edges)


def course_of(problem: Problem, number: int, prices: tuple[float | None, ...]) -> Course:
    """A chain as the programme sees it; the same one throughout a search, with what it keeps."""
    if (number, prices) not in problem.courses:
        chain = problem.chains[number].chain
        problem.courses[number, prices] = Course(
            tuple(node.floor_m for node in chain.nodes),
            tuple(node.ceiling_m for node in chain.nodes),
            tuple(node.low_m for node in chain.nodes),
            tuple(edge.length_m for edge in chain.edges),
            prices,
        )
    return problem.courses[number, prices]


def solved(
    problem: Problem,
    number: int,
    net: Net,
    options: list[Option],
    prices: tuple[float | None, ...] | None = None,
    search: Search | None = None,
) -> Laid | None:
    """The cheapest layout that clashes with nothing laid; options that clash are barred one by one."""
    chain = problem.chains[number].chain
    settings = problem.yard.settings
    course = course_of(problem, number, prices or stone_prices(chain, settings))
    solve = best_round if chain.closed else best_layout
    left = list(options)
    for _ in range(TRIES if search is None else _SEARCH_TRIES):
        chosen = search(course, left, settings) if search else solve(course, [o.sink for o in left], settings)
        if chosen is None:
            return None
        laid, bad = laid_or_bad(problem, number, net, chosen, left)
        if bad is None:
            return laid
        left = [option for option in left if option is not bad]
    return None


def laid_or_bad(
    problem: Problem, number: int, net: Net, chosen: Chosen, options: list[Option]
) -> tuple[Laid | None, Option | None]:
    """The layout with its solid pipes, or the option that meets something."""
    drawn = problem.chains[number]
    used = [options[reach.sink] for reach in chosen.reaches]
    solids = [_routed(problem, number, option)[0] for option in used]
    names = [drain_name(drawn.chain, n) for n in range(len(used))]
    solids = [replace(pipe, part_of=name) for pipe, name in zip(solids, names, strict=True)]
    drains = [reach_pipe(drawn.chain, reach, name) for reach, name in zip(chosen.reaches, names, strict=True)]
    for index, (option, solid) in enumerate(zip(used, solids, strict=True)):
        others = [*_near(problem, number, net, solid), *drains, *solids[:index]]
        if _notch_too_near(net, used[:index], option, problem.yard.settings):
            return None, option
        if _routed(problem, number, option)[1] or _meets(problem.yard, option, solid, others):
            return None, option
        mouths = [*net.mouths, *(s for o, s in zip(used[:index], solids[:index], strict=True) if not o.into)]
        if not option.into and (meets_apron(solid, mouths, problem.yard.settings) or apron_barred(problem.yard, solid)):
            return None, option
        if passes_apron(problem.yard, [solid], mouths) or (
            not option.into and passes_apron(problem.yard, [*net.pipes, *solids[:index]], [solid])
        ):
            return None, option
    return Laid(number, chosen.cost, chosen.reaches, tuple(used), tuple(solids)), None


def _routed(problem: Problem, number: int, option: Option) -> tuple[Pipe, bool]:
    """The solid pipe of a way out, and whether it meets timber."""
    if id(option) not in problem.routes:
        pipe = route_of(problem.ring, problem.chains[number], option, problem.yard.settings.fall)
        problem.routes[id(option)] = option, pipe, meets_timber(problem.yard, pipe, option)
    return problem.routes[id(option)][1:]


def reach_pipe(chain: Chain, reach: Reach, name: str) -> Pipe:
    """A drain in space."""
    count = len(chain.nodes)
    points = tuple(chain.nodes[i % count].point_m for i in range(reach.first, reach.last + 1))
    return Pipe(name, points, reach.inverts_m)


def _near(problem: Problem, number: int, net: Net, solid: Pipe) -> list[Pipe]:
    """Pipes laid, and chains not laid yet at their lowest and their highest, which a pipe must pass clear of, as far as
    they lie near it."""
    reach = near_m(problem.yard.settings)
    laid = [net.pipes[i] for i in solid.within_reach(net.boxes_m, reach)]
    done = {made.chain for made in net.laid} | {number} | set(net.refused)
    unlaid = (i for i in solid.within_reach(problem.boxes_m, reach) if i not in done)
    return [*laid, *(pipe for i in unlaid for pipe in problem.bounds[i])]


def _notch_too_near(net: Net, before: list[Option], option: Option, settings: Settings) -> bool:
    opening = option.mouth.opening
    if opening is None:
        return False
    taken = [*net.notches, *((o.mouth.opening.leg, o.mouth.opening.station_m) for o in before if o.mouth.opening)]
    apart = settings.notches_apart_m + settings.notch_m
    return any(leg == opening.leg and abs(at - opening.station_m) < apart - 1e-9 for leg, at in taken)


def _meets(yard: Yard, option: Option, solid: Pipe, others: list[Pipe]) -> bool:
    """Whether the pipe of a way out meets another anywhere but where they merge."""
    start, end = solid.points_m[0], solid.points_m[-1]
    for other in others:
        merges = [start] if other.part_of == solid.part_of else []
        if option.into and (other.part_of == option.into):
            merges = [end]
        if meets_pipe(yard, solid, other, merges) or (merges == [end] and crosses(solid, other, end)):
            return True
    return False


def with_chain(problem: Problem, net: Net, laid: Laid) -> Net:
    """The net with one chain more."""
    drawn = problem.chains[laid.chain]
    tenants, exits, notches = list(net.tenants), list(net.exits), list(net.notches)
    pipes = list(net.pipes)
    roots, loads = dict(net.roots), list(net.loads)
    flow = problem.flows_l_s.get(drawn.chain.id, 0.0) / max(1, len(laid.reaches))
    for n, (reach, option, solid) in enumerate(zip(laid.reaches, laid.options, laid.solids, strict=True)):
        name = drain_name(drawn.chain, n)
        pipes += [reach_pipe(drawn.chain, reach, name), solid]
        if option.mouth.opening is not None:
            notches.append((option.mouth.opening.leg, option.mouth.opening.station_m))
        tenant = _tenant(problem, option, name)
        if tenant is not None:
            tenants.append(tenant)
        roots[name] = roots.get(option.into, name)
        loads.append((roots[name], flow))
        back = (-option.mouth.out[0], -option.mouth.out[1])
        exits.append(Exit(name, drawn.chain.high_face, solid.points_m[0], option.sink.invert_m, back))
    return Net(
        net.cost + laid.cost, (*net.laid, laid), net.refused, tuple(tenants), tuple(exits), tuple(pipes),
        (*net.mouths, *(s for o, s in zip(laid.options, laid.solids, strict=True) if not o.into)),
        tuple(notches), tuple(roots.items()), tuple(loads),
    )  # fmt: skip


def _tenant(problem: Problem, option: Option, name: str) -> Tenant | None:
    """What an option takes of the ring."""
    mouth, settings = option.mouth, problem.yard.settings
    tail: Tail | None = option.tail
    if tail is None:
        if mouth.ring_m is None or not mouth.outside:
            return None
        return Tenant(name, mouth.ring_m, 0, 0.0, option.end_invert_m, option.end_invert_m, joins=False)
    start = tail.end_invert_m + settings.fall * tail.length_m
    way = tail.way if tail.length_m > 0 else 0
    return Tenant(name, tail.r_m, way, tail.length_m, start, tail.end_invert_m)
