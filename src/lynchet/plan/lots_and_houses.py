"""Lot lines that run through a house of the file: one of the two is drawn wrong, or two lots share the building."""

from __future__ import annotations

from functools import lru_cache

from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Project
from lynchet.project.things import House, LotLine
from lynchet.units.format import length

_INSIDE_M = 0.05
"""A line that keeps so near to the outside of a wall runs along it. PRACTICE: two tapes to one corner."""


def lot_findings(project: Project) -> tuple[Finding, ...]:
    """A question for each lot line and house that meet; a line along the outside of a house is none.

    Args:
        project: the file, in its own frame.
    """
    return tuple(_asked(project, *one) for one in _through(project.houses, project.lot_lines))


@lru_cache(maxsize=8)
def _through(houses: tuple[House, ...], lots: tuple[LotLine, ...]) -> tuple[tuple[LotLine, House, float], ...]:
    """Each lot line with each house it runs through, and for what length; kept by value from plan to plan."""
    import shapely

    found = []
    for house in houses:
        whole = shapely.Polygon(house.outline_m)
        inside = whole.buffer(-_INSIDE_M, join_style="mitre")
        for lot in lots:
            line = shapely.LineString(lot.line_m)
            if line.intersects(inside):
                found.append((lot, house, float(line.intersection(whole).length)))
    return tuple(found)


def _asked(project: Project, lot: LotLine, house: House, within_m: float) -> Finding:
    known = {"survey": "by survey", "fence": "taken from a fence", "guess": "a guess"}[lot.trust]
    name = lot.name if "lot line" in lot.name else f"lot line “{lot.name}”"
    text = (
        f"The {name} ({known}) runs through {house.name} for {length(within_m, project.units)}. One of the two is not "
        "where the file has it, or the house stands on two lots: measure both from one corner you are sure of and mend "
        "`line` under [[lot_line]] or `outline` under [[house]]; if they share the building, ask the neighbour before "
        "you dig beside it. Every distance to that line hangs on this."
    )
    return Finding(
        "stays.lot-through-house",
        Verdict.ASK,
        text,
        lot.name,
        demand=within_m,
        unit="m",
        cause="stays.lot-through-house",
        ask="neighbour",
    )
