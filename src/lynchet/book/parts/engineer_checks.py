"""The engineer's folder: every check of the walls in figures, as the stability stage gives them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lynchet.book.blocks import Block, Heading, Para, Table
from lynchet.book.engineer_texts import heads, said
from lynchet.drawings.figures import Figures
from lynchet.plan.model import Plan
from lynchet.stability.bearings import PAD_SPREAD_M
from lynchet.stability.model import CASES, BaseCheck, HeightCheck, JointCheck, TieCheck
from lynchet.stability.slope import TOGETHER_M, shown_slope_factor
from lynchet.units.format import force, length, line_load, pressure
from lynchet.units.measures import System
from lynchet.walls.seen import Seen, all_seen

_BARE = ("own weight", "back friction")
"""Helps that are in the bare figures already."""


def engineer_checks(plan: Plan) -> tuple[Block, ...]:
    """Tables of checks.

    Args:
        plan: the plan.
    """
    return tuple(_blocks(plan))


def _blocks(plan: Plan) -> Iterator[Block]:
    yield Heading(said("checks.head"), 1)
    yield Heading(said("checks.verdicts_head"), 2)
    yield Table(heads("checks.verdict_heads"), tuple(_verdicts(plan)), "llllrl", (1, 1.6, 2.6, 1.6, 1, 3.4))
    yield Heading(said("checks.head"), 2)
    yield Para(said("checks.intro"))
    units, figures = plan.project.units, Figures(plan.project.units)
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    rows = tuple(_joint(check, seen, figures) for check in worst_joints(plan))
    shares = (0.8, 1.2, 1.1, 2.0, 0.8, 1.0, 0.9, 1.5, 0.9, 1.4, 1.7)
    yield Table(heads("checks.heads"), rows, "lrrlrrrrrrl", shares)
    yield from _bases(plan, units)
    yield from _ties(plan, seen, figures)
    yield from _corners(plan, units)
    yield from _slope(plan)
    yield Heading(said("checks.heights_head"), 2)
    heights = tuple(
        (one.rule, said(f"measures.{one.measure}"), length(one.height_m, units), length(one.limit_m, units),
         _asks(one))
        for one in plan.stability.heights
    )  # fmt: skip
    yield Table(heads("checks.height_heads"), heights, "llrrl", (3.4, 1.8, 1.2, 1.2, 1.2))


def _asks(check: HeightCheck) -> str:
    """Whether a rule of the place asks for more, and where a load does that alone, at which wall."""
    if not check.triggered:
        return said("levels.no")
    return said("checks.by_load", walls=", ".join(check.loaded)) if check.loaded else said("levels.yes")


def _verdicts(plan: Plan) -> Iterator[tuple[str, ...]]:
    for wall in plan.stability.walls:
        factor = "–" if wall.factor is None else f"{wall.factor:.2f}"
        yield wall.leg, wall.verdict.words, wall.governing, wall.case, factor, ", ".join(wall.helps)


def worst_joints(plan: Plan) -> list[JointCheck]:
    """For each wall and case the joint with the least factor, sliding or turning over, with the helps counted."""
    found: dict[tuple[str, str], JointCheck] = {}
    for check in plan.stability.joints:
        key = (check.place.leg, check.case)
        if key not in found or _factor(check) < _factor(found[key]):
            found[key] = check
    order = {leg.id: n for n, leg in enumerate(plan.walls.legs)}
    return sorted(found.values(), key=lambda one: (order[one.place.leg], CASES.index(one.case)))


def _factor(check: JointCheck) -> float:
    return min(check.sliding, check.overturning)


def _joint(check: JointCheck, seen: Mapping[str, Seen], figures: Figures) -> tuple[str, ...]:
    place = check.place
    helps = ", ".join(one.name for one in check.helps if one.counted and one.name not in _BARE)
    numbers = (check.sliding_bare, check.sliding, check.overturning_bare, check.overturning)
    return (
        place.leg, figures.words(seen[place.leg].along(place.station_m)), figures.words(place.retained_m), check.case,
        str(check.joint), *(_plain(value) for value in numbers),
        line_load(check.horizontal_kn_per_m, figures.system), helps or said("checks.none_beside"),
    )  # fmt: skip


def _plain(factor: float) -> str:
    return "over 100" if factor > 100 else f"{factor:.2f}"


def _bases(plan: Plan, units: System) -> Iterator[Block]:
    worst: dict[str, BaseCheck] = {}
    for check in plan.stability.bases:
        held = worst.get(check.place.leg)
        if held is None or check.pressure_kpa / check.allowable_kpa > held.pressure_kpa / held.allowable_kpa:
            worst[check.place.leg] = check
    if not worst:
        return
    yield Heading(said("checks.bases_head"), 2)
    if plan.project.soil.base == "stone pad":
        yield Para(said("checks.bases_intro", pad=length(PAD_SPREAD_M, units)))
    rows = tuple(
        (leg, one.case, pressure(one.pressure_kpa, units), pressure(one.allowable_kpa, units),
         length(one.effective_width_m, units)) for leg, one in worst.items()
    )  # fmt: skip
    yield Table(heads("checks.base_heads"), rows, "llrrr")


def _ties(plan: Plan, seen: Mapping[str, Seen], figures: Figures) -> Iterator[Block]:
    if not plan.stability.tie_checks:
        return
    units = figures.system
    yield Heading(said("checks.ties_head"), 2)
    if plan.stability.ties:
        yield Para(said("checks.laid_intro"))
        laid = sorted(plan.stability.ties, key=lambda one: (one.leg, seen[one.leg].along(one.station_m), one.bottom_m))
        rows = tuple(
            (one.leg, figures.words(seen[one.leg].along(one.station_m)), figures.level(one.bottom_m),
             length(one.length_m, units), length(one.cross_length_m, units)) for one in laid
        )  # fmt: skip
        yield Table(heads("checks.laid_heads"), rows, "lrrrr")
    yield Para(said("checks.ties_intro"))
    checks = tuple(
        (one.place.leg, figures.words(seen[one.place.leg].along(one.place.station_m)), one.case,
         force(one.demand_kn, units), force(one.capacity_kn, units), one.holds_by, force(one.fixing_kn, units),
         f"{100 * _used(one):.0f} %") for one in worst_ties(plan)
    )  # fmt: skip
    yield Table(heads("checks.tie_heads"), checks, "lrlrrlrr")


def worst_ties(plan: Plan) -> list[TieCheck]:
    """Of every place that stands by ties the case in which they are used most, each wall from its start."""
    found: dict[tuple[str, float], TieCheck] = {}
    for check in plan.stability.tie_checks:
        key = (check.place.leg, round(check.place.station_m, 2))
        if key not in found or _used(check) > _used(found[key]):
            found[key] = check
    return [found[key] for key in sorted(found)]


def _used(check: TieCheck) -> float:
    """Force in a tie over what it holds."""
    return check.demand_kn / max(min(check.capacity_kn, check.fixing_kn), 1e-9)


def _corners(plan: Plan, units: System) -> Iterator[Block]:
    if not plan.stability.corners:
        return
    yield Heading(said("checks.corners_head"), 2)
    rows = tuple(
        (one.leg, one.case, f"{one.sliding:.2f}", f"{one.overturning:.2f}", force(one.corner_pull_kn, units),
         force(one.fixing_kn, units), pressure(1000 * one.bending_mpa, units),
         pressure(1000 * one.allowable_mpa, units))
        for one in plan.stability.corners
    )  # fmt: skip
    yield Table(heads("checks.corner_heads"), rows, "llrrrrrr")


def _slope(plan: Plan) -> Iterator[Block]:
    yield Heading(said("checks.slope_head"), 2)
    if not plan.stability.slope:
        yield Para(said("checks.slope_none", together=length(TOGETHER_M, plan.project.units)))
        return
    rows = tuple(
        ("; ".join(one.triggers), one.case, shown_slope_factor(one) or said("checks.slope_not"))
        for one in plan.stability.slope
    )
    yield Table(heads("checks.slope_heads"), rows, "llr", (4, 1.4, 1.4))
