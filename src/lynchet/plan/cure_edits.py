"""Every edit of the brief that is known to help against a kind of stop; nothing computed yet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.plan.edge_cures import edge_cures
from lynchet.plan.flight_cures import flight_cures
from lynchet.plan.house_cures import SHORT_OF_HOUSE, house_cures
from lynchet.plan.model import Plan
from lynchet.plan.piece_cures import PIECE_CURES, piece_cures
from lynchet.plan.root_cures import root_cures
from lynchet.plan.spring_cures import SHORT_OF_SPRING, spring_cures
from lynchet.plan.stone_cures import low_pipes, stone_cures
from lynchet.plan.terrace_cures import MORE_TERRACES, low_walls, more_terraces
from lynchet.project.inset import edge_rows
from lynchet.project.model import EdgeRule, Project
from lynchet.stability.thresholds import SHUT_CASES
from lynchet.stability.tie_by_hand import SHALLOW_M
from lynchet.units.format import length, levels_for_file, rule_for_file, tape_for_file
from lynchet.units.measures import System
from lynchet.units.parse import parse
from lynchet.water.led_away import CUT_OFF
from lynchet.water.named_outlets import NAMED_ONLY, NOT_NAMED, UNUSED

WALL_CODES = frozenset({"stability.wall", "stability.ties", "stability.corners"})
SOIL_CODE = "earth.pushed_out"
SOIL_CURES = frozenset({"benches-up"})
TOLD_CURES = SOIL_CURES | {NAMED_ONLY}
"""Told with what they lead to, whatever that is: nobody but the owner can say which is better."""
EASE_CURES = TOLD_CURES | PIECE_CURES
"""What eases a yard in which nothing stops; no stop is cured by them."""
EDGE_CODES = frozenset({"walls.dig_beyond", "walls.over_lot_line"})
"""What lies over an edge one may not dig beyond, which ground kept free inside it cures."""
HOLE_WATER = "water.hole_water"
"""A test hole met water: stone alone drains nothing there."""
LIKELY_CURES = (*MORE_TERRACES, "weeps")
"""What most often mends a wall, the likeliest first."""
WATER_CURES = frozenset({"drain-outside", "one-terrace-fewer", SHORT_OF_HOUSE, SHORT_OF_SPRING, CUT_OFF})
STRIP_M = 0.6
SPARE_M = 0.05
"""Kept free beside the stone: fabric, and a trench that is never dug to the line."""


def cure_edits(plan: Plan) -> Iterator[Cure]:
    """Edits against the stops of a plan, what costs least to build first, then against soil that would have to be
    carted away, and where nothing stops against what is built with care and short pieces; each name once.

    A load above a tall wall is left to an engineer: no cure of the wall is offered beside it.
    """
    stops = [finding for finding in plan.findings if finding.verdict is Verdict.STOP]
    seen: set[str] = set()
    soil = [finding for finding in plan.findings if finding.code == SOIL_CODE]
    outside = (*spring_cures(plan, stops), *_of_edges(plan, stops), *house_cures(plan, stops), *_of_water(plan, stops))
    loaded = any(finding.code == "stability.load" for finding in stops)
    edges = () if loaded else edge_cures(plan, stops, WALL_CODES)
    rest = (*outside, *edges, *_of_findings(stops), *_of_findings(soil))
    care = () if stops else _of_findings([finding for finding in plan.findings if finding.code in WALL_CODES])
    unused = [finding for finding in plan.findings if finding.code in (UNUSED, NOT_NAMED)]
    care = care if stops else (*care, *stone_cures(plan), *_of_findings(unused))
    pieces = () if stops else piece_cures(plan)
    first = (*root_cures(plan, stops), *flight_cures(plan, stops))
    for cure in (*first, *_of_walls(plan, stops), *_of_tiers(plan, stops), *rest, *care, *pieces):
        if cure.name not in seen:
            seen.add(cure.name)
            yield cure


def _of_walls(plan: Plan, stops: list[Finding]) -> Iterator[Cure]:
    codes = {finding.code for finding in stops}
    if not codes & WALL_CODES or "stability.load" in codes:
        return
    project = plan.project
    brief = project.brief
    if brief.helps_off:
        yield Cure("count-all-helps", "count every help again", (("brief.helps_off", []),))
    if brief.dig_depth_m > SHALLOW_M + 1e-9:
        shallow = length(SHALLOW_M, project.units, 1)
        yield Cure("shallow-beds", f"never dig the beds deeper than {shallow} (a trowel, no spade)",
                   (("brief.dig_depth", rule_for_file(SHALLOW_M, project.units)),))  # fmt: skip
    if not brief.weeps and any(finding.case in SHUT_CASES for finding in stops):
        text = (
            "bore weep holes through the lowest seen course and rinse them each year, so that blocked water comes out"
        )
        yield Cure("weeps", text, (("brief.weeps", True),))
    if any(finding.code == HOLE_WATER for finding in plan.findings):
        yield from low_pipes(project)
    if project.drain.ways_out < 2 and any(finding.case in SHUT_CASES for finding in stops):
        text = "a second way out for the water behind each wall, so that one shut leaves the other; keep both open"
        yield Cure("second-outlet", text, (("drain.ways_out", 2),))
    if not brief.pins:
        yield Cure("pins", "drive steel pins through the lowest course", (("brief.pins", True),))
    if brief.ties == "never":
        yield Cure("ties", "tie the walls back into the bank with timbers and cross-pieces", (("brief.ties", "auto"),))
    yield from _lower(plan)
    if brief.path_strip_m is None:
        yield Cure("path-strip", f"a path {length(STRIP_M, project.units, 1)} wide left undug along the foot of every "
                   "wall", (("brief.path_strip", rule_for_file(STRIP_M, project.units)),))  # fmt: skip


def _lower(plan: Plan) -> Iterator[Cure]:
    """One course fewer: pinned levels come down, others are chosen anew under a lower limit."""
    project, tall = plan.project, max((place.retained_m for place in plan.stability.places), default=0.0)
    course = project.timber.course_m
    lower = tall - course
    if lower < 0.5 * course:
        return
    pinned = project.brief.levels
    if isinstance(pinned, tuple):
        levels = levels_for_file([level - (k + 1) * course for k, level in enumerate(pinned)], project.units)
        text = f"every front one course lower, {length(lower, project.units)} at most"
        yield Cure("one-course-fewer", text, (("brief.levels", levels),))
        return
    yield from more_terraces(plan)
    yield from low_walls(plan)
    text = f"no wall higher than {length(lower, project.units)}: one course fewer"
    edits = (("brief.highest_wall", tape_for_file(lower, project.units, "up")), ("brief.terraces", None))
    yield Cure("one-course-fewer", text, edits)


def _of_tiers(plan: Plan, stops: list[Finding]) -> Iterator[Cure]:
    if not any(finding.code == "stability.tiers" for finding in stops):
        return
    project, count = plan.project, len(plan.terraces.levels_m)
    needed = max(tier.needed_m for tier in plan.stability.tiers if not tier.independent) + 0.02
    free = _unpinned(project)
    yield Cure("wider-benches", f"walls at least {length(needed, project.units, 1)} apart, face to face",
               (("brief.bench_spacing", tape_for_file(needed, project.units, "up")), *free))  # fmt: skip
    if count > 1:
        yield Cure("one-wall-fewer", "one terrace fewer, so that the walls stand further apart",
                   (("brief.terraces", count - 1), *(one for one in free if one[0] != "brief.terraces")))  # fmt: skip
    lower = max(tier.setback_m for tier in plan.stability.tiers if not tier.independent) / 2.0
    text = f"no wall higher than {length(lower, project.units)}: half the set-back, buried part included"
    yield Cure("half-height", text, (("brief.highest_wall", tape_for_file(lower, project.units, "down")), *free))


def _unpinned(project: Project) -> tuple[tuple[str, object], ...]:
    """Edits that free pinned levels, terraces and own lines."""
    found: list[tuple[str, object]] = [("brief.terraces", None)] if project.brief.terraces else []
    if isinstance(project.brief.levels, tuple):
        found.append(("brief.levels", "balance"))
    if project.own_lines:
        found.append(("wall_line", None))
    return tuple(found)


def _of_edges(plan: Plan, stops: list[Finding]) -> Iterator[Cure]:
    """Edges moved inward by the stone behind the wall that may not lie outside them."""
    area, units = plan.project.area, plan.project.units
    edges = sorted({int(stop.place[1:].partition(".")[0]) for stop in stops if stop.code in EDGE_CODES})
    if not edges:
        return
    room = plan.project.drain.stone_width_m + SPARE_M
    moved = {edge: _inward(area.rule(edge), room, units) for edge in edges}
    names = ", ".join(f"A{edge}" for edge in edges)
    text = f"{length(room, units)} kept free inside the edge at {names}, for the stone behind the wall there"
    yield Cure("area-inward", text, (("area.edges", edge_rows(area, moved, units)),))


def _inward(rule: EdgeRule, by_m: float, units: System) -> EdgeRule:
    """The edge with more kept free inside it, up to the next mark of a tape."""
    inset = parse(tape_for_file(rule.inset_m + by_m, units, "up"), measure="length", system=units)
    return replace(rule, inset_m=inset, dig_beyond_m=(rule.dig_beyond_m or 0.0) + inset - rule.inset_m)


def _of_water(plan: Plan, stops: list[Finding]) -> Iterator[Cure]:
    if not any(finding.code.startswith("water.") for finding in stops):
        return
    if not plan.project.drain.dig_outside:
        yield Cure("drain-outside", "let the drains run on outside the walls", (("drain.dig_outside", True),))
    count = len(plan.terraces.levels_m)
    if count > 1:
        yield Cure("one-terrace-fewer", "one terrace fewer, so that the lowest drain comes out higher",
                   (("brief.terraces", count - 1),))  # fmt: skip


def _of_findings(stops: list[Finding]) -> Iterator[Cure]:
    for finding in stops:
        for cure in finding.cures:
            if cure.edits:
                yield cure
