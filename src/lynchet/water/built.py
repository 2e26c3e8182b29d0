"""From the chosen net to what is laid: drains, solid pipes, notches, outlets, with the flows they carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import dist

from lynchet.water.aprons import apron_of, way_out
from lynchet.water.model import Chain, Drain, Notch, Outlet, Point, SolidPipe
from lynchet.water.options import Option
from lynchet.water.pipe_flow import full_flow_m3_s
from lynchet.water.problem import Laid, Net, Problem, drain_name
from lynchet.water.routes import Pipe
from lynchet.water.settings import Settings

_PART_M = 0.10
"""Two drains that part at a high point are capped this far from it."""


@dataclass(frozen=True)
class Built:
    """Pipes with their openings and ends."""

    drains: tuple[Drain, ...]
    solids: tuple[SolidPipe, ...]
    notches: tuple[Notch, ...]
    outlets: tuple[Outlet, ...]


def built_net(problem: Problem, net: Net, flows_l_s: dict[str, float]) -> Built:
    """What the net means in pipes.

    Args:
        problem: the search's constants.
        net: the chosen net.
        flows_l_s: flow of each chain from its own ground, by chain id.
    """
    settings = problem.yard.settings
    drains, solids, notches, mouths = [], [], [], []
    for laid in net.laid:
        chain = problem.chains[laid.chain].chain
        total = sum(chain.edges[i % len(chain.edges)].length_m for r in laid.reaches for i in range(r.first, r.last))
        for n, (reach, option, pipe) in enumerate(zip(laid.reaches, laid.options, laid.solids, strict=True)):
            length = sum(chain.edges[i % len(chain.edges)].length_m for i in range(reach.first, reach.last))
            own = flows_l_s.get(chain.id, 0.0) * length / total
            drains.append(_drain(chain, laid, n, own, settings))
            solids.append(_solid(drain_name(chain, n), option, pipe, settings))
            if option.mouth.opening is not None:
                notches.append(_notch(problem, drain_name(chain, n), option))
            mouths.append((option, pipe, drain_name(chain, n)))
    drains = _with_flows(drains, settings)
    flow = {drain.id: drain.flow_l_s for drain in drains}
    solids = [replace(solid, flow_l_s=flow[solid.drain]) for solid in solids]
    outlets = _outlets(problem, mouths, drains)
    return Built(tuple(drains), tuple(solids), _numbered(notches), tuple(outlets))


def end_of(drain: str, drains: list[Drain]) -> str:
    """Id of the outlet at which a drain's water comes out."""
    table = {d.id: d.into for d in drains}
    while drain in table:
        drain = table[drain]
    return drain


def _drain(chain: Chain, laid: Laid, n: int, own: float, settings: Settings) -> Drain:
    reach, option = laid.reaches[n], laid.options[n]
    count = len(chain.nodes)
    nodes = tuple(i % count for i in range(reach.first, reach.last + 1))
    points = [chain.nodes[i].point_m for i in nodes]
    inverts = list(reach.inverts_m)
    last = len(laid.reaches) - 1
    before, after = laid.reaches[n - 1], laid.reaches[n + 1 if n < last else 0]  # round a ring the last meets the first
    parts_at_start = (n > 0 or (chain.closed and last > 0)) and _close(chain, before.last, reach.first)
    parts_at_end = (n < last or (chain.closed and last > 0)) and _close(chain, reach.last, after.first)
    if chain.closed and len(nodes) > count:
        parts_at_start = parts_at_end = True
    sink = next(i for i, node in enumerate(range(reach.first, reach.last + 1)) if node % count == option.sink.node)
    if chain.closed:
        sink = min(range(len(inverts)), key=lambda i: (inverts[i], abs(i - sink)))
    if parts_at_start:
        points[: sink + 1] = _drawn_back(points[: sink + 1])
    if parts_at_end:
        points[sink:] = _drawn_back(points[sink:][::-1])[::-1]
    capacity = 1000.0 * float(full_flow_m3_s(settings.bore_m, drain_fall(points, inverts), settings.roughness))
    name = drain_name(chain, n)
    return Drain(
        id=name, chain=chain.id, nodes=nodes, points_m=tuple(points), inverts_m=tuple(inverts), sink=sink,
        sink_kind=option.kind, into=_into(name, option), bore_m=settings.bore_m, outside_m=settings.outside_m,
        own_flow_l_s=own, flow_l_s=own, capacity_l_s=capacity,
    )  # fmt: skip


def _into(name: str, option: Option) -> str:
    return option.into if option.into and ":" not in option.into else f"{name}/outlet"


def _close(chain: Chain, end: int, start: int) -> bool:
    """Whether one drain ends where the next begins, or nearer than both are drawn back."""
    count = len(chain.edges)
    start = end + (start - end) % count if chain.closed else start
    return sum(chain.edges[i % count].length_m for i in range(end, start)) < 2 * _PART_M


def drain_fall(points_m: Sequence[Point], inverts_m: Sequence[float]) -> float:
    """Least fall between two points of a drain, which says what it carries running full."""
    spans = zip(pairwise(inverts_m), pairwise(points_m), strict=True)
    falls = [abs(low - high) / dist(*ends) for (high, low), ends in spans if dist(*ends) > 1e-6]
    return max(min(falls), 1e-6)


def _drawn_back(points: list[Point]) -> list[Point]:
    """Points from a high point down to the sink, those nearest to the high point drawn back from it to one place.

    Their inverts stay: a pipe that starts a little lower down at the level of its high point falls a little more.
    """
    lengths = [dist(a, b) for a, b in pairwise(points)]
    left, last = min(_PART_M, 0.45 * sum(lengths)), 0
    while last < len(lengths) and left > lengths[last]:
        left -= lengths[last]
        last += 1
    if last == len(lengths) or lengths[last] < 1e-9:
        return points
    (x0, y0), (x1, y1) = points[last], points[last + 1]
    share = left / lengths[last]
    at = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
    return [at] * (last + 1) + points[last + 1 :]


def _solid(name: str, option: Option, pipe: Pipe, settings: Settings) -> SolidPipe:
    rest = "outside" if option.mouth.outside else "inside"
    first = "through" if option.mouth.opening is not None else rest
    parts = len(pipe.points_m) - 1
    beyond = parts - len(option.way_m) if option.tail is None else 1 + len(option.way_m)
    sides = [first if i == 0 else rest for i in range(parts)]
    if option.kind == "across":
        sides[beyond:] = ["outside"] * (parts - beyond)
    return SolidPipe(
        id=f"{name}/out", drain=name, points_m=pipe.points_m, inverts_m=pipe.inverts_m, side=tuple(sides),  # type: ignore[arg-type]
        bore_m=settings.bore_m, outside_m=settings.outside_m, flow_l_s=0.0, into=_into(name, option),
    )  # fmt: skip


def _notch(problem: Problem, name: str, option: Option) -> Notch:
    opening, settings = option.mouth.opening, problem.yard.settings
    assert opening is not None
    leg = problem.yard.walls.leg(opening.leg)
    runs = [run for k in opening.courses for run in problem.yard.walls.runs_of(leg.id, k) if run.id in opening.runs]
    near, far = min(run.offset_m for run in runs), max(run.offset_m for run in runs) + leg.thickness_m
    a, b = opening.station_m - settings.notch_m / 2, opening.station_m + settings.notch_m / 2
    outline = (leg.point_at(a, near), leg.point_at(b, near), leg.point_at(b, far), leg.point_at(a, far))
    return Notch(
        id="", leg=leg.id, courses=opening.courses, runs=opening.runs, station_m=opening.station_m,
        width_m=settings.notch_m, bottom_m=opening.bottom_m, top_m=opening.top_m, open_top=opening.open_top,
        drain=name, outline_m=outline,
    )  # fmt: skip


def _numbered(notches: list[Notch]) -> tuple[Notch, ...]:
    used: dict[str, int] = {}
    named = []
    for notch in sorted(notches, key=lambda n: (n.leg, n.station_m)):
        name = f"{notch.leg}/{notch.courses[0]}/notch"
        used[name] = used.get(name, 0) + 1
        named.append(replace(notch, id=name if used[name] == 1 else f"{name}.{used[name]}"))
    return tuple(named)


def _with_flows(drains: list[Drain], settings: Settings) -> list[Drain]:
    """Flows added up along what each drain runs into; a drain's own pipe above its sink carries only its own."""
    flow = {drain.id: drain.own_flow_l_s for drain in drains}
    for drain in drains:
        below = drain.into
        table = {d.id: d for d in drains}
        while below in table:
            flow[below] += drain.own_flow_l_s
            below = table[below].into
    return [replace(drain, flow_l_s=flow[drain.id]) for drain in drains]


def _outlets(problem: Problem, mouths: list[tuple[Option, Pipe, str]], drains: list[Drain]) -> list[Outlet]:
    from shapely.geometry import Polygon

    found = []
    settings = problem.yard.settings
    targets = {f"{target.kind}:{target.name}": target for target in problem.targets}
    for option, pipe, name in mouths:
        outlet = _into(name, option)
        if not outlet.endswith("/outlet"):
            continue
        point, way = pipe.points_m[-1], way_out(pipe)
        members = tuple(drain.id for drain in drains if end_of(drain.id, drains) == outlet)
        flow = sum(drain.own_flow_l_s for drain in drains if drain.id in members)
        target = targets.get(option.into)
        ground = float(problem.yard.level_at([point])[0])
        if target is not None:
            ground = min(ground, pipe.inverts_m[-1]) if ground == ground else pipe.inverts_m[-1]
        kind = target.kind if target is not None else "daylight"
        apron = () if kind == "soakaway" else apron_of(pipe, settings)
        assert not apron or Polygon(apron).is_valid
        found.append(
            Outlet(outlet, kind, point, way, pipe.inverts_m[-1], ground, flow, members, apron)  # type: ignore[arg-type]
        )
    return found
