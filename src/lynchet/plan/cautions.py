"""The usual cautions, shown with everything one could dig, lift, build or plant from."""

from __future__ import annotations

from lynchet.plan.model import Plan

ALWAYS = (
    "Before digging: have buried lines (gas, power, water, telephone, sewer) located and marked; wait for the answer.",
    "Local codes, permits and lot lines come before this plan. Ask the building office how it counts wall height.",
    "Walls that are high, loaded, near a building, on steep, wet or sliding ground need a licensed engineer.",
    "Trenches cave in: stay out of any deeper than your knees beside a heap or a wall; keep children away from them.",
    "A wet timber can weigh more than one person may lift: lift with two, bend the knees, mind the fingers.",
    "Sawing treated timber: glasses, ear protection, dust mask outdoors; never burn the offcuts.",
)
FOOD = (
    "Food beds: only timber treated for ground contact with today's copper treatments, never creosote; test the soil."
)
CHILDREN = "Some plants are poisonous, some spread: look each up before it is planted where children or animals play."


def cautions(plan: Plan) -> tuple[str, ...]:
    """Cautions for this plan."""
    found = list(ALWAYS)
    if plan.project.planting.food is not False:
        found.append(FOOD)
    if plan.project.planting.children or plan.project.planting.wishes:
        found.append(CHILDREN)
    found += [caution.text for caution in plan.planted.cautions if caution.botanical_name]
    return tuple(found)
