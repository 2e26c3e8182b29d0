"""Places and parts in the names that sheets use: no id of the program reaches a reader."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from lynchet.plan.model import Plan, said_place
from lynchet.walls.model import Walls
from lynchet.water.model import Water
from lynchet.water.short_names import short_names
from lynchet.works.model import OrderLine


def water_names(water: Water) -> dict[str, str]:
    """Short names of all pipes and outlets by id."""
    return short_names(water.outlets, water.drains, water.solids, water.roof_pipes, water.cut_offs)


def told_part(water: Water, walls: Walls) -> Callable[[str], str]:
    """What a placed thing is called by its id: a pipe by its short name, its stone and fabric by that of the pipe, a
    piece of timber or a stone bed by its wall; anything else by its id.

    Args:
        water: pipes and outlets.
        walls: walls.
    """
    names, legs = water_names(water), {leg.id for leg in walls.legs}

    def told(name: str) -> str:
        parts = name.split("/")
        whole = ("/".join(parts[:n]) for n in range(len(parts), 0, -1))
        said = next((names[one] for one in whole if one in names), said_place(name, legs))
        return f"of {said}" if name not in names and said in {*names.values(), *legs} else said

    return told


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
