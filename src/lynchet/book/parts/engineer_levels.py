"""The engineer's folder: levels of every wall, of the water behind it by case, and walls one above the other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lynchet.book.blocks import Block, Heading, Para, Table
from lynchet.book.engineer_texts import heads, said
from lynchet.drawings.figures import Figures
from lynchet.plan.model import Plan
from lynchet.stability.model import Place
from lynchet.units.format import length
from lynchet.walls.seen import Seen, all_seen

_NEXT_M = 0.02
"""Stretches no further apart follow one another."""


def engineer_levels(plan: Plan) -> tuple[Block, ...]:
    """Tables of levels.

    Args:
        plan: the plan.
    """
    return tuple(_blocks(plan))


def _blocks(plan: Plan) -> Iterator[Block]:
    yield Heading(said("levels.head"), 1)
    yield Para(said("levels.intro"))
    units, figures = plan.project.units, Figures(plan.project.units)
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    rows = tuple(_row(place, seen[place.leg], figures) for place in worst_places(plan))
    yield Table(heads("levels.heads"), rows, "lrrrrrrrr")
    if plan.water.levels:
        yield Heading(said("levels.water_head"), 2)
        yield Para(said("levels.water_intro"))
        yield Table(heads("levels.water_heads"), tuple(_water(plan, seen, figures)), "lllrrr")
    if plan.stability.tiers:
        yield Heading(said("levels.tier_head"), 2)
        tiers = tuple(
            (one.lower, one.upper, length(one.lower_height_m, units), length(one.upper_height_m, units),
             length(one.setback_m, units), length(one.needed_m, units),
             said("levels.yes") if one.independent else said("levels.no"))
            for one in plan.stability.tiers
        )  # fmt: skip
        yield Table(heads("levels.tier_heads"), tiers, "llrrrrl")


def worst_places(plan: Plan) -> list[Place]:
    """The place of each wall at which it holds most, in the order of the walls."""
    worst: dict[str, Place] = {}
    for place in plan.stability.places:
        if place.leg not in worst or place.retained_m > worst[place.leg].retained_m:
            worst[place.leg] = place
    return [worst[leg.id] for leg in plan.walls.legs if leg.id in worst]


def _row(place: Place, seen: Seen, figures: Figures) -> tuple[str, ...]:
    return (
        place.leg, figures.words(seen.along(place.station_m)), figures.level(place.base_m), figures.level(place.low_m),
        figures.level(place.high_m), figures.level(place.top_m), str(place.courses),
        _angle(place.lean_deg), _angle(place.backslope_deg),
    )  # fmt: skip


def _angle(value_deg: float) -> str:
    return said("basis.angle", value=round(value_deg, 1) + 0.0)  # + 0.0: no minus nought


def _water(plan: Plan, seen: Mapping[str, Seen], figures: Figures) -> Iterator[tuple[str, ...]]:
    """One row for each stretch, neighbours that say the same taken together; every wall from its left end."""
    found: list[tuple[tuple[str, ...], float, float]] = []
    levels = [(row, *seen[row.leg].stretch(row.start_m, row.end_m)) for row in plan.water.levels]
    legs = list(dict.fromkeys(row.leg for row, *_ in levels))
    for row, start, end in sorted(levels, key=lambda one: (legs.index(one[0].leg), one[1])):
        told = (row.leg, row.drained, *(figures.level(value) for value in (row.wet_m, row.one_shut_m, row.all_shut_m)))
        if found and found[-1][0] == told and start - found[-1][2] < _NEXT_M:
            found[-1] = (told, found[-1][1], max(end, found[-1][2]))
        else:
            found.append((told, start, end))
    for (leg, *more), start, end in found:
        yield leg, said("levels.stretch", start=figures.length(start), end=figures.length(end)), *more
