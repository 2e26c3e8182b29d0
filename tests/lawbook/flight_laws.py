"""Laws on flights of steps."""

from __future__ import annotations

import itertools

import shapely

from lawbook.case import GRID_M, Case
from lynchet.core.findings import Verdict
from lynchet.ground.surface import level_at
from lynchet.terraces.model import Flight

LEAST_RISER_M, MOST_RISER_M = 0.095, 0.1971
FINE_M, UNLIKE_M = 3e-3, 9.525e-3
"""Risers of a flight over walls off their level may differ so much unsaid (PRACTICE: a saw cut), and said, before it
is a stop (IRC 2018, R311.7.5.1: 3/8 in)."""
LEAST_GOING_M, MOST_GOING_M = 0.2799, 0.4701


def _unlike_told(case: Case, flight: Flight, rises: list[float], within_m: float) -> bool:
    """Whether all risers are as planned, or walls stand off their level and a finding says by how much they differ: a
    stop over 3/8 in.
    """
    if all(abs(rise - flight.riser_m) <= within_m for rise in rises):
        return True
    apart = max(rises) - min(rises)
    told = [one for one in case.walls.findings if (one.code, one.place) == ("standing.steps", flight.id)]
    if not case.walls.standing.any_stands or (apart > FINE_M and not told):
        return False
    words = [one for one in told if one.demand is not None and abs(one.demand - apart) <= 1e-3]
    stop = any(one.verdict is Verdict.STOP for one in words)
    return apart <= FINE_M or (bool(words) and stop == (apart > UNLIKE_M))


def _stopped(case: Case, flight: Flight) -> bool:
    """Whether walls stand off their level and the steps over them are a stop."""
    told = [one for one in case.walls.findings if (one.code, one.place) == ("standing.steps", flight.id)]
    return case.walls.standing.any_stands and any(one.verdict is Verdict.STOP for one in told)


def risers_alike(case: Case) -> list[str]:
    """Risers times their height make the rise; riser and going keep their limits, a riser changed by walls off their
    level or else it is a stop; treads rise one by one, or where walls stand so it is told how unlike they come out.
    """
    wrong = []
    for flight in case.terraces.flights:
        rise = flight.head_level_m - flight.foot_level_m
        if abs(flight.risers * flight.riser_m - rise) > 2e-3:
            wrong.append(f"{flight.id}: {flight.risers} risers of {flight.riser_m:.3f} m for {rise:.3f} m")
        if not LEAST_RISER_M < flight.riser_m < MOST_RISER_M and not _stopped(case, flight):
            wrong.append(f"{flight.id}: riser of {flight.riser_m:.3f} m")
        if not LEAST_GOING_M < flight.going_m < MOST_GOING_M:
            wrong.append(f"{flight.id}: going of {flight.going_m:.3f} m")
        tops = [flight.foot_level_m, *(tread.top_m for tread in flight.treads), flight.head_level_m]
        if not _unlike_told(case, flight, [b - a for a, b in itertools.pairwise(tops)], 2e-3):
            wrong.append(f"{flight.id}: treads do not rise evenly")
    return wrong


def landings_meet_steps(case: Case) -> list[str]:
    """Every rise of a foot is a riser within 5 mm: from landing to first step, and from the last step to the landing.

    A landing on a bed lies at the top of the timber that holds the bed, so landings that meet on one bed are level;
    where walls stand off their level, it lies at the top of timber as it stands, which is told.
    """
    wrong = []
    freeboard = case.project.brief.freeboard_m
    tops = [run.top_m for run in case.walls.runs] if case.walls.standing.any_stands else []
    for flight in case.terraces.flights:
        foot, head = (next(one for one in flight.landings if one.where == where) for where in ("foot", "head"))
        walked = [foot.level_m, *(tread.top_m for tread in flight.treads), head.level_m]
        rises = [high - low for low, high in itertools.pairwise(walked)]
        if not _unlike_told(case, flight, rises, 5e-3):
            listed = ", ".join(f"{rise:.3f}" for rise in rises)
            wrong.append(f"{flight.id}: rises of {listed} m, risers of {flight.riser_m:.3f} m")
        for landing in flight.landings:
            bed = case.terraces.face(landing.face)
            if bed is not None and bed.kind == "bed" and abs(landing.level_m - bed.level_m - freeboard) > 5e-3:
                if any(abs(landing.level_m - top) <= 5e-3 for top in tops):
                    continue
                over = landing.level_m - bed.level_m
                wrong.append(f"{flight.id}: landing {over:.3f} m over {bed.id}, timber {freeboard:.3f} m")
    return wrong


def _stands_off_m(case: Case, flight: Flight) -> float:
    """How far the top of a wall that stands under a flight is off its plan."""
    if not case.walls.standing.any_stands:
        return 0.0
    tops = {run.course: run.top_m for run in case.walls.runs if run.leg in (flight.line, *flight.lines)}
    return abs(tops[max(tops)] - case.terraces.lattice.bottoms_m[max(tops) + 1]) if tops else 0.0


def feet_meet_ground(case: Case) -> list[str]:
    """On ground that is no bed a landing lies within half a riser of it, and no tread lies level with its ground.

    Ground that rises away from the wall by up to a quarter of a riser a tread adds half of that. A wall lower than half
    a riser is climbed by one, its landing dug. Where the wall stands off its level, the landing goes with it.
    """
    wrong = []
    beds = {bed.id for bed in case.terraces.beds}
    for flight in case.terraces.flights:
        foot = next(one for one in flight.landings if one.where == "foot")
        if foot.face in beds:
            continue
        (x, y), n = flight.direction, len(foot.outline_m)
        nosing = sorted(foot.outline_m, key=lambda p: p[0] * x + p[1] * y)[n // 2 :]
        middle = tuple(sum(p[k] for p in nosing) / len(nosing) for k in (0, 1))
        ground = float(level_at(case.ground.surface, [middle], 2.0)[0])
        off, half = ground - foot.level_m, 0.625 * flight.riser_m
        moved = _stands_off_m(case, flight)
        if not -half - moved <= off <= (half if flight.risers > 1 else flight.riser_m) + moved:
            wrong.append(f"{flight.id}: landing {off:+.3f} m under the ground, risers of {flight.riser_m:.3f} m")
        tops = [*(tread.top_m for tread in flight.treads), flight.head_level_m]
        if flight.risers > 1 and tops[0] - ground < flight.riser_m / 3:
            wrong.append(f"{flight.id}: its lowest tread stands {tops[0] - ground:.3f} m over the ground")
        if len(flight.treads) != flight.risers - 1:
            wrong.append(f"{flight.id}: {len(flight.treads)} treads for {flight.risers} risers")
    return wrong


def flights_clear(case: Case) -> list[str]:
    """No flight stands on timber that reaches above its foot, on another flight, or on another's landing."""
    wrong = []
    outlines = {f.id: shapely.Polygon(f.outline_m) for f in case.terraces.flights if f.risers > 1}
    runs = [run for run in case.walls.runs if run.outline_m]
    tree = shapely.STRtree([run.polygon for run in runs]) if runs else None
    for flight in case.terraces.flights:
        outline = outlines.get(flight.id)
        if outline is None:
            continue
        for tread in flight.treads:
            box = shapely.Polygon(tread.outline_m)
            for i in tree.query(box) if tree else ():
                run = runs[i]
                over = min(run.top_m, tread.top_m) - max(run.bottom_m, tread.bottom_m)
                shared = run.polygon.intersection(box, grid_size=GRID_M).area
                if over > 0.002 and shared > 2e-3 and flight.kind == "projecting":
                    wrong.append(f"{tread.id} stands in {run.id} ({shared * 1e4:.0f} cm2)")
        for other in case.terraces.flights:
            if other.id == flight.id:
                continue
            there = outlines.get(other.id)
            if there is not None and outline.intersection(there, grid_size=GRID_M).area > 1e-3:
                wrong.append(f"{flight.id} and {other.id} share ground")
            for landing in other.landings:
                if outline.intersection(shapely.Polygon(landing.outline_m), grid_size=GRID_M).area > 1e-3:
                    wrong.append(f"{flight.id} stands on a landing of {other.id}")
    return wrong


def walls_meet_flights(case: Case) -> list[str]:
    """A wall that a flight climbs has its top at the head of the flight there (not through flights' first wall): the
    top of its timber as it stands, which may be off the lattice.
    """
    wrong = []
    for flight in case.terraces.flights:
        if flight.kind != "projecting":
            continue
        here = [run.top_m for run in case.walls.runs
                if run.leg == flight.line and run.outer_m[0] <= flight.station_m <= run.outer_m[1]]  # fmt: skip
        if not here or max(here) < flight.head_level_m - 1e-6:
            wrong.append(f"{flight.id}: no wall of its height at {flight.line} {flight.station_m:.2f}")
    return wrong


FLIGHT_LAWS = (risers_alike, landings_meet_steps, feet_meet_ground, flights_clear, walls_meet_flights)
