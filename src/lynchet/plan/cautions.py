"""The usual cautions, shown with everything one could dig, lift, build or plant from."""

from __future__ import annotations

from lynchet.plan.model import Plan
from lynchet.plan.of_use import NO_TIMBER, nothing_built

TEXTS: dict[str, str] = {
    "lines": "Before digging: have buried lines (gas, power, water, telephone, sewer) located and marked; wait for the "
    "answer.",
    "codes": "Local codes, permits and lot lines come before this plan. Ask the building office how it counts wall "
    "height.",
    "engineer": "Walls that are high, loaded, near a building, on steep, wet or sliding ground need a licensed "
    "engineer.",
    "trenches": "Trenches cave in: stay out of any deeper than your knees beside a heap or a wall; keep children away "
    "from them.",
    "lifting": "A wet timber can weigh more than one person may lift: lift with two, bend the knees, mind the fingers.",
    "sawing": "Sawing treated timber: glasses, ear protection, dust mask outdoors; never burn the offcuts.",
    "food": "Food beds: only timber treated for ground contact with today's copper treatments, never creosote; test "
    "the soil.",
    "children": "Some plants are poisonous, some spread: look each up before it is planted where children or animals "
    "play.",
}
"""By name, so that another language has them under the same names."""
_USUAL = ("lines", "codes", "engineer", "trenches", "lifting", "sawing")
ALWAYS = tuple(TEXTS[name] for name in _USUAL)


def caution_names(plan: Plan) -> tuple[str, ...]:
    """Names of the usual cautions that concern this plan."""
    found = list(_USUAL)
    if plan.project.planting.food is not False:
        found.append("food")
    if plan.project.planting.children or plan.project.planting.wishes:
        found.append("children")
    return tuple(name for name in found if name not in NO_TIMBER or not nothing_built(plan.walls))


def plant_cautions(plan: Plan) -> tuple[str, ...]:
    """Cautions of single plants."""
    return tuple(caution.text for caution in plan.planted.cautions if caution.botanical_name)


def cautions(plan: Plan) -> tuple[str, ...]:
    """Cautions for this plan."""
    return (*(TEXTS[name] for name in caution_names(plan)), *plant_cautions(plan))
