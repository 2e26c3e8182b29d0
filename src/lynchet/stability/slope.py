"""The whole slope: when it must be looked at, and what the search for the worst slip circle says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from math import hypot
from pathlib import Path
from typing import Any

import numpy as np
from shapely import LineString

from lynchet.core.compiled import is_ready
from lynchet.core.findings import Finding, Verdict
from lynchet.core.frame import Point
from lynchet.stability.model import Case, Place, SlopeCheck, TierCheck
from lynchet.stability.places import Yard
from lynchet.stability.slip_arcs import x_at
from lynchet.stability.slip_circle import Circle
from lynchet.stability.slip_factors import Engine
from lynchet.stability.slip_search import FULL, LIVE, Fineness, Hunt, least_circle
from lynchet.stability.slip_section import SectionGiven, SlipLayer, build_section
from lynchet.stability.slope_section import SlopeSection, pocket_water, section_through
from lynchet.stability.thresholds import shown_factor
from lynchet.units.format import length

STEEP = 1.0 / 3.0
STEEP_CLAY = 0.25
TOGETHER_M = 1.2
ENOUGH = 1.5
LEAST = 1.3
ENOUGH_SHUT = 1.1
_COMPILED = Path(__file__).with_name("slip_compiled.py")
SOURCE = "Triggers and factors 1.3, 1.5 (1.1 with all outlets shut): PRACTICE after slope-manual values, MEMORY"


def triggers(yard: Yard, places: Sequence[Place], tiers: Sequence[TierCheck]) -> list[str]:
    """Why the whole slope must be looked at, in plain words; empty where it need not."""
    found = []
    slope = hypot(*yard.terraces.fall)
    if any(not tier.independent for tier in tiers):
        found.append("walls so near each other that they count as one")
    if slope > STEEP:
        found.append(f"ground steeper than 1 in 3 ({slope:.0%})")
    together = _together_m(places, tiers)
    if together > TOGETHER_M + 1e-9:
        found.append(f"walls in one section together {length(together, yard.project.units)} high")
    if yard.project.springs:
        found.append("a spring")
    if any(place.surcharge_kpa > 0 for place in places):
        found.append("a load above a wall")
    if yard.project.soil.clay and slope > STEEP_CLAY:
        found.append(f"clay on ground steeper than 1 in 4 ({slope:.0%})")
    return found


def _together_m(places: Sequence[Place], tiers: Sequence[TierCheck]) -> float:
    tallest: dict[str, float] = {}
    for place in places:
        tallest[place.leg] = max(tallest.get(place.leg, 0.0), place.retained_m)
    above = {tier.lower: tier.upper for tier in tiers}
    best = 0.0
    for start in tallest:
        leg, total, seen = start, 0.0, set()
        while leg in tallest and leg not in seen:
            seen.add(leg)
            total += tallest[leg]
            leg = above.get(leg, "")
        best = max(best, total)
    return best


def check_slope(yard: Yard, places: Sequence[Place], tiers: Sequence[TierCheck], slip_ends: int) -> list[SlopeCheck]:
    """Bishop's search over the whole slope, in the design rain and with every outlet shut; empty without a trigger.

    Circles that stay above the foot of the tallest wall are left out: those walls are checked joint by joint.
    """
    why = tuple(triggers(yard, places, tiers))
    if not why:
        return []
    section = section_through(yard, places)
    if section is None:
        return [SlopeCheck(why, "wet", None)]
    least = 1.1 * max(place.top_m - place.base_m for place in places)
    wet_ground = pocket_water(section, _steps(yard, places, section, shut=False)) if yard.project.springs else None
    shut = pocket_water(section, _steps(yard, places, section, shut=True))
    fineness = FULL if slip_ends >= FULL.ends else replace(LIVE, ends=max(slip_ends, 10))
    cases: tuple[tuple[Case, list[list[float]] | None], ...] = (("wet", wet_ground), ("all shut", shut))
    return [_searched(yard, section, (why, case, water), least, fineness) for case, water in cases]


def _searched(
    yard: Yard,
    section: SlopeSection,
    what: tuple[tuple[str, ...], Case, list[list[float]] | None],
    least_m: float,
    fineness: Fineness,
) -> SlopeCheck:
    why, case, water = what
    soil = yard.project.soil
    layer = SlipLayer(soil.saturated_unit_weight_kn_m3 if water else soil.unit_weight_kn_m3, soil.friction_deg)
    ground = [[float(x), float(y)] for x, y in zip(section.x_m, section.y_m, strict=True)]
    found = _least(_line(ground), None if water is None else _line(water), layer, least_m, fineness)
    if found is None:
        return SlopeCheck(why, case, None)
    circle, ends, factor = found
    row = {"unit_weight_kn_m3": layer.unit_weight_kn_m3, "friction_angle_deg": layer.friction_angle_deg}
    given: tuple[tuple[str, object], ...] = (
        ("ground", ground), ("layers", [row]), ("centre_x_m", circle.x_m), ("centre_y_m", circle.y_m),
        ("radius_m", circle.radius_m), ("from_x_m", ends[0]), ("to_x_m", ends[1]),
    )  # fmt: skip
    given += (("water_line", water),) if water else ()
    centre = (circle.x_m, circle.y_m)
    return SlopeCheck(why, case, factor, centre, circle.radius_m, (ends[0], ends[1]), ("slip_circle_factor", given))


def _line(rows: Sequence[Sequence[float]]) -> tuple[Point, ...]:
    return tuple((row[0], row[1]) for row in rows)


@lru_cache(maxsize=32)
def _least(
    ground: tuple[Point, ...], water: tuple[Point, ...] | None, layer: SlipLayer, least_m: float, fineness: Fineness
) -> tuple[Circle, tuple[float, float], float] | None:
    """Worst circle, the ends of its mass and its factor; None where none fits.

    Remembered: of the cures tried for a yard most leave its section and its water as they are.
    """
    given = SectionGiven([list(at) for at in ground], [layer], None if water is None else [list(at) for at in water])
    engine: Engine = "auto" if fineness == FULL or is_ready(_COMPILED) else "numpy"  # nobody waits for a first look
    found = least_circle(Hunt(build_section(given), min_depth_m=least_m, fineness=fineness, engine=engine))
    if found is None:
        return None
    circle, arcs, factor = found
    left, right = sorted(float(x_at(arcs, angle)[0]) for angle in (arcs.start, arcs.end))
    return circle, (left, right), factor


def _steps(yard: Yard, places: Sequence[Place], section: SlopeSection, shut: bool) -> list[tuple[float, float, float]]:
    """Walls that hold the hill where the section crosses them: station, water behind, foot."""
    line = LineString([section.start_m, _end(section)])
    found = []
    for leg in yard.walls.legs:
        crossing: Any = line.intersection(LineString([leg.start_m, leg.end_m]))
        if crossing.geom_type != "Point" or not leg.segments:
            continue
        point = np.array([crossing.x, crossing.y])
        station = leg.station_of((float(point[0]), float(point[1])))
        near = [p for p in places if p.leg == leg.id and abs(p.station_m - station) < 3.0]
        if not near:
            continue
        place = min(near, key=lambda p: abs(p.station_m - station))
        uphill = place.held * (leg.normal[0] * section.way[0] + leg.normal[1] * section.way[1])
        water = place.all_shut_m if shut else place.wet_m
        if uphill > 0.5 and water is not None:
            along = (crossing.x - section.start_m[0]) * section.way[0] + (
                crossing.y - section.start_m[1]
            ) * section.way[1]
            found.append((float(along), min(water, place.high_m), place.base_m))
    return sorted(found)


def _end(section: SlopeSection) -> Point:
    length = float(section.x_m[-1])
    return section.start_m[0] + length * section.way[0], section.start_m[1] + length * section.way[1]


def word_on_slope(check: SlopeCheck) -> Verdict:
    """The verdict on a factor of the whole slope."""
    if check.factor is None:
        return Verdict.ASK
    if check.case == "all shut":
        return Verdict.OK if check.factor >= ENOUGH_SHUT else Verdict.ASK if check.factor >= 1.0 else Verdict.STOP
    return Verdict.OK if check.factor >= ENOUGH else Verdict.ASK if check.factor >= LEAST else Verdict.STOP


def slope_findings(checks: Sequence[SlopeCheck]) -> list[Finding]:
    """One finding for the worst case of the whole slope; its triggers are said with it."""
    if not checks:
        return []
    check = max(checks, key=lambda one: (word_on_slope(one), -(one.factor or 0.0)))
    verdict = word_on_slope(check)
    why = "; ".join(check.triggers)
    case = "with every outlet shut" if check.case == "all shut" else "in the design rain"
    if check.factor is None:
        said = "no slip circle could be tried"
    else:
        said = f"the worst slip circle {case} has a factor of {shown_slope_factor(check)} ({_need(check):g} is enough)"
    advice = {
        Verdict.OK: "", Verdict.WATCH: "", Verdict.ASK: " Ask a geotechnical engineer before building.",
        Verdict.STOP: " Do not build on this slope without a geotechnical engineer.",
    }[verdict]  # fmt: skip
    return [
        Finding(
            code="stability.slope",
            verdict=verdict,
            text=f"The whole slope was looked at because of {why}: {said}.{advice}",
            place="site",
            case=check.case,
            ratio=check.factor,
            source=f"Bishop 1955, least circle; {SOURCE}",
            withholds=("all",) if verdict is Verdict.STOP else (),
            ask="engineer" if verdict > Verdict.WATCH else "",
            working=check.working,
        )
    ]


def shown_slope_factor(check: SlopeCheck) -> str:
    """The factor in words, never rounded up to a limit that is not reached; "" where no circle could be tried."""
    return "" if check.factor is None else shown_factor(check.factor, LEAST, _need(check))


def _need(check: SlopeCheck) -> float:
    return ENOUGH_SHUT if check.case == "all shut" else ENOUGH
