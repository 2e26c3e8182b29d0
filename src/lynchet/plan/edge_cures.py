"""Walls round the edge that fail: the beds end short of it, or the ground outside is sloped instead of held."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from lynchet.core.findings import Cure, Finding
from lynchet.plan.model import Plan
from lynchet.project.inset import edge_rows
from lynchet.project.model import EdgeRule
from lynchet.units.format import length
from lynchet.units.measures import System
from lynchet.units.parse import parse
from lynchet.walls.bank_reach import bank_reaches

ENDS_SHORT, BANKS_OUTSIDE = "ends-short", "banks-outside"
SIZES: dict[System, tuple[str, str, str]] = {"metric": ("0.9 m", "0.6 m", "3 m"), "us": ("3 ft", "2 ft", "10 ft")}
"""How far the beds end short of the edge without a bank and with one, and how far a bank may reach out. PRACTICE."""

LEAST_LEFT = 0.5
"""Beds that end short of the edge keep this share of their ground, or it is no cure."""


def edge_cures(plan: Plan, stops: Sequence[Finding], codes: frozenset[str]) -> Iterator[Cure]:
    """Edits of the edges whose walls are stopped; what they lead to is not known before they are planned.

    Args:
        plan: the plan that is stopped.
        stops: its stops.
        codes: those of walls.
    """
    area, units = plan.project.area, plan.project.units
    legs = {stop.place.partition("@")[0].partition(".")[0] for stop in stops if stop.code in codes}
    edges = sorted(int(leg[1:]) for leg in legs if leg[:1] == "A" and leg[1:].isdigit())
    rules = {edge: area.rule(edge) for edge in edges if area.rule(edge).finish == "wall"}
    if not rules:
        return
    names = ", ".join(f"A{edge}" for edge in rules)
    short, little, wide = (parse(size, measure="length", system=units) for size in SIZES[units])
    told = f"beds and walls end {length(short, units)} short of the edge at {names}; the ground there stays as it lies"
    moved = {edge: replace(rule, inset_m=rule.inset_m + short, dig_beyond_m=_beyond(rule, short))
             for edge, rule in rules.items()}  # fmt: skip
    yield Cure(ENDS_SHORT, told, (("area.edges", edge_rows(area, moved, units)),))
    sloped = {edge: replace(rule, finish="bank", width_m=wide) for edge, rule in rules.items()}
    steep = _too_steep(plan, sloped)
    sloped |= {edge: replace(sloped[edge], inset_m=sloped[edge].inset_m + little,
                             dig_beyond_m=_beyond(rules[edge], little)) for edge in steep}  # fmt: skip
    told = (
        f"the ground outside the area sloped 1 in 2 at {names} instead of walls, up to {length(wide, units)} out to "
        "where it meets the ground, if you may"
    )
    if steep:
        told += (
            f"; at {', '.join(f'A{edge}' for edge in steep)}, where the ground falls away too steeply for that, the "
        )
        told += f"beds end {length(little, units)} short of the edge"
    yield Cure(BANKS_OUTSIDE, told, (("area.edges", edge_rows(area, sloped, units)),))


def _too_steep(plan: Plan, sloped: Mapping[int, EdgeRule]) -> list[int]:
    """Edges at which banks of the beds as they lie now would not meet the ground within their width."""
    lines = tuple(
        replace(line, finish="bank", bank_width_m=sloped[edge].width_m or 0.0)
        if line.source[:1] == "A" and (edge := int(line.source[1:])) in sloped
        else line
        for line in plan.terraces.lines
    )
    legs = {leg.id: leg for leg in plan.walls.legs}
    found = bank_reaches(replace(plan.terraces, lines=lines), plan.ground.surface, legs, plan.project.houses)
    widths = {line.id: (int(line.source[1:]), line.bank_width_m) for line in lines if line.id in found}
    past = {widths[name][0] for name, beds in found.items() if any(one.past(widths[name][1]) for one in beds)}
    return sorted(past & sloped.keys())


def _beyond(rule: EdgeRule, short_m: float) -> float | None:
    """Ground left inside the file's edge may be dug."""
    return None if rule.dig_beyond_m is None else rule.dig_beyond_m + short_m
