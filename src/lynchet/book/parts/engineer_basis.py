"""The engineer's folder: soil, water, loads and timber as they were taken, each with where it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.blocks import Block, Heading, Para, Table
from lynchet.book.engineer_texts import heads, said
from lynchet.plan.model import Plan
from lynchet.project.keys_build import FILE
from lynchet.units.format import length, pressure, rain, small, unit_weight

Row = tuple[str, str, str]
_ANGLE = FILE.keys["soil"].table
assert _ANGLE is not None and _ANGLE.keys["friction_angle"].table is not None
_SPREAD_ORIGIN = _ANGLE.keys["friction_angle"].table.keys["spread"].origin


def engineer_basis(plan: Plan) -> tuple[Block, ...]:
    """Everything the checks take for given.

    Args:
        plan: the plan.
    """
    return tuple(_blocks(plan))


def _blocks(plan: Plan) -> Iterator[Block]:
    yield Heading(said("basis.head"), 1)
    yield Para(said("basis.intro"))
    yield from _rows("basis.soil_head", _soil(plan))
    if not plan.project.soil.known:
        yield Para(said("basis.unlooked"), "strong")
    yield from _holes(plan)
    yield from _rows("basis.water_head", _water(plan))
    yield from _loads(plan)
    yield from _rows("basis.timber_head", _timber(plan))


def _rows(head: str, rows: Iterator[Row]) -> Iterator[Block]:
    yield Heading(said(head), 2)
    yield Table(heads("basis.heads"), tuple(rows), shares=(2.2, 1.6, 3))


def _origin(plan: Plan, *keys: str) -> str:
    """Where a value comes from: the default that was used, or the user."""
    for used in plan.project.defaults:
        if used.key in keys:
            return f"{used.origin}; {used.note}" if used.note else used.origin
    return said("basis.written")


def _soil(plan: Plan) -> Iterator[Row]:
    soil, units = plan.project.soil, plan.project.units
    yield said("basis.soil"), soil.label, _origin(plan, "soil.feel", "soil")
    yield said("basis.class"), soil.unified_class or said("basis.class_none"), _origin(plan, "soil.class")
    angle = said("basis.angle", value=soil.friction_deg)
    yield said("basis.friction"), angle, _origin(plan, "soil.friction_angle")
    angle = said("basis.angle", value=round(soil.wall_friction_deg, 1))
    yield said("basis.wall_friction"), angle, _origin(plan, "soil.wall_friction")
    yield said("basis.cohesion"), pressure(soil.cohesion_kpa, units), _origin(plan, "soil.cohesion")
    yield said("basis.weight"), unit_weight(soil.unit_weight_kn_m3, units), _origin(plan, "soil.unit_weight")
    wet = unit_weight(soil.saturated_unit_weight_kn_m3, units)
    yield said("basis.saturated"), wet, _origin(plan, "soil.saturated")
    yield said("basis.base"), soil.base, _origin(plan, "soil.base")
    spread = _origin(plan, "soil.friction_angle.spread")
    if any(used.key == "soil.friction_angle" for used in plan.project.defaults):
        spread = _SPREAD_ORIGIN  # an angle nobody wrote has no spread of its own in the file
    yield said("basis.spread"), said("basis.angle", value=soil.friction_spread_deg), spread


def _holes(plan: Plan) -> Iterator[Block]:
    yield Heading(said("basis.holes_head"), 2)
    holes, units = plan.project.holes, plan.project.units
    if not holes:
        yield Para(said("basis.holes_none"))
        return

    def depth(value: float | None) -> str:
        return said("basis.none") if value is None else length(value, units)

    rows = tuple(
        (hole.name, length(hole.depth_m, units), hole.feel or said("basis.unknown"), depth(hole.water_depth_m),
         depth(hole.refusal_depth_m)) for hole in holes
    )  # fmt: skip
    yield Table(heads("basis.hole_heads"), rows)


def _water(plan: Plan) -> Iterator[Row]:
    water, drain, units = plan.project.rain, plan.project.drain, plan.project.units
    yield said("basis.rain"), rain(water.intensity_mm_h, units), _origin(plan, "rain.intensity")
    yield said("basis.runoff"), f"{100 * water.runoff_coefficient:.0f} %", _origin(plan, "rain.runoff")
    yield said("basis.pipe"), small(drain.bore_m, units), _origin(plan, "drain.pipe")
    yield said("basis.stone"), small(drain.stone_width_m, units), _origin(plan, "drain.stone")


def _loads(plan: Plan) -> Iterator[Block]:
    yield Heading(said("basis.loads_head"), 2)
    project, units = plan.project, plan.project.units
    rows = [(load.name, pressure(load.pressure_kpa, units), "", "") for load in project.loads]
    worst: dict[str, float] = {}
    for place in plan.stability.places:
        worst[place.leg] = max(worst.get(place.leg, 0.0), place.surcharge_kpa)
    rows += [("", "", leg, pressure(value, units)) for leg, value in worst.items() if value > 0]
    yield Table(heads("basis.load_heads"), tuple(rows)) if rows else Para(said("basis.loads_none"))


def _timber(plan: Plan) -> Iterator[Row]:
    timber, units = plan.project.timber, plan.project.units
    size = f"{small(timber.course_m, units)} × {small(timber.thickness_m, units)}"
    yield said("basis.section"), size, _origin(plan, "timber.1.section")
    weight = unit_weight(timber.unit_weight_kn_m3, units)
    yield said("basis.timber_weight"), weight, _origin(plan, "timber.1.unit_weight")
    named = f"{timber.species}, {timber.grade}, {timber.treatment}"
    yield said("basis.species"), named, _origin(plan, "timber.1.material", "timber.1.species")
    shaken = plan.project.brief.earthquake
    value = f"{shaken:g}" if shaken else said("basis.earthquake_none")
    yield said("basis.earthquake"), value, _origin(plan, "brief.earthquake") if shaken else said("basis.none")
