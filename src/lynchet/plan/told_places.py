"""Places and parts in the names that sheets use: no id of the program reaches a reader."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from lynchet.core.findings import Finding
from lynchet.plan.model import Plan, said_place
from lynchet.water.model import Water
from lynchet.water.short_names import named, short_names
from lynchet.works.model import OrderLine


def water_names(water: Water) -> dict[str, str]:
    """Short names of all pipes and outlets by id."""
    return short_names(water.outlets, water.drains, water.solids, water.roof_pipes, water.cut_offs)


def with_water_names(findings: Iterable[Finding], water: Water) -> tuple[Finding, ...]:
    """Findings that call pipes and outlets in their words as sheets do; their places stay ids."""
    found = tuple(findings)
    names = water_names(water) if found else {}
    return tuple(named(one, names) for one in found)


def told_places(plan: Plan, places: Iterable[str]) -> tuple[str, ...]:
    """Each place once: a pipe or outlet by its short name, a part of a drain or its stone by the wall it belongs to.

    Args:
        plan: the plan.
        places: ids, as findings and order lines hold them.
    """
    names, legs = water_names(plan.water), {leg.id for leg in plan.walls.legs}
    return tuple(dict.fromkeys(names.get(place) or said_place(place, legs) for place in places))


def order_told(plan: Plan) -> tuple[OrderLine, ...]:
    """The order list, each line with the walls, beds and pipes it is for as sheets name them."""
    return tuple(replace(line, places=told_places(plan, line.places)) for line in plan.works.order)
