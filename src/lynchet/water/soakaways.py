"""Soakaways and outlets of the file: as ends for the net, and checked with what runs into them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.things import Soakaway
from lynchet.units.format import length as length_text
from lynchet.units.format import volume as volume_text
from lynchet.water.beside import SoakawayCheck
from lynchet.water.holes_dug import soak_mm_h
from lynchet.water.inside import Target
from lynchet.water.model import Outlet
from lynchet.water.soakaway import EMPTYING_LIMIT_H, half_empty_h, inflows_m3, side_area_half_m2, storages_m3
from lynchet.water.soakaway_siting import BOUNDARY_LIMIT_M, HOUSE_LIMIT_M, SEPTIC_LIMIT_M, WELL_LIMIT_M, wall_distance_m
from lynchet.water.yard import Yard

Point = tuple[float, float]
_COVER_M = 0.15


def targets_of(yard: Yard) -> list[Target]:
    """Outlets and soakaways of the file with the invert a pipe must reach them at.

    An outlet without a level is taken to lie one free drop over the ground there.
    """
    found = []
    drain = yard.project.drain
    levels = (*drain.outlet_levels_m, *(None for _ in drain.outlets_m))
    for number, (point, level) in enumerate(zip(drain.outlets_m, levels, strict=False)):
        ground = float(yard.level_at([point])[0])
        at = level if level is not None else ground + yard.settings.drop_m
        if at == at:
            found.append(Target(str(number), "given", point, at))
    for pit in yard.project.soakaways:
        inlet = _inlet_m(yard, pit)
        if inlet is not None:
            found.append(Target(pit.name, "soakaway", pit.point_m, inlet))
    return found


def _inlet_m(yard: Yard, pit: Soakaway) -> float | None:
    """Level of the inlet: as the file says, else under the cover and the pipe."""
    if pit.inlet_m is not None:
        return pit.inlet_m
    ground = float(yard.level_at([pit.point_m])[0])
    return ground - _COVER_M - yard.settings.outside_m if ground == ground else None


def soak_rate_mm_h(yard: Yard, pit: Soakaway) -> float | None:
    """Rate at which water goes into the ground: of the pit, else the slowest test hole; None where nobody tried."""
    if pit.soak_mm_h is not None:
        return pit.soak_mm_h
    rates = (soak_mm_h(hole) for hole in yard.project.holes)
    return min((rate for rate in rates if rate is not None), default=None)


def soakaway_checks(
    yard: Yard, outlets: Sequence[Outlet], areas_m2: dict[str, float]
) -> tuple[list[SoakawayCheck], list[Finding]]:
    """Size, emptying and place of every soakaway; one that no drain runs into is not built, and said so.

    Args:
        yard: the earlier results.
        outlets: ends of the net.
        areas_m2: area drained to each outlet, by outlet id.
    """
    checks: list[SoakawayCheck] = []
    findings: list[Finding] = []
    for pit in yard.project.soakaways:
        mine = [o for o in outlets if o.kind == "soakaway" and o.point_m == pit.point_m]
        area = sum(areas_m2.get(o.id, 0.0) for o in mine)
        drains = tuple(d for o in mine for d in o.drains)
        check = _check(yard, pit, area, drains)
        checks.append(check)
        findings += _findings(yard, pit, check)
        findings += _places(yard, pit, check) if check.drains else []
    return checks, findings


def _check(yard: Yard, pit: Soakaway, area: float, drains: tuple[str, ...]) -> SoakawayCheck:
    rain = yard.project.rain
    rate = soak_rate_mm_h(yard, pit)
    outflow = float(side_area_half_m2(pit.length_m, pit.width_m, pit.depth_m)) * (rate or 0.0) / 1000.0 / 3600.0
    inflow = float(inflows_m3(rain.runoff_coefficient, area, rain.storm_mm))
    store = pit.length_m * pit.width_m * pit.depth_m * pit.voids
    required = max(0.0, float(storages_m3(inflow, outflow, rain.storm_hours * 60.0)))
    empty = float(half_empty_h(store, outflow)) if outflow > 0 else None
    inlet = _inlet_m(yard, pit)
    top = inlet + yard.settings.outside_m if inlet is not None else 0.0
    passes = required <= store + 1e-12 and empty is not None and empty <= EMPTYING_LIMIT_H * (1 + 1e-12)
    x, y, a, b = *pit.point_m, pit.length_m / 2, pit.width_m / 2
    outline = ((x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b))
    return SoakawayCheck(
        name=pit.name, point_m=pit.point_m, outline_m=outline, inlet_m=inlet or 0.0, bottom_m=top - pit.depth_m,
        top_m=top, area_m2=area, inflow_m3=inflow, store_m3=store, required_m3=required, half_empty_h=empty,
        passes=passes, drains=drains,
    )  # fmt: skip


def _findings(yard: Yard, pit: Soakaway, check: SoakawayCheck) -> list[Finding]:
    rate, units = soak_rate_mm_h(yard, pit), yard.project.units
    if not check.drains:
        return [Finding("water.soakaway_unused", Verdict.WATCH, _unused_words(yard, pit), pit.name, source="PRACTICE")]
    source = "BRE Digest 365: half empty within 24 h (method as in public calculation sheets); here of the full pit"
    if rate is None:
        text = (
            f"Nobody knows how fast water goes into the ground at soakaway {pit.name}. Dig a test hole, fill it, and "
            "write how long 150 mm (6 in) takes to go."
        )
        return [Finding("water.soak_rate", Verdict.ASK, text, pit.name, source=source, ask="office")]
    empties = "never" if check.half_empty_h is None else f"after {check.half_empty_h:.1f} h"
    figures = (
        f"{volume_text(check.inflow_m3, units)} run in, it stores {volume_text(check.store_m3, units)} and is half "
        f"empty {empties}"
    )
    if check.passes:
        text = f"Soakaway {pit.name} is large enough: {figures}."
        return [
            Finding(
                "water.soakaway", Verdict.OK, text, pit.name, demand=check.half_empty_h, capacity=EMPTYING_LIMIT_H,
                unit="h", source=source, working=_working(yard, pit, check),
            )
        ]  # fmt: skip
    if check.half_empty_h is None or check.half_empty_h > EMPTYING_LIMIT_H:
        why = "the soil takes water too slowly: it is no way out"
    else:
        why = "it is too small"
    text = f"Soakaway {pit.name}: {figures} (24 h allowed); {why}."
    cures = (
        Cure("other-outlet", "an outlet to lower ground or a storm pipe, with leave, in its place"),
        Cure("longer-soakaway", "a longer, narrower pit has more side to soak through"),
    )
    return [
        Finding(
            "water.soakaway", Verdict.STOP, text, pit.name, demand=check.half_empty_h, capacity=EMPTYING_LIMIT_H,
            unit="h", source=source, cures=cures, withholds=("all",), working=_working(yard, pit, check),
        )
    ]  # fmt: skip


def _unused_words(yard: Yard, pit: Soakaway) -> str:
    """That no drain runs into a pit, which is then not built."""
    why = "A pipe must fall all the way to its inlet."
    if _inlet_m(yard, pit) is None:
        why = "The ground there is not measured: measure it, or give its `inlet`."
    return (
        f"No drain is led to soakaway {pit.name}: it would take no water, so it is not dug and nothing is ordered for "
        f"it. {why}"
    )


def _working(yard: Yard, pit: Soakaway, check: SoakawayCheck) -> tuple[str, tuple[tuple[str, object], ...]] | None:
    """The size of the pit as the calculator shows it; none where nothing runs in or nothing soaks away."""
    rain, rate = yard.project.rain, soak_rate_mm_h(yard, pit)
    if not rate or check.area_m2 <= 0:
        return None
    return "soakaway_size", (
        ("length_m", pit.length_m), ("width_m", pit.width_m), ("depth_m", pit.depth_m), ("void_fraction", pit.voids),
        ("infiltration_rate_m_s", rate / 3.6e6), ("area_m2", check.area_m2),
        ("durations_min", [60.0 * rain.storm_hours]), ("depths_mm", [rain.storm_mm]),
        ("runoff_coefficient", rain.runoff_coefficient),
    )  # fmt: skip


def _places(yard: Yard, pit: Soakaway, check: SoakawayCheck) -> list[Finding]:
    """Distances to buildings, lot lines, wells, septic fields and walls."""
    from shapely.geometry import Polygon

    shape = Polygon(check.outline_m)
    units = yard.project.units
    wanted: list[tuple[str, Any, float]] = [
        ("the house", yard.houses, HOUSE_LIMIT_M),
        ("the lot line", yard.lot_lines, BOUNDARY_LIMIT_M),
    ]
    for fixed in yard.project.fixed:
        limit = {"well": WELL_LIMIT_M, "septic": SEPTIC_LIMIT_M}.get(fixed.kind)
        if limit is not None:
            wanted.append((fixed.name or fixed.kind, _fixed(fixed.line_m), limit))
    found = []
    for name, thing, limit in wanted:
        if not thing.is_empty and thing.distance(shape) < limit - 1e-9:
            near = float(thing.distance(shape))
            text = (
                f"Soakaway {pit.name} lies {length_text(near, units)} from {name}; "
                f"{length_text(limit, units)} are asked."
            )
            cure = Cure("move-soakaway", f"move it {length_text(limit - near, units)} further away")
            source = "Minnesota Stormwater Manual, setback tables (local rules go before)"
            found.append(
                Finding(
                    "water.soakaway_place", Verdict.STOP, text, pit.name, demand=limit, capacity=near, unit="m",
                    source=source, cures=(cure,), withholds=("all",),
                )
            )  # fmt: skip
    return found + _walls(yard, pit, shape)


def _fixed(line: tuple[Point, ...]) -> Any:
    from shapely.geometry import LineString
    from shapely.geometry import Point as Dot

    return Dot(line[0]) if len(line) == 1 else LineString(line)


def _walls(yard: Yard, pit: Soakaway, shape: Any) -> list[Finding]:
    from shapely.geometry import LineString

    units = yard.project.units
    worst: tuple[float, str, float, float] | None = None
    for leg in yard.walls.legs:
        for segment in leg.segments:
            ends = leg.point_at(segment.start_m), leg.point_at(segment.end_m)
            span = leg.span_at((segment.start_m + segment.end_m) / 2)
            height = max(abs(span.high0_m - span.low0_m), abs(span.high1_m - span.low1_m))
            left = leg.normal[0] * (pit.point_m[0] - ends[0][0]) + leg.normal[1] * (pit.point_m[1] - ends[0][1]) > 0
            above = left == (span.held > 0)
            needed, away = wall_distance_m(height, above), float(LineString(ends).distance(shape))
            if height > 0 and needed - away > (worst[0] if worst else 1e-9):
                worst = (needed - away, leg.id, away, needed)
    if worst is None:
        return []
    text = (
        f"Soakaway {pit.name} lies {length_text(worst[2], units)} from wall {worst[1]}; its water would load or "
        f"undermine the wall ({length_text(worst[3], units)} wished)."
    )
    cure = Cure("move-soakaway", f"move it {length_text(worst[0], units)} further away")
    return [
        Finding(
            "water.soakaway_wall", Verdict.ASK, text, pit.name, demand=worst[3], capacity=worst[2], unit="m",
            source="PRACTICE", cures=(cure,), ask="engineer",
        )
    ]  # fmt: skip
