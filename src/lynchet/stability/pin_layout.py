"""Place the base pins: along the lowest course of every wall, clear of notches, nodes and things that stay."""

from __future__ import annotations

from math import ceil

import shapely

from lynchet.stability.constants import PIN_DIAMETER_M, PIN_LENGTH_M, PIN_SPACING_M
from lynchet.stability.model import Pin
from lynchet.stability.obstacles import Obstacles
from lynchet.stability.places import Yard
from lynchet.walls.model import Run

END_CLEAR_M = 0.15
NOTCH_CLEAR_M = 0.15
_SHIFTS = (0.0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3)


def lay_out_pins(yard: Yard, blocked: Obstacles) -> list[Pin]:
    """Pins through the lowest course of every segment, 1.2 m apart at most, two to a run at least."""
    if not yard.project.brief.pins:
        return []
    found: list[Pin] = []
    for leg in yard.walls.legs:
        number = 0
        for segment in leg.segments:
            for run in yard.walls.runs_of(leg.id, segment.base):
                low, high = max(run.inner_m[0], segment.start_m), min(run.inner_m[1], segment.end_m)
                for station in _stations(low + END_CLEAR_M, high - END_CLEAR_M):
                    pin = _pin(yard, run, (station, low, high), number, blocked)
                    if pin is not None:
                        found.append(pin)
                        number += 1
    return found


def _stations(low: float, high: float) -> list[float]:
    if high <= low:
        return []
    count = max(2, ceil((high - low) / PIN_SPACING_M) + 1) if high - low > 0.3 else 1
    if count == 1:
        return [0.5 * (low + high)]
    return [low + (high - low) * index / (count - 1) for index in range(count)]


def _pin(yard: Yard, run: Run, where: tuple[float, float, float], number: int, blocked: Obstacles) -> Pin | None:
    """A pin at the free place nearest the wish, where this run is the lowest course; None where there is none."""
    wished, low, high = where
    leg = yard.walls.leg(run.leg)
    for shift in _SHIFTS:
        station = wished + shift
        if not low + 0.05 < station < high - 0.05:
            continue
        if any(abs(station - n.station_m) < NOTCH_CLEAR_M + n.width_m / 2.0 for n in yard.water.notches_of(leg.id)):
            continue
        point = leg.point_at(station, run.offset_m + leg.thickness_m / 2.0)
        bottom = run.top_m - PIN_LENGTH_M
        if blocked.blocks(shapely.Point(point).buffer(PIN_DIAMETER_M), bottom, run.top_m, but=leg.id):
            continue
        return Pin(f"{leg.id}/pin{number + 1}", leg.id, run.course, station, point, PIN_DIAMETER_M, run.top_m, bottom)
    return None
