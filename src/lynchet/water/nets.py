"""The net: chains one after the other from the lowest up, because water can only join what lies lower.

Sharing couples them, so the best few partial nets are kept (a beam), each with the cheapest layout of the next chain
and, where more than one is kept, the cheapest of each kind of sink. A layout whose solid pipe would meet timber or
another pipe is barred and the chain solved again: what comes out never clashes by this stage's own measure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from lynchet.water.aprons import meets_apron
from lynchet.water.chains import DrawnChain
from lynchet.water.inside import Exit, Rooms, Target, exits_along, inside_options, target_options
from lynchet.water.model import Chain
from lynchet.water.options import Mouth, Option, mouths_of, not_dominated, outside_options
from lynchet.water.pipe_flow import full_flow_m3_s
from lynchet.water.programme import Chosen, Course, Reach, best_layout, best_round
from lynchet.water.ring import Ring
from lynchet.water.routes import Pipe, meets_pipe, meets_timber, route_of
from lynchet.water.settings import Settings
from lynchet.water.tails import Tail, Tenant
from lynchet.water.yard import Yard

Point = tuple[float, float]
_REFUSED_COST = 1000.0
_TRIES = 40
_DEEP_TRIES = 15


@dataclass(frozen=True)
class Laid:
    """The layout of one chain: its reaches, each with its way out and solid pipe."""

    chain: int
    cost: float
    reaches: tuple[Reach, ...]
    options: tuple[Option, ...]
    solids: tuple[Pipe, ...]


@dataclass(frozen=True)
class Net:
    """A partial net: chains laid so far."""

    cost: float = 0.0
    laid: tuple[Laid, ...] = ()
    refused: tuple[int, ...] = ()
    tenants: tuple[Tenant, ...] = ()
    exits: tuple[Exit, ...] = ()
    pipes: tuple[Pipe, ...] = ()
    """Every pipe laid, drains and solids."""
    mouths: tuple[Pipe, ...] = ()
    """Solids that end in daylight."""
    notches: tuple[tuple[str, float], ...] = ()
    roots: tuple[tuple[str, str], ...] = ()
    """(drain, drain at whose outlet its water comes out)."""
    loads: tuple[tuple[str, float], ...] = ()
    """(such a drain, flow of one chain that comes out there)."""


@dataclass(frozen=True)
class Problem:
    """All that stays the same while nets are searched."""

    yard: Yard
    ring: Ring
    chains: tuple[DrawnChain, ...]
    mouths: tuple[tuple[Mouth, ...], ...]
    rooms: Rooms
    targets: tuple[Target, ...]
    flows_l_s: dict[str, float]
    """Own flow of each chain."""


def problem_of(
    yard: Yard, ring: Ring, chains: list[DrawnChain], targets: list[Target], flows_l_s: dict[str, float]
) -> Problem:
    """The search's constants: mouths of every chain and free ground by face."""
    mouths = tuple(tuple(mouths_of(yard, ring, drawn)) for drawn in chains)
    return Problem(yard, ring, tuple(chains), mouths, Rooms(yard, chains), tuple(targets), flows_l_s)


def drain_name(chain: Chain, number: int) -> str:
    """Id of the drain of a chain, counted from 0 along it."""
    return f"{chain.id}/{number + 1}"


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
        for kind in ("plain", "piped", "deep"):
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
    deep: frozenset[int] = frozenset()
    """Chains let out as low as they can be, so that water from above reaches their sink."""


def _aim(problem: Problem, best: Net, last: bool, kind: str) -> Aim | None:
    """The next try, None where it would be one made already."""
    if kind == "plain":
        return Aim(last) if last else None
    if kind == "piped":
        dry = frozenset(laid.chain for laid in best.laid if not laid.reaches)
        return Aim(last, piped=dry) if dry else None
    below = {edge.low_face for number in best.refused for edge in problem.chains[number].chain.edges}
    deep = frozenset(i for i, drawn in enumerate(problem.chains) if drawn.chain.high_face in below)
    return Aim(last, deep=deep) if deep else None


def _grown(problem: Problem, width: int, aim: Aim) -> Net:
    """The cheapest net found for an aim."""
    nets = [Net()]
    for number in range(len(problem.chains)):
        grown: list[Net] = []
        for net in nets:
            layouts = _layouts(problem, number, net, width)
            if number in aim.piped:
                layouts = _piped(problem, number, net) or layouts
            if number in aim.deep:
                layouts = _deep(problem, number, net) or layouts
            layouts = layouts or _joined(problem, number, net)
            if not layouts and aim.last:
                layouts = _last_resort(problem, number, net)
            grown += [_with(problem, net, laid) for laid in layouts]
            if not layouts:
                grown.append(replace(net, cost=net.cost + _REFUSED_COST, refused=(*net.refused, number)))
        grown.sort(key=lambda net: round(net.cost, 9))
        nets = _different(grown)[: max(1, width)]
    return nets[0]


def _different(nets: list[Net]) -> list[Net]:
    kept: list[Net] = []
    for net in nets:
        if not any(abs(net.cost - other.cost) < 1e-9 and net.pipes == other.pipes for other in kept):
            kept.append(net)
    return kept


def all_options(problem: Problem, number: int, net: Net) -> list[Option]:
    """Every way out of a chain, given what is laid."""
    return not_dominated(_every_option(problem, number, net, list(net.exits)))


def _every_option(problem: Problem, number: int, net: Net, exits: list[Exit]) -> list[Option]:
    """Ways out with those that others beat, which still serve where those meet something."""
    mouths = list(problem.mouths[number])
    found = outside_options(problem.yard, problem.ring, mouths, list(net.tenants))
    found += inside_options(problem.yard, problem.rooms, mouths, exits)
    found += target_options(problem.yard, problem.rooms, mouths, list(problem.targets))
    return [option for option in found if _carries(problem, number, net, option)]


def _joined(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain that may also run into solid pipe half way: where two come down to one sink, the second
    cannot reach it past the first."""
    faces = {m.opening.low_face for m in problem.mouths[number] if m.opening is not None and not m.outside}
    exits = [*net.exits]
    for made in net.laid:
        for option, solid in zip(made.options, made.solids, strict=True):
            opening = option.mouth.opening
            if option.kind == "inside" and opening is not None and opening.low_face in faces:
                exits += exits_along(solid.part_of, solid.points_m, solid.inverts_m, opening.low_face)
    laid = _solved(problem, number, net, _every_option(problem, number, net, exits))
    return [] if laid is None else [laid]


def _carries(problem: Problem, number: int, net: Net, option: Option) -> bool:
    """Whether the pipe an option runs into can carry this chain's water too."""
    root = dict(net.roots).get(option.into)
    if root is None:
        return True
    s = problem.yard.settings
    most = 1000.0 * full_flow_m3_s(s.bore_m, s.fall, s.roughness)
    flow = sum(load for drain, load in net.loads if drain == root)
    return bool(flow + problem.flows_l_s.get(problem.chains[number].chain.id, 0.0) <= most)


def _layouts(problem: Problem, number: int, net: Net, width: int) -> list[Laid]:
    options = all_options(problem, number, net)
    found = [_solved(problem, number, net, options)]
    if width > 1:
        for kind in dict.fromkeys(option.kind for option in options):
            found.append(_solved(problem, number, net, [o for o in options if o.kind == kind]))
        for node in dict.fromkeys(option.sink.node for option in options):
            found.append(_solved(problem, number, net, [o for o in options if o.sink.node == node]))
    return [laid for laid in found if laid is not None]


def _piped(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain with pipe wherever it can lie: stone alone counts as dear as no way out."""
    return _with_dear_stone(problem, number, net, all_options(problem, number, net))


def _deep(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain with the lowest single sink that serves it."""
    options = sorted(all_options(problem, number, net), key=lambda o: (o.sink.invert_m, o.sink.cost, o.sink.node))
    for option in options[:_DEEP_TRIES]:
        laid = _with_dear_stone(problem, number, net, [option])
        if laid and laid[0].reaches:
            return laid
    return []


def _with_dear_stone(problem: Problem, number: int, net: Net, options: list[Option]) -> list[Laid]:
    settings = problem.yard.settings
    chain = problem.chains[number].chain
    dear = tuple(None if price is None else _REFUSED_COST for price in stone_prices(chain, settings))
    laid = _solved(problem, number, net, options, dear)
    if laid is None:
        return []
    edges = chain.edges
    served = {i % len(edges) for reach in laid.reaches for i in range(reach.first, reach.last)}
    bare = sum(edge.length_m for i, edge in enumerate(edges) if i not in served)
    return [replace(laid, cost=laid.cost - (_REFUSED_COST - settings.cost_stone_only) * bare)]


def _last_resort(problem: Problem, number: int, net: Net) -> list[Laid]:
    """The layout of a chain that may keep stone alone where a little more is held than stone should drain."""
    s = problem.yard.settings
    edges = problem.chains[number].chain.edges
    over = sum(e.length_m for e in edges if s.stone_last_m + 1e-9 < e.held_height_m <= s.stone_short_m + 1e-9)
    most = s.stone_short_m if over <= s.stone_short_length_m else s.stone_last_m
    prices = [
        s.cost_stone_only if edge.held_height_m <= s.stone_only_m + 1e-9
        else s.cost_stone_last if edge.held_height_m <= most + 1e-9 else None
        for edge in edges
    ]  # fmt: skip
    laid = _solved(problem, number, net, all_options(problem, number, net), tuple(prices))
    return [] if laid is None else [laid]


def stone_prices(chain: Chain, settings: Settings) -> tuple[float | None, ...]:
    """Points per metre of each edge for stone alone; None where a pipe must lie."""
    low = settings.stone_only_m + 1e-9
    return tuple(settings.cost_stone_only if edge.held_height_m <= low else None for edge in chain.edges)


def course_of(chain: Chain, prices: tuple[float | None, ...]) -> Course:
    """A chain as the programme sees it."""
    nodes = chain.nodes
    return Course(
        tuple(node.floor_m for node in nodes),
        tuple(node.ceiling_m for node in nodes),
        tuple(node.low_m for node in nodes),
        tuple(edge.length_m for edge in chain.edges),
        prices,
    )


def _solved(
    problem: Problem, number: int, net: Net, options: list[Option], prices: tuple[float | None, ...] | None = None
) -> Laid | None:
    """The cheapest layout that clashes with nothing laid; options that clash are barred one by one."""
    chain = problem.chains[number].chain
    settings = problem.yard.settings
    course = course_of(chain, prices or stone_prices(chain, settings))
    solve = best_round if chain.closed else best_layout
    left = list(options)
    for _ in range(_TRIES):
        chosen = solve(course, [option.sink for option in left], settings)
        if chosen is None:
            return None
        laid, bad = _laid(problem, number, net, chosen, left)
        if bad is None:
            return laid
        left = [option for option in left if option is not bad]
    return None


def _laid(
    problem: Problem, number: int, net: Net, chosen: Chosen, options: list[Option]
) -> tuple[Laid | None, Option | None]:
    """The layout with its solid pipes, or the option that meets something."""
    drawn = problem.chains[number]
    used = [options[reach.sink] for reach in chosen.reaches]
    solids = [route_of(problem.ring, drawn, option, problem.yard.settings.fall) for option in used]
    names = [drain_name(drawn.chain, n) for n in range(len(used))]
    solids = [replace(pipe, part_of=name) for pipe, name in zip(solids, names, strict=True)]
    drains = [reach_pipe(drawn.chain, reach, name) for reach, name in zip(chosen.reaches, names, strict=True)]
    for index, (option, solid) in enumerate(zip(used, solids, strict=True)):
        others = [*net.pipes, *_unlaid(problem, number, net), *drains, *solids[:index]]
        if _notch_too_near(net, used[:index], option, problem.yard.settings) or _bad(problem, option, solid, others):
            return None, option
        mouths = [*net.mouths, *(s for o, s in zip(used[:index], solids[:index], strict=True) if not o.into)]
        if not option.into and meets_apron(solid, mouths, problem.yard.settings):
            return None, option
    return Laid(number, chosen.cost, chosen.reaches, tuple(used), tuple(solids)), None


def reach_pipe(chain: Chain, reach: Reach, name: str) -> Pipe:
    """A drain in space."""
    count = len(chain.nodes)
    points = tuple(chain.nodes[i % count].point_m for i in range(reach.first, reach.last + 1))
    return Pipe(name, points, reach.inverts_m)


def _unlaid(problem: Problem, number: int, net: Net) -> list[Pipe]:
    """Chains not laid yet, at their lowest and their highest, which a pipe must pass clear of."""
    done = {laid.chain for laid in net.laid} | {number} | set(net.refused)
    found = []
    for other, drawn in enumerate(problem.chains):
        if other not in done:
            points = tuple(node.point_m for node in drawn.chain.nodes)
            for levels in ([n.floor_m for n in drawn.chain.nodes], [n.ceiling_m for n in drawn.chain.nodes]):
                found.append(Pipe("", points, tuple(levels)))
    return found


def _notch_too_near(net: Net, before: list[Option], option: Option, settings: Settings) -> bool:
    opening = option.mouth.opening
    if opening is None:
        return False
    taken = [*net.notches, *((o.mouth.opening.leg, o.mouth.opening.station_m) for o in before if o.mouth.opening)]
    apart = settings.notches_apart_m + settings.notch_m
    return any(leg == opening.leg and abs(at - opening.station_m) < apart - 1e-9 for leg, at in taken)


def _bad(problem: Problem, option: Option, solid: Pipe, others: list[Pipe]) -> bool:
    if meets_timber(problem.yard, solid, option):
        return True
    start, end = solid.points_m[0], solid.points_m[-1]
    for other in others:
        merges = [start] if other.part_of == solid.part_of else []
        if option.into and (other.part_of == option.into):
            merges = [end]
        if meets_pipe(problem.yard, solid, other, merges):
            return True
    return False


def _with(problem: Problem, net: Net, laid: Laid) -> Net:
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
    if mouth.ring_m is None or not mouth.outside:
        return None
    tail: Tail | None = option.tail
    if tail is None:
        return Tenant(name, mouth.ring_m, 0, 0.0, option.end_invert_m, option.end_invert_m, joins=False)
    start = tail.end_invert_m + settings.fall * tail.length_m
    way = tail.way if tail.length_m > 0 else 0
    return Tenant(name, tail.r_m, way, tail.length_m, start, tail.end_invert_m)
