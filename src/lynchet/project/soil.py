"""The soil of a project: by class, by feel, by a jar test, by its friction angle; or weak, because unknown.

Classes take the compacted values of the stability room's table, lowered because garden fill is tamped by hand.
"""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.model import Soil
from lynchet.units.format import unit_weight

UNKNOWN_FRICTION_DEG = 26.0
UNKNOWN_WALL_FRICTION_DEG = 17.0
UNIT_WEIGHT_KN_M3 = 18.9
"""120 lb/ft3 (MEMORY, cautious)."""
SATURATED_KN_M3 = 20.4
"""130 lb/ft3 (MEMORY, cautious)."""
HAND_TAMPED_DEG = 4.0
HAND_TAMPED_CLAY_DEG = 2.0
"""Taken off the friction of the compacted class, because garden fill is tamped by hand (PRACTICE)."""
_OF_FEEL = {"gritty": "SM", "sandy": "SM", "silky": "ML", "silty": "ML", "sticky": "CL", "clay": "CL"}
_SAID = {"gritty": "sandy", "sandy": "sandy", "silky": "silty", "silty": "silty", "sticky": "clay", "clay": "clay"}
_CLAYS = {"CL", "CH", "MH", "ML-CL"}


@dataclass(frozen=True)
class _Known:
    label: str
    unified_class: str | None
    friction_deg: float
    clay: bool
    known: bool
    spread_deg: float


def soil_of(got: Got, faults: Faults) -> Soil:
    """The soil as written, its missing values filled in and listed."""
    found = _friction(got, faults)
    friction = found.friction_deg
    wall = got["wall_friction"]
    if wall is None:
        wall = round(friction * 2.0 / 3.0, 1) if found.known else UNKNOWN_WALL_FRICTION_DEG
        faults.default(got.at("wall_friction"), f"{wall:g} deg", "PRACTICE", "two thirds of the soil's own friction")
    elif wall > friction:
        faults.add(
            got.at("wall_friction"), f"{wall:g} deg is over the soil's own {friction:g} deg", "no more than that"
        )
    cohesion = got["cohesion"]
    if cohesion is None:
        cohesion = 0.0
        faults.default(got.at("cohesion"), "0", "MEMORY", "cautious: wet soil may keep none")
    moist, full = got["unit_weight"], got["saturated"]
    if moist is None:
        moist = UNIT_WEIGHT_KN_M3
        faults.default(got.at("unit_weight"), unit_weight(moist, faults.system), "MEMORY", "cautious")
    if full is None:
        full = max(SATURATED_KN_M3, moist)
        faults.default(got.at("saturated"), unit_weight(full, faults.system), "MEMORY", "cautious")
    elif full < moist:
        faults.add(got.at("saturated"), "less than the moist weight", "a weight no less than `unit_weight`")
    return Soil(
        label=found.label,
        unified_class=found.unified_class,
        friction_deg=friction,
        wall_friction_deg=wall,
        cohesion_kpa=cohesion,
        unit_weight_kn_m3=moist,
        saturated_unit_weight_kn_m3=full,
        base=got["base"] or "stone pad",
        clay=found.clay,
        known=found.known,
        friction_spread_deg=found.spread_deg,
    )


def _friction(got: Got, faults: Faults) -> _Known:
    """Friction and what it rests on; a written angle goes before a class, a class before a jar, a jar before a feel."""
    angle = got["friction_angle"]
    symbol, label = _class_of(got, faults)
    clay = symbol in _CLAYS
    if angle is not None and angle["value"] is not None:
        return _Known(label or "as tested", symbol, angle["value"], clay, True, angle["spread"] or 0.0)
    if symbol is not None:
        from lynchet.stability.soils import soil_typical

        typical = soil_typical(soil_class=symbol).friction_angle_deg
        less = HAND_TAMPED_CLAY_DEG if symbol.startswith("C") else HAND_TAMPED_DEG
        note = f"{symbol} compacted by machine has {typical:g} deg; fill tamped by hand is weaker"
        faults.default(got.at("friction_angle"), f"{typical - less:g} deg", "USBR averages in Huang (1983)", note)
        return _Known(label, symbol, typical - less, clay, True, 3.0)
    value = f"{UNKNOWN_FRICTION_DEG:g} deg"
    faults.default(got.at("friction_angle"), value, "MEMORY", "nobody looked at the soil: weak soil is assumed")
    return _Known("unknown", None, UNKNOWN_FRICTION_DEG, False, False, 3.0)


def _class_of(got: Got, faults: Faults) -> tuple[str | None, str]:
    if got["class"]:
        return got["class"], got["class"]
    jar = got["jar"]
    if jar is not None and jar.complete("sand", "silt", "clay"):
        total = jar["sand"] + jar["silt"] + jar["clay"]
        if abs(total - 1.0) > 0.03:
            faults.add(jar.path, f"shares add to {100 * total:.0f} %", "sand + silt + clay = 100 %")
            return None, ""
        feel = "sticky" if jar["clay"] >= 0.27 else "gritty" if jar["sand"] >= 0.5 else "silky"
        faults.default(got.at("class"), _OF_FEEL[feel], "PRACTICE", "from the jar: clay from 27 %, sand from 50 %")
        return _OF_FEEL[feel], _SAID[feel]
    feel = got["feel"]
    if feel and feel != "unknown":
        faults.default(got.at("class"), _OF_FEEL[feel], "PRACTICE", f"from the feel: {feel}")
        return _OF_FEEL[feel], _SAID[feel]
    return None, ""
