"""Test holes held against all that is dug: water met above the lowest underside, ground too hard, ground too slow.

Water found in a hole stands as deep under the old ground everywhere that hole counts for, and near the hole no lower
than in it. Ground too hard to dig lies as deep under the old ground as in the hole. Both PRACTICE: one hole tells of
its own place alone, so what it tells is a question, not a figure to build by.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, dist

import numpy as np
from numpy.typing import NDArray

from lynchet.core.changed import changed
from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Finding, Verdict
from lynchet.project.things import Hole
from lynchet.units.format import length as length_text
from lynchet.units.format import rain as rate_text
from lynchet.units.format import small
from lynchet.walls.bedding import STONE_BED_M, stone_beds
from lynchet.walls.seen import FROM_LEFT
from lynchet.water.model import SolidPipe, Stone, WaterLevel
from lynchet.water.yard import Yard

NEAR_M = 5.0
"""A hole tells of ground this near; ground with no hole so near goes by the nearest. PRACTICE."""
SLOW_MM_H = 25.0
"""Water that sinks by less than an inch an hour: slow ground. PRACTICE (the gardener's test of a filled hole)."""
FILLING_MM = 150.0
_LEAST_M = 0.01
_STEP_M = 0.5
_TOLD = 6
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Dug:
    """The underside of something at one place along it."""

    leg: str
    """Wall whose trench it is; empty for a pipe away from walls."""
    what: str
    """As findings call it: the wall, or the pipe's id."""
    point_m: tuple[float, float]
    bottom_m: float


@dataclass(frozen=True)
class Met:
    """What one hole says of every place dug."""

    hole: Hole
    water_m: Floats
    """(n,) how far below the water its underside lies; not above 0 where it stays dry, minus infinity where the hole
    does not count or found none."""
    rock_m: Floats
    """(n,) the same under the level where the spade stopped."""
    counts: NDArray[np.bool_]
    """(n,) whether the hole counts there."""


def soak_mm_h(hole: Hole) -> float | None:
    """Rate at which water sank in a hole; None where nobody tried."""
    return FILLING_MM / (hole.soak_min / 60.0) if hole.soak_min else None


def dug_of(yard: Yard, stones: Sequence[Stone], solids: Sequence[SolidPipe]) -> list[Dug]:
    """Stone beds under walls still to be built, drain stone, and beds of pipes, each at most half a metre apart."""
    found, standing = [], yard.walls.standing
    for leg in yard.walls.legs:
        for bed in stone_beds(yard.walls, leg):
            if standing.stands(leg.id, bed.run.course, 0.5 * (bed.start_m + bed.end_m)):
                continue
            middle = bed.run.offset_m + leg.thickness_m / 2
            ends = leg.point_at(bed.start_m, middle), leg.point_at(bed.end_m, middle)
            bottom = bed.run.bottom_m - STONE_BED_M
            found += [Dug(leg.id, leg.id, at, bottom) for at, _ in _between(*ends)]
    for stone in stones:
        found += [Dug(stone.leg, stone.leg, at, stone.bottom_m)
                  for at, _ in _between(stone.start_m, stone.end_m)]  # fmt: skip
    under = yard.settings.wall_m + yard.settings.stone_under_m
    for solid in solids:
        for i, (a, b) in enumerate(zip(solid.points_m, solid.points_m[1:], strict=False)):
            high, low = solid.inverts_m[i : i + 2]
            found += [Dug("", solid.id, at, high + share * (low - high) - under) for at, share in _between(a, b)]
    return found


def _between(a: tuple[float, float], b: tuple[float, float]) -> list[tuple[tuple[float, float], float]]:
    """Places from one point to another with their share of the way."""
    count = max(1, ceil(dist(a, b) / _STEP_M))
    return [((a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])), s) for s in (n / count for n in range(count + 1))]


def met_in(yard: Yard, dug: Sequence[Dug]) -> list[Met]:
    """Every hole against every place dug; places off the measured ground are not judged."""
    holes = yard.project.holes
    if not holes or not dug:
        return []
    at = np.array([one.point_m for one in dug])
    bottom = np.array([one.bottom_m for one in dug])
    ground = yard.level_at(at)
    away = np.array([np.zeros(len(at)) if h.point_m is None else np.hypot(*(at - h.point_m).T) for h in holes])
    counts = (away <= NEAR_M + 1e-9) | (away <= away.min(axis=0) + 1e-9)
    return [_met(yard, hole, (ground, bottom), mine, far <= NEAR_M + 1e-9)
            for hole, mine, far in zip(holes, counts, away, strict=True)]  # fmt: skip


def _met(
    yard: Yard, hole: Hole, levels: tuple[Floats, Floats], counts: NDArray[np.bool_], near: NDArray[np.bool_]
) -> Met:
    ground, bottom = levels
    none = np.full(len(ground), -np.inf)
    water = rock = none
    counts = counts & ~np.isnan(ground)
    if hole.water_depth_m is not None:
        stands = ground - hole.water_depth_m
        if hole.point_m is not None:
            own = float(yard.level_at([hole.point_m])[0]) - hole.water_depth_m
            level = np.minimum(ground, np.maximum(stands, own))
            stands = np.where(near & ~np.isnan(level), level, stands)
        water = np.where(counts, stands - bottom, none)
    if hole.refusal_depth_m is not None:
        rock = np.where(counts, ground - hole.refusal_depth_m - bottom, none)
    return Met(hole, water, rock, counts)


def undrained_rows(
    levels: Sequence[WaterLevel], dug: Sequence[Dug], met: Sequence[Met], yard: Yard
) -> tuple[WaterLevel, ...]:
    """Stretches drained by stone alone of which the trench stands in ground water: no drain, full in every case."""
    wet = _wet(yard, dug, met)
    return tuple(_undrained(row) if row.drained == "stone" and _any_on(row, wet.get(row.leg, ())) else row
                 for row in levels)  # fmt: skip


def _wet(yard: Yard, dug: Sequence[Dug], met: Sequence[Met]) -> dict[str, list[float]]:
    """Stations of each wall at which its trench stands in ground water."""
    wet: dict[str, list[float]] = {}
    for one in met:
        for number in np.flatnonzero(one.water_m > _LEAST_M).tolist():
            place = dug[number]
            if place.leg:
                wet.setdefault(place.leg, []).append(yard.walls.leg(place.leg).station_of(place.point_m))
    return wet


def _any_on(row: WaterLevel, stations: Sequence[float]) -> bool:
    return any(row.start_m - _STEP_M <= station <= row.end_m + _STEP_M for station in stations)


def _undrained(row: WaterLevel) -> WaterLevel:
    full = max(row.wet_m, row.one_shut_m, row.all_shut_m)
    return changed(row, drained="none", wet_m=full, one_shut_m=full, all_shut_m=full)


def hole_findings(yard: Yard, dug: Sequence[Dug], met: Sequence[Met], levels: Sequence[WaterLevel]) -> list[Finding]:
    """What the holes say against the plan: water and rock are asked about, slow ground is a matter of care.

    Args:
        yard: the earlier results.
        dug: all undersides.
        met: of every hole.
        levels: what drains each stretch.
    """
    found = []
    for one in met:
        if one.water_m.max() > _LEAST_M:
            found.append(_water(yard, dug, one, levels))
        if one.rock_m.max() > _LEAST_M:
            found.append(_rock(yard, dug, one))
        rate = soak_mm_h(one.hole)
        if rate is not None:
            slow = _slow(yard, dug, one, levels) if rate < SLOW_MM_H - 1e-9 else []
            found += slow or _noted(yard, one.hole, rate)
    return found


def _water(yard: Yard, dug: Sequence[Dug], met: Met, levels: Sequence[WaterLevel]) -> Finding:
    hole, found_m = met.hole, met.hole.water_depth_m or 0.0
    where = f"{length_text(found_m, yard.project.units)} down" if found_m > 0.0 else "at the surface"
    wet = _wet(yard, dug, (met,))
    bare = sorted({row.leg for row in levels if row.drained != "pipe" and _any_on(row, wet.get(row.leg, ()))})
    text = (
        f"{hole_words(hole.name)} met water {where}{_level(yard, hole)}. "
        f"{_lowest(yard, dug, met.water_m, 'below that water')}{_without_pipe(yard, bare)} Pipes behind walls are "
        "sized for the rain: water that comes in dry weather too is led away above the walls (`cut_off = true` under "
        "[[spring]]). Dig in the dry season, and ask a geotechnical engineer before you build."
    )
    return Finding(
        "water.hole_water", Verdict.ASK, text, hole.name, demand=float(met.water_m.max()) + found_m,
        capacity=found_m, unit="m", source="PRACTICE", ask="engineer",
    )  # fmt: skip


def _without_pipe(yard: Yard, bare: Sequence[str]) -> str:
    """What becomes of walls in ground water without a pipe, and why the key that asks for pipes lays none."""
    if not bare:
        return ""
    least, them = yard.project.drain.pipe_from_m, "it" if len(bare) == 1 else "them"
    text = (
        " Stone alone drains nothing there: walls without a pipe are checked as if water stood to their top. "
        f"Have a pipe laid behind {enumerated(bare)}"
    )
    if least is None:
        return f"{text} (`pipe_from` under [drain]); it helps where it finds a way out."
    return (
        f"{text}: `pipe_from` of {small(least, yard.project.units)} lays none behind {them} there, for less is held or "
        "no way out is found. An outlet on lower ground (`outlet` under [drain]) or levels further up may give one."
    )


def _rock(yard: Yard, dug: Sequence[Dug], met: Met) -> Finding:
    hole, found_m = met.hole, met.hole.refusal_depth_m or 0.0
    text = (
        f"In {hole_words(hole.name, start=False)} the spade stopped {length_text(found_m, yard.project.units)} down. "
        f"{_lowest(yard, dug, met.rock_m, 'below what stopped it, taken as deep under the old ground as in the hole')} "
        "Drive a bar along the line every half metre (20 in) before you order. Where it stops too high, write it under "
        "[[found]] (rock, with its depth) and plan again, or ask a geotechnical engineer."
    )
    return Finding(
        "water.hole_refusal", Verdict.ASK, text, hole.name, demand=float(met.rock_m.max()) + found_m,
        capacity=found_m, unit="m", source="PRACTICE", ask="engineer",
    )  # fmt: skip


def hole_words(name: str, *, start: bool = True) -> str:
    """A test hole by its name, the word "hole" said once: "Test hole 1" for "hole 1", "Test hole by the gate".

    Args:
        name: its name in the file, or the one given by its number.
        start: whether a sentence begins with it.
    """
    low = name.strip()
    for lead in ("test hole", "hole"):
        if low.lower().startswith(lead) and not low[len(lead) : len(lead) + 1].isalpha():
            low = low[len(lead) :].strip()
            break
    return f"{'Test' if start else 'test'} hole {low}".strip()


def _level(yard: Yard, hole: Hole) -> str:
    if hole.point_m is None or hole.water_depth_m is None:
        return ""
    level = float(yard.level_at([hole.point_m])[0]) - hole.water_depth_m
    return f", at level {length_text(level, yard.project.units)}" if level == level else ""


def _lowest(yard: Yard, dug: Sequence[Dug], below_m: Floats, under: str) -> str:
    """What goes lowest under a level, where and by how much, and what else does."""
    worst = dug[int(np.argmax(below_m))]
    deep = small(float(below_m.max()), yard.project.units)
    if worst.leg:
        leg = yard.walls.leg(worst.leg)
        along = min(max(leg.station_of(worst.point_m), 0.0), leg.length_m)
        at = length_text(yard.seen[worst.leg].along(along), yard.project.units)
        text = f"The trench of wall {worst.leg}, {at} {FROM_LEFT}, goes {deep} {under}"
    else:
        text = f"Pipe {worst.what} goes {deep} {under}"
    others = list(dict.fromkeys(dug[n].what for n in np.flatnonzero(below_m > _LEAST_M).tolist()))
    others = [name for name in others if name != worst.what]
    if not others:
        return f"{text}."
    told = others if len(others) <= _TOLD else [*others[:_TOLD], f"{len(others) - _TOLD} more"]
    one, more = ("that", "those") if worst.leg else ("the trench", "the trenches")
    return f"{text}; so {f'does {one}' if len(others) == 1 else f'do {more}'} of {enumerated(told)}."


def _noted(yard: Yard, hole: Hole, rate: float) -> list[Finding]:
    """That the water test of a hole was read and changes nothing, and why; nothing where a soakaway takes it."""
    if any(pit.soak_mm_h is None for pit in yard.project.soakaways):
        return []
    units = yard.project.units
    limit = rate_text(SLOW_MM_H, units)
    why = (
        f"under {limit} is slow ground, but no wall near the hole is drained by stone alone"
        if rate < SLOW_MM_H - 1e-9 else f"from {limit} on stone alone drains"
    )  # fmt: skip
    text = (
        f"In {hole_words(hole.name, start=False)} water sank by {rate_text(rate, units)}. Noted; it changes "
        f"nothing here: {why}, and no soakaway counts on it."
    )
    return [Finding("water.hole_soak", Verdict.OK, text, hole.name, demand=rate, capacity=SLOW_MM_H, unit="mm/h",
                    source="PRACTICE")]  # fmt: skip


def _slow(yard: Yard, dug: Sequence[Dug], met: Met, levels: Sequence[WaterLevel]) -> list[Finding]:
    """Stone alone in ground that water hardly leaves."""
    near = {dug[n].leg for n in np.flatnonzero(met.counts).tolist()}
    legs = sorted({row.leg for row in levels if row.drained == "stone"} & near)
    if not legs or met.hole.soak_min is None:
        return []
    units, rate = yard.project.units, soak_mm_h(met.hole) or 0.0
    kept = (
        "Keep the weep holes in them open, the only way out for it"
        if yard.project.brief.weeps else "Let it out by weep holes (`weeps = true` under [brief])"
    )  # fmt: skip
    behind = f"wall{'' if len(legs) == 1 else 's'} {enumerated(legs)}"
    text = (
        f"In {hole_words(met.hole.name, start=False)} water sank by {rate_text(rate, units)}: under "
        f"{rate_text(SLOW_MM_H, units)} is slow ground. The stone behind {behind}, which has no "
        f"pipe, fills and stays full. {kept}, or have a pipe laid "
        "(`pipe_from` under [drain])."
    )
    return [
        Finding(
            "water.hole_slow", Verdict.WATCH, text, met.hole.name, demand=rate, capacity=SLOW_MM_H, unit="mm/h",
            source="PRACTICE",
        )
    ]  # fmt: skip
