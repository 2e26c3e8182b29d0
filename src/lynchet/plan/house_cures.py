"""A trench too deep beside a footing: the beds and their walls end short of the house, or their edge moves inward."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from lynchet.core.findings import Cure, Finding
from lynchet.plan.model import Plan
from lynchet.project.inset import edge_rows
from lynchet.project.model import EdgeRule
from lynchet.units.format import length, tape_for_file
from lynchet.units.parse import parse

TRENCH_CODE = "water.trench_at_house"
SHORT_OF_HOUSE = "short-of-house"
_SPARE_M = 0.25
"""Kept free beside what is lacking: the ground rises toward the house, and the trench with it. PRACTICE."""


def house_cures(plan: Plan, stops: Sequence[Finding]) -> Iterator[Cure]:
    """Ground beside the house left as it lies, as wide as the trenches that are too deep ask; nothing is known of what
    else it changes before it is planned.

    Args:
        plan: the plan that is stopped.
        stops: its stops.
    """
    found = [one for one in stops if one.code == TRENCH_CODE and one.demand is not None and one.capacity is not None]
    moved: dict[int, EdgeRule] = {}
    wide = 0.0
    area, units = plan.project.area, plan.project.units
    for one in found:
        room = (one.demand or 0.0) - (one.capacity or 0.0) + _SPARE_M
        for edge in _edges(plan, one.place):
            rule = moved.get(edge, area.rule(edge))
            written = tape_for_file(area.rule(edge).inset_m + room, units, "up")
            inset = parse(written, measure="length", system=units)
            if inset > rule.inset_m:
                finish = "open" if rule.finish == "house" else rule.finish
                moved[edge], wide = replace(rule, inset_m=inset, finish=finish), max(wide, room)
    if not moved:
        return
    names = ", ".join(f"A{edge}" for edge in sorted(moved))
    text = (
        f"{length(wide, units)} of ground at the house left as it lies, at {names}: beds and walls end short of it, so "
        "that no trench goes too deep beside its footing"
    )
    yield Cure(SHORT_OF_HOUSE, text, (("area.edges", edge_rows(area, moved, units)),))


def _edges(plan: Plan, place: str) -> list[int]:
    """Edges of the area that keep a trench off: those along a house, at which its wall ends; else the wall's own."""
    along = [rule.edge for rule in plan.project.area.edges if rule.finish == "house"]
    if along:
        return along
    leg = next((stone.leg for stone in plan.water.stone if stone.id == place), place)
    number = leg[1:].partition(".")[0]
    return [int(number)] if leg.startswith("A") and number.isdigit() else []
