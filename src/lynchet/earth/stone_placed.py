"""Stone as it lies in place: drain stone behind walls, at outlets, in soakaways and round cut-off drains; tamped base
stone under timber."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from lynchet.core.plane import signed_area
from lynchet.terraces.model import Flight, Terraces
from lynchet.terraces.step_frames import STEP_STONE_M, on_ground
from lynchet.walls.bedding import STONE_BED_M, stone_beds
from lynchet.walls.model import Walls
from lynchet.water.model import Body, Water

DRAIN_LOOSE = 1.10
"""Loose drain stone for one in place: it settles and spills. PRACTICE."""
BASE_LOOSE = 1.20
"""Loose base stone for one tamped in place: to about five sixths. PRACTICE."""


def drain_stone_m3(water: Water) -> float:
    """Behind walls and round cut-off drains, the pipe taken off; round outlets; in soakaways."""
    behind = sum(stone.volume_m3 for stone in water.stone)
    return behind + sum(aprons_m3(water).values()) + pits_m3(water) + cut_offs_m3(water)


def aprons_m3(water: Water) -> dict[str, float]:
    """In the apron of each outlet that has one, by its id."""
    return {body.id: _filled_m3(body) for body in water.bodies if body.kind == "outlet"}


def pits_m3(water: Water) -> float:
    """In soakaways."""
    return sum(_filled_m3(body) for body in water.bodies if body.kind == "soakaway")


def cut_offs_m3(water: Water) -> float:
    """Round cut-off drains, the pipe taken off."""
    return sum(cut.stone_m3 for cut in water.cut_offs)


def _filled_m3(body: Body) -> float:
    return abs(signed_area(body.outline_m)) * (body.top_m - body.bottom_m)


def base_stone_m3(terraces: Terraces, walls: Walls) -> float:
    """Under the lowest courses that are still to come, under steps and their landings."""
    return sum(_under_walls(walls)) + sum(flight_stone_m3(flight) for flight in terraces.flights)


def flight_stone_m3(flight: Flight) -> float:
    """Under the steps of a flight that rest on the ground, and of its landings."""
    steps = sum(abs(signed_area(tread.outline_m)) * STEP_STONE_M for tread in on_ground(flight))
    return steps + sum(stone.volume_m3 for landing in flight.landings for stone in landing.stone)


def _under_walls(walls: Walls) -> Iterator[float]:
    for leg in walls.legs:
        cuts = [station for span in leg.spans for station in (span.start_m, span.end_m)]
        for bed in stone_beds(walls, leg):
            stations = sorted({bed.start_m, bed.end_m, *(cut for cut in cuts if bed.start_m < cut < bed.end_m)})
            for low, high in pairwise(stations):
                if not walls.standing.stands(leg.id, bed.run.course, 0.5 * (low + high)):
                    yield (high - low) * leg.thickness_m * STONE_BED_M
