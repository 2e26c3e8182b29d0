"""Sums of a wall's section, worked out again by slices from the data a plan is written with, where nothing is added.

Places looked at: alike for the length over which forces are averaged, so that the average is the section's own; no
load, no tier, no earthquake. Own weight and back friction, as ``sliding_bare`` and ``overturning_bare`` count.
"""

from __future__ import annotations

from functools import cache
from math import cos, radians, sin, tan

from lawbook.drained import Data
from lynchet.project.model import Project

WATER_KN_M3 = 9.81
WINDOW_M = 1.2
SLICES = 2000
NEAR = 0.01
ALIKE_M = 0.0005
"""Levels of places that count as one section; slopes in degrees to a hundred times as much."""
FIELDS = ("low_m", "high_m", "wet_m", "one_shut_m", "all_shut_m", "weep_m", "backslope_deg", "top_m",
          "base_m")  # fmt: skip


def sums_are_those_of_the_section(data: Data, project: Project) -> list[str]:
    """Factors of sliding and overturning of bare courses in the cases dry, wet, one and all outlets shut."""
    out = []
    for check in data["stability"]["joints"]:
        place = check["place"]
        if check["case"] not in ("dry", "wet", "one outlet shut", "all shut") or not _alone(data, place):
            continue
        slide, turn = _factors(place, check, project)
        for name, own in (("sliding_bare", slide), ("overturning_bare", turn)):
            if abs(check[name] - own) > NEAR * max(abs(own), 0.1):
                out.append(
                    f"{place['leg']} at {place['station_m']:.2f}, {check['case']}, joint {check['joint']}: "
                    f"{name} {check[name]:.4f}, by slices {own:.4f}"
                )
    return out[:5]


def looked_at(data: Data) -> int:
    """How many checks the law works out again."""
    return sum(_alone(data, check["place"]) for check in data["stability"]["joints"])


def _alone(data: Data, place: Data) -> bool:
    """Whether all places within the window are alike, and nothing else loads this one."""
    if place["strips"] or place["surcharge_kpa"]:
        return False
    half = WINDOW_M / 2.0
    near = [one for one in data["stability"]["places"]
            if (one["leg"], one["held"]) == (place["leg"], place["held"])]  # fmt: skip
    beside = [one for one in near if abs(one["station_m"] - place["station_m"]) <= half]
    for way in (-1, 1):  # the next past the window tells how the stretch runs out of it
        past = [one for one in near if way * (one["station_m"] - place["station_m"]) > half]
        beside += sorted(past, key=lambda one: abs(one["station_m"] - place["station_m"]))[:1]
    return all(_alike(one, place) for one in beside)


def _alike(one: Data, other: Data) -> bool:
    """Whether two places are one section."""
    if one["courses"] != other["courses"] or one["strips"]:
        return False
    pairs = [(one[name], other[name], 100.0 if name.endswith("_deg") else 1.0) for name in FIELDS]
    return all((a is None) == (b is None) and abs((a or 0.0) - (b or 0.0)) < ALIKE_M * much for a, b, much in pairs)


def _factors(place: Data, check: Data, project: Project) -> tuple[float, float]:
    """Sliding and overturning about the front edge of the lowest course over the joint."""
    soil, wood = project.soil, project.timber
    course = (place["top_m"] - place["base_m"]) / place["courses"]
    foot = place["base_m"] + check["joint"] * course
    rub = 0.0 if "back friction" in project.brief.helps_off else soil.wall_friction_deg
    lean = place["lean_deg"]
    push = _active(soil.friction_deg, rub, min(place["backslope_deg"], soil.friction_deg - 0.5), lean)
    angle = radians(rub - lean)
    case = check["case"]
    level = {
        "dry": None,
        "wet": place["wet_m"],
        "one outlet shut": place["one_shut_m"],
        "all shut": place["all_shut_m"],
    }
    water = level[case] if level[case] is not None else float("-inf")
    runs = case == "wet" or place["weep_m"] is not None  # with its drain running what stands below presses both ways
    balanced = max(place["low_m"], place["base_m"]) if runs and place["front"] != "house" else place["base_m"]
    thrust = thrust_turn = 0.0
    high, stress = max(place["high_m"], foot), 0.0
    for n in range(SLICES):  # from the surface down
        thick = (high - foot) / SLICES
        z = high - (n + 0.5) * thick
        weight = soil.saturated_unit_weight_kn_m3 - WATER_KN_M3 if balanced < z < water else soil.unit_weight_kn_m3
        stress += weight * thick / 2.0
        thrust += push * stress * thick
        thrust_turn += push * stress * thick * (z - foot)
        stress += weight * thick / 2.0
    head, low = max(water - max(balanced, foot), 0.0), max(min(balanced, water) - foot, 0.0)
    wet = WATER_KN_M3 * (head * head / 2.0 + head * low)
    wet_turn = WATER_KN_M3 * (head * head / 2.0 * (low + head / 3.0) + head * low * low / 2.0)
    wide, tall = wood.thickness_m, place["top_m"] - foot
    own, lift = tall * wide * wood.unit_weight_kn_m3, WATER_KN_M3 * head / 2.0 * wide
    arm, back = tan(radians(lean)), thrust_turn / thrust if thrust > 0 else 0.0
    holds = own * (wide / 2.0 + arm * max(tall / 2.0 - course / 2.0, 0.0)) - lift * wide * 2.0 / 3.0
    holds += thrust * sin(angle) * (wide + arm * max(back - course / 2.0, 0.0))
    base = soil.friction_deg * (1.0 if soil.base == "stone pad" else 0.75)
    friction = tan(radians(base)) if check["joint"] == 0 else 0.4
    down, out = own + thrust * sin(angle) - lift, thrust * cos(angle) + wet
    return friction * down / out, holds / (thrust_turn * cos(angle) + wet_turn)


@cache
def _active(friction_deg: float, rub_deg: float, slope_deg: float, lean_deg: float) -> float:
    """Coulomb's coefficient by the weight of the wedge that pushes the most (trial wedges, no closed form).

    Terzaghi, Peck and Mesri, Soil Mechanics in Engineering Practice, 3rd ed. 1996, 45 (trial wedges). MEMORY.
    """
    phi, rub, slope, lean = (radians(one) for one in (friction_deg, rub_deg, slope_deg, lean_deg))
    most = 0.0
    for n in range(1, 4000):
        plane = slope + (radians(89.9) + lean - slope) * n / 4000  # from the horizontal
        if plane <= phi:
            continue
        # back of the wall: from (0, 0) to (tan lean, 1), ground from there at the slope; a wedge one high
        top = tan(lean)
        x = (1.0 - top * tan(slope)) / (tan(plane) - tan(slope)) if plane < radians(90) else 0.0
        y = x * tan(plane)
        area = abs(top * y - x * 1.0) / 2.0
        if x <= top:
            continue
        # weight and reaction on the plane in balance with the thrust, which points down by rub - lean on the wall
        least = sin(plane - phi) / cos(plane - phi - (rub - lean))
        most = max(most, area * least)
    return 2.0 * most
