"""The water stage: every pocket drained, every pipe led out, the level water stands at, houses kept dry."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from lynchet.core.findings import Finding, Verdict
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from lynchet.terraces.model import OUTSIDE, Terraces
from lynchet.units.format import length as length_text
from lynchet.walls.model import Walls
from lynchet.water.beside import Catchment, CutOff, Quantities, Refused, RoofPipe
from lynchet.water.bodies import apron_bodies, net_bodies, other_bodies, stone_bodies
from lynchet.water.built import Built, built_net, end_of
from lynchet.water.catchments import catchments_of, top_water
from lynchet.water.chains import SHORT_M, DrawnChain, drawn_chains
from lynchet.water.cover import cover_findings, dig_findings
from lynchet.water.fittings import fittings_of, led_away_fittings
from lynchet.water.high_drains import high_findings
from lynchet.water.holes_dug import dug_of, hole_findings, met_in, undrained_rows
from lynchet.water.house import house_checks
from lynchet.water.house_below import below_findings
from lynchet.water.led_away import LedAway, led_away
from lynchet.water.led_out import WaysOut
from lynchet.water.lying import Pipe as AnyPipe
from lynchet.water.model import Body, Chain, Fabric, Fitting, SolidPipe, Stone, Water, WaterLevel
from lynchet.water.named_outlets import unused_findings
from lynchet.water.nets import best_net
from lynchet.water.open_timber import standing_notch_findings
from lynchet.water.outlet_checks import capacity_findings, mound_finding, outlet_findings, over_stone_findings
from lynchet.water.parts import lines_of
from lynchet.water.pockets import Stretch, stretches_of
from lynchet.water.problem import Net, Problem, problem_of
from lynchet.water.refusals import refused_of, stone_last_findings, unpiped_findings
from lynchet.water.ring import Ring, ring_of
from lynchet.water.second_way import one_way_findings
from lynchet.water.settings import Settings, gentle, settings_of
from lynchet.water.short_names import named, short_names
from lynchet.water.short_places import filled_out
from lynchet.water.soakaways import soakaway_checks, targets_of
from lynchet.water.soil_levels import levels_of, running_depths_m
from lynchet.water.stone import off_timber, stone_of
from lynchet.water.stone_once import counted_once
from lynchet.water.under_beds import pipes_under_beds, reached, under_findings
from lynchet.water.yard import Yard

_POURS_M = 2e-3
"""An outlet may lie so much nearer the ground than its free drop: the thickness of a pencil line on a rod."""
_HIGH = 0.75
"""Highest invert as a share of the held height where no lower drain finds a way out: its cover alone limits it. The
walls are checked with the water as high as it then stands."""


@dataclass(frozen=True)
class _Laid:
    """The solved net with all that is drawn from it."""

    problem: Problem
    net: Net
    chains: tuple[Chain, ...]
    catchments: tuple[Catchment, ...]
    built: Built
    fittings: tuple[Fitting, ...]
    stones: tuple[Stone, ...]
    fabrics: tuple[Fabric, ...]
    levels: tuple[WaterLevel, ...]


def water(project: Project, ground: Ground, terraces: Terraces, walls: Walls, beam: int = 1) -> Water:
    """Drains, outlets, stone, fabric, and the level water stands at.

    Args:
        project: the file, in the own frame.
        ground: the measured ground.
        terraces: faces, lines, levels.
        walls: what is built.
        beam: partial drain nets kept while chains are joined, 1 or more; more is slower and never dearer by design.

    Returns:
        The water. A chain that finds no way out is a ``stop`` that names the level that would do; nothing is laid for
        it and water stands to the surface behind it.
    """
    settings = settings_of(project.drain)
    yard = Yard(project, ground, terraces, walls, settings)
    solved = _least_short([yard.with_settings(one) for one in _in_turn(settings)], beam)
    if solved.net.refused and settings.pipe_from_m is not None:
        plain = [yard.with_settings(one) for one in _in_turn(replace(settings, pipe_from_m=None))]
        solved = min(solved, _least_short(plain, beam), key=lambda one: len(one.net.refused))
    solved, laid = _pouring(solved, beam)
    refusals = [refused_of(solved.problem, solved.net, number) for number in solved.net.refused]
    away = led_away(_ways_out(solved, laid))
    return _water(solved.problem.yard, solved.stretches, laid, refusals, away)


def _pouring(solved: _Solved, beam: int) -> tuple[_Solved, _Laid]:
    """The net as it is laid. Ways out are looked for between points of the ground along the ring: where it bulges there
    and an outlet would lie too near it, all are looked for again by as much higher."""
    laid, yard = _laid(solved), solved.problem.yard
    drop = yard.settings.drop_m
    least = min((one.drop_m for one in laid.built.outlets if one.kind == "daylight"), default=drop)
    if not least < drop - _POURS_M:
        return solved, laid
    higher = _solved(yard.with_settings(replace(yard.settings, drop_m=2.0 * drop - least)), beam)
    return (higher, _laid(higher)) if _short(higher) <= _short(solved) else (solved, laid)


def _ways_out(solved: _Solved, laid: _Laid) -> WaysOut:
    problem = solved.problem
    pipes: list[AnyPipe] = [*laid.built.drains, *laid.built.solids]
    return WaysOut(problem.yard, problem.ring, solved.net.tenants, partial(_ring, solved.stretches), pipes, laid.stones)


@dataclass(frozen=True)
class _Solved:
    problem: Problem
    net: Net
    stretches: list[Stretch]
    catchments: list[Catchment]


def _in_turn(settings: Settings) -> tuple[Settings, ...]:
    """As the file asks, then with what may be given up so that every drain finds a way out."""
    soft = gentle(settings)
    return settings, replace(settings, pond=_HIGH), soft, replace(soft, pond=_HIGH)


def _least_short(yards: Sequence[Yard], beam: int) -> _Solved:
    """The first yard's net in which nothing is missing, else the one that misses least. Under a thinner cover the stone
    stands higher, beside timber that it passed before: a line of pipe that is lost by that is missing too."""
    first = solved = _solved(yards[0], beam)
    for further in yards[1:]:
        if _short(solved) > (0, 0.0):
            other = _solved(further, beam)
            if _short(other) < _short(solved) and _for_pipe_m(other) > _for_pipe_m(first) - SHORT_M:
                solved = other
    return solved


def _for_pipe_m(solved: _Solved) -> float:
    """Length of all chains behind which stone alone is not enough."""
    least = solved.problem.yard.settings.unpiped_m + 1e-9
    return sum(e.length_m for drawn in solved.problem.chains for e in drawn.chain.edges if e.held_height_m > least)


def _short(solved: _Solved) -> tuple[int, float]:
    """Chains without a way out; metres without the pipe that the file asks for behind low ground."""
    net, settings = solved.net, solved.problem.yard.settings
    if settings.pipe_from_m is None:
        return len(net.refused), 0.0
    bare = 0.0
    for laid in net.laid:
        edges = solved.problem.chains[laid.chain].chain.edges
        served = {i % len(edges) for reach in laid.reaches for i in range(reach.first, reach.last)}
        bare += sum(e.length_m for i, e in enumerate(edges)
                    if i not in served and e.held_height_m > settings.unpiped_m + 1e-9)  # fmt: skip
    return len(net.refused), round(bare, 3)


def _solved(yard: Yard, beam: int) -> _Solved:
    """Chains of a yard and the cheapest net that leads them out."""
    stretches = stretches_of(yard.walls, yard.settings, yard.boxes)
    drawn = drawn_chains(yard, lines_of(yard.walls, stretches, yard.settings))
    catchments = catchments_of(yard, drawn)
    flows = {c.chain: c.flow_l_s for c in catchments}
    problem = problem_of(yard, _ring(stretches, yard), drawn, targets_of(yard), flows)
    return _Solved(problem, best_net(problem, beam), stretches, catchments)


def _ring(stretches: list[Stretch], yard: Yard) -> Ring:
    return ring_of(yard, _banks(stretches))


def _banks(stretches: list[Stretch]) -> Any:
    """Strips of drained bank outside, on which no water is let out."""
    import shapely

    strips = []
    for stretch in stretches:
        if stretch.high_face == OUTSIDE:
            ends = stretch.pipe_at(stretch.start_m), stretch.pipe_at(stretch.end_m)
            strips.append(shapely.LineString(ends).buffer(0.45, cap_style="square"))
    return shapely.union_all(strips, grid_size=1e-5)


def _laid(solved: _Solved) -> _Laid:
    problem, net, catchments = solved.problem, solved.net, solved.catchments
    settings = problem.yard.settings
    built = built_net(problem, net, problem.flows_l_s)
    areas = {c.chain: c.area_m2 for c in catchments}
    chains = {d.chain.id: replace(d.chain, catchment_m2=areas[d.chain.id]) for d in problem.chains}
    ends = {drain.id: end_of(drain.id, list(built.drains)) for drain in built.drains}
    steps = frozenset(flight.id for flight in problem.yard.terraces.flights)
    depths = running_depths_m(built.drains)
    stones: list[Stone] = []
    fabrics: list[Fabric] = []
    rows: list[WaterLevel] = []
    refused = {problem.chains[i].chain.id for i in net.refused}
    for drawn in problem.chains:
        mine = [drain for drain in built.drains if drain.chain == drawn.chain.id]
        rows += levels_of(drawn.chain, drawn.stretches, mine, ends, depths, settings)
        if drawn.chain.id not in refused:
            under = drawn.stretches[0].box_m
            made = stone_of(drawn.chain, drawn.stretches, mine, replace(settings, cover_m=settings.cover_m + under))
            stones += made[0]
            fabrics += made[1]
    fittings = fittings_of(built, chains, settings, lambda one: _comes_up(problem.yard, one, chains, steps))
    clear = off_timber(problem.yard, [*stones, *fabrics])
    stones = [one for one in clear if isinstance(one, Stone)]
    fabrics = [one for one in clear if isinstance(one, Fabric)]
    more = filled_out(problem.yard, rows, solved.stretches, chains, stones)
    stones, fabrics = counted_once([*stones, *more.stones], [*fabrics, *more.fabrics], problem.yard.walls.legs)
    return _Laid(problem, net, (*chains.values(), *more.chains), tuple(catchments), built, fittings,
                 tuple(stones), tuple(fabrics), more.levels)  # fmt: skip


def _comes_up(yard: Yard, cleanout: Fitting, chains: dict[str, Chain], steps: frozenset[str]) -> bool:
    """Whether the upright pipe of a cleanout passes clear of the timber of walls and steps."""
    from shapely.geometry import Point as Dot

    if chains[cleanout.drain.rsplit("/", 1)[0]].high_face in steps:
        return False
    reach = yard.settings.radius_m * 2**0.5 + yard.settings.clear_m / 10
    dot = Dot(cleanout.point_m)
    return not (yard.timber_near(dot, cleanout.invert_m, cleanout.top_m, reach) or yard.step_near(dot, reach))


def _areas_by_outlet(laid: _Laid) -> dict[str, float]:
    """Area drained to each outlet, shared among the drains of a chain by their flow."""
    areas = {c.chain: c for c in laid.catchments}
    found: dict[str, float] = {}
    for drain in laid.built.drains:
        chain = areas[drain.chain]
        share = drain.own_flow_l_s / chain.flow_l_s if chain.flow_l_s else 0.0
        end = end_of(drain.id, list(laid.built.drains))
        found[end] = found.get(end, 0.0) + chain.area_m2 * share
    return found


def _water(
    yard: Yard, stretches: list[Stretch], laid: _Laid, refusals: list[tuple[Refused, Finding]], away: LedAway
) -> Water:
    built, s = laid.built, yard.settings
    dug = dug_of(yard, laid.stones, built.solids) if yard.project.holes else []
    met = met_in(yard, dug)
    levels = undrained_rows(laid.levels, dug, met, yard)
    fittings = (*laid.fittings, *led_away_fittings(away.roofs, away.cut_offs, s))
    outlets = (*built.outlets, *away.outlets)
    pits, pit_findings = soakaway_checks(yard, built.outlets, _areas_by_outlet(laid))
    bodies = (*net_bodies(built, laid.fittings, s), *stone_bodies(laid.stones, laid.fabrics),
              *other_bodies(away.roofs, away.cut_offs, pits, s), *apron_bodies(away.outlets))  # fmt: skip
    checks, house_findings = house_checks(yard, bodies)
    top = tuple(top_water(yard))
    shut = _told_sides(laid)
    names = _names(laid, away, bodies)
    findings = [
        *(finding for _, finding in refusals),
        *stone_last_findings(laid.problem, laid.net),
        *unpiped_findings(laid.problem, laid.net),
        *cover_findings(yard, stretches, built.drains, shut, laid.levels),
        *dig_findings(yard, laid.stones, {c.id: c.high_face for c in laid.chains}),
        *outlet_findings(yard, outlets),
        *over_stone_findings(yard, outlets, laid.stones, {d.id: d.chain for d in built.drains}),
        *capacity_findings(yard, built.drains, built.solids),
        *unused_findings(laid.problem, laid.net, built.outlets, levels),
        *pit_findings,
        *house_findings,
        *below_findings(yard, top),
        *away.findings,
        *_laid_findings(yard, laid, away),
        *hole_findings(yard, dug, met, levels),
    ]
    return Water(
        chains=laid.chains, drains=built.drains, solids=built.solids, notches=built.notches, outlets=outlets,
        fittings=fittings, stone=laid.stones, fabric=laid.fabrics, levels=levels,
        catchments=laid.catchments, top_water=top, house_checks=(*checks, *away.checks),
        roof_pipes=away.roofs, soakaways=tuple(pits), cut_offs=away.cut_offs,
        refused=tuple(refused for refused, _ in refusals), quantities=_quantities(laid, away, fittings), bodies=bodies,
        findings=tuple(named(finding, names) for finding in findings),
    )  # fmt: skip


def _laid_findings(yard: Yard, laid: _Laid, away: LedAway) -> list[Finding]:
    """What is said of pipes by how they lie."""
    built, deep = laid.built, yard.project.brief.dig_depth_m
    others: tuple[RoofPipe | CutOff, ...] = (*away.roofs, *away.cut_offs)
    piped: tuple[SolidPipe | RoofPipe | CutOff, ...] = (*built.solids, *others)
    under = pipes_under_beds(yard.terraces, piped)
    told = reached(yard.terraces, built.drains, built.solids, under, deep)
    return [
        *_notch_findings(laid),
        *standing_notch_findings(yard, laid.built.notches),
        *_gentle_findings(yard, laid.built),
        *high_findings(yard, laid.chains, laid.built.drains),
        *_mound_findings(laid),
        *_one_way_findings(laid),
        *under_findings(under, told, deep, yard.project.units),
    ]


def _names(laid: _Laid, away: LedAway, bodies: Sequence[Body]) -> dict[str, str]:
    """What findings call pipes, outlets, their straight parts and stone, by id."""
    outlets = (*laid.built.outlets, *away.outlets)
    names = short_names(outlets, laid.built.drains, laid.built.solids, away.roofs, away.cut_offs)
    parts = {body.id: names[body.part_of] for body in bodies if body.part_of in names}
    return names | parts | {stone.id: f"stone of wall {stone.leg}" for stone in laid.stones}


def _told_sides(laid: _Laid) -> set[tuple[str, int]]:
    """(leg, held side) of chains whose undrained ground has a finding of its own already."""
    told = {laid.problem.chains[i].chain.id for i in laid.net.refused}
    told |= {finding.place for finding in stone_last_findings(laid.problem, laid.net)}
    chains: list[DrawnChain] = [drawn for drawn in laid.problem.chains if drawn.chain.id in told]
    return {(edge.leg, edge.held) for drawn in chains for edge in drawn.chain.edges}


def _notch_findings(laid: _Laid) -> list[Finding]:
    found = []
    for notch in laid.built.notches:
        if notch.open_top:
            text = (
                f"A notch for the drain cuts the top course of wall {notch.leg}: no timber bridges it. Pin the ends on "
                "both sides."
            )
            found.append(Finding("water.open_notch", Verdict.WATCH, text, notch.id, source="PRACTICE"))
    return found


def _mound_findings(laid: _Laid) -> list[Finding]:
    """Outlets whose last metres of pipe come out of the ground: what to heap over them."""
    yard = laid.problem.yard
    return [
        mound_finding(f"{solid.part_of}/outlet", yard.settings, yard.project.units)
        for made in laid.net.laid
        for option, solid in zip(made.options, made.solids, strict=True)
        if option.tail is not None and option.tail.mound
    ]


def _one_way_findings(laid: _Laid) -> list[Finding]:
    if laid.problem.yard.project.drain.ways_out < 2:
        return []
    ends = {drain.id: end_of(drain.id, list(laid.built.drains)) for drain in laid.built.drains}
    return one_way_findings(laid.chains, laid.built.drains, ends)


def _gentle_findings(yard: Yard, built: Built) -> list[Finding]:
    """The drains only find their way at half the least fall and under a thinner cover: told, with what it asks."""
    if yard.settings.fall >= yard.project.drain.least_fall or not built.drains:
        return []
    units = yard.project.units
    text = (
        f"With the fall asked (1 in {round(1 / yard.project.drain.least_fall)}) not every drain finds a way out; they "
        f"are laid at 1 in {round(1 / yard.settings.fall)} and {length_text(yard.settings.cover_m, units)} deep. "
        "Set them out with a laser or a long level, and rinse them each spring."
    )
    return [Finding("water.gentle_fall", Verdict.WATCH, text, "drains", source="PRACTICE; UFC 3-270-04 (2001), 12.6, "
                    "takes 0.15 % as the least")]  # fmt: skip


def _quantities(laid: _Laid, away: LedAway, fittings: Sequence[Fitting]) -> Quantities:
    from shapely.geometry import LineString

    built = laid.built
    kinds = Counter(fitting.kind for fitting in fittings)
    return Quantities(
        drain_pipe_m=sum(float(LineString(drain.points_m).length) for drain in built.drains),
        solid_pipe_m=sum(solid.length_m for solid in built.solids),
        roof_pipe_m=sum(float(LineString(roof.points_m).length) for roof in away.roofs),
        stone_m3=sum(stone.volume_m3 for stone in laid.stones),
        fabric_m2=sum(fabric.area_m2 for fabric in laid.fabrics),
        outlets=len(built.outlets) + len(away.outlets),
        notches=len(built.notches),
        fittings=tuple(sorted(kinds.items())),
        cost_points=laid.net.cost,
    )
