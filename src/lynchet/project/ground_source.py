"""From the ground table to readings: which source was given, how the tape was held, what fails to close."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from pathlib import Path

from lynchet.core.plane import Point
from lynchet.ground.taping import chance_sum
from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.ground_files import from_book, from_points_file
from lynchet.project.ground_readings import Taken, from_laser, from_slope, from_steps, from_written
from lynchet.project.model import GroundSource, Held, Reading
from lynchet.project.polygons import place_text
from lynchet.project.taped import Mapping, Yard, flattened, gradient, stretch_of_slope, stretch_of_taped

SOURCES = ("slope", "steps", "laser", "level_book", "points")
SAME_PLACE_M = 1e-3
BOARD_STEP_M = 0.003175
"""An eighth of an inch: how well one step with board and level is read."""


@dataclass(frozen=True)
class Measured:
    """The source of ground in file coordinates, and how places as taped become plan."""

    source: GroundSource
    flat: Mapping


def measured_ground(got: Got, yard: Yard, folder: Path, faults: Faults) -> Measured | None:
    """Readings of the one source given; None where it cannot be used (faults are kept)."""
    written = [name for name in SOURCES if name in got.written]
    if len(written) != 1:
        found = "no source of ground" if not written else "several sources of ground: " + ", ".join(written)
        faults.add(got.path, found, "exactly one of " + ", ".join(SOURCES))
        return None
    kind = written[0]
    held = _held(got, kind, faults)
    taken = _take(got, kind, yard, folder, faults) if got[kind] else None
    if taken is None or not yard.outline:
        return None
    rise, if_ground = _tape(taken, held)
    stretch = if_ground if held == "ground" else 1.0
    flat = flattened(yard.outline[0], rise, stretch)
    readings, start = _placed(taken, flat, held)
    readings = _apart(readings, got, faults)
    if len(readings) < 3 or _on_one_line(readings):
        faults.add(got.at(kind), f"{len(readings)} readings, too few or all on one line", "three or more, spread out")
        return None
    misclosure, allowed = _closure(got, taken)
    step_m = taken.allowed_one_m or BOARD_STEP_M
    source = GroundSource(
        kind=kind,  # type: ignore[arg-type]
        readings=readings,
        held=held,
        misclosure_m=misclosure,
        allowed_misclosure_m=allowed,
        setups=got["setups"] or taken.setups,
        repeat=taken.repeat,
        mark=taken.mark,
        start=start,
        stretch=stretch,
        stretch_if_ground=if_ground,
        one_way_m=step_m * (got["setups"] or taken.setups) if kind in ("slope", "steps") else None,
        sure=got["sure"] or (),
        thinned_m=taken.thinned_m,
        notes=taken.notes,
    )
    return Measured(_trusted(source, got), flat)


def _placed(taken: Taken, flat: Mapping, held: Held) -> tuple[tuple[Reading, ...], Reading | None]:
    """The readings where they lie in plan, and where stepped ones began."""
    if not taken.levelled:
        return tuple(replace(reading, point_m=flat(reading.point_m)) for reading in taken.readings), None
    if held == "ground":
        return taken.readings_on(flat), taken.start_on(flat)
    return taken.readings, taken.start_on(lambda point: point)


def _held(got: Got, kind: str, faults: Faults) -> Held:
    if got["held"]:
        return got["held"]  # type: ignore[no-any-return]
    if kind in ("level_book", "points"):
        faults.default(got.at("held"), "level", "PRACTICE", "places of a survey are plan distances")
        return "level"
    return "unknown"


def _take(got: Got, kind: str, yard: Yard, folder: Path, faults: Faults) -> Taken | None:
    table = got[kind]
    if kind == "slope":
        return from_slope(table, yard, got["held"] == "ground", faults)
    if kind == "steps":
        return from_steps(table, yard, faults)
    if kind == "laser":
        return from_laser(table, faults)
    if kind == "level_book":
        return from_book(table, folder, faults)
    if table["readings"]:
        return from_written(table, faults)
    return from_points_file(table, yard, folder, faults)


def _tape(taken: Taken, held: Held) -> tuple[Point, float]:
    """Direction straight up the ground, and level over taped distance if the tape lay on it."""
    if taken.levelled and taken.slope is not None:
        return taken.rise, stretch_of_slope(taken.slope)
    rise = gradient([reading.point_m for reading in taken.readings], [r.level_m for r in taken.readings])
    if taken.slope is not None and held != "ground":
        return rise, stretch_of_slope(hypot(*rise)) if taken.slope_is_level else stretch_of_taped(hypot(*rise))
    return rise, stretch_of_taped(hypot(*rise))


def _closure(got: Got, taken: Taken) -> tuple[float | None, float | None]:
    if taken.misclosure_m is not None:
        return taken.misclosure_m, taken.allowed_m
    if got["misclosure"] is None:
        return None, None
    setups = got["setups"] or taken.setups
    return got["misclosure"], float(chance_sum(taken.allowed_one_m or BOARD_STEP_M, setups))


def _trusted(source: GroundSource, got: Got) -> GroundSource:
    trust = got["trust"]
    if trust is None:
        return source
    return replace(source, readings=tuple(replace(reading, trust_m=trust) for reading in source.readings))


def _apart(readings: tuple[Reading, ...], got: Got, faults: Faults) -> tuple[Reading, ...]:
    """Readings without twins: one place read twice counts once where the levels agree, else it is a fault."""
    kept: dict[tuple[int, int], Reading] = {}
    for reading in readings:
        cell = (round(reading.point_m[0] / SAME_PLACE_M), round(reading.point_m[1] / SAME_PLACE_M))
        twin = kept.setdefault(cell, reading)
        if twin is not reading and abs(twin.level_m - reading.level_m) > 3.0 * (twin.trust_m + reading.trust_m):
            place = place_text(reading.point_m, faults.system)
            faults.add(
                got.path,
                f'"{twin.name}" and "{reading.name}" are one place {place} with two levels',
                "one level for a place",
            )
    return tuple(kept.values())


def _on_one_line(readings: tuple[Reading, ...]) -> bool:
    (x0, y0), rest = readings[0].point_m, readings[1:]
    far = max(rest, key=lambda r: hypot(r.point_m[0] - x0, r.point_m[1] - y0)).point_m
    way = (far[0] - x0, far[1] - y0)
    length = hypot(*way)
    if length < SAME_PLACE_M:
        return True
    off = [abs(way[0] * (r.point_m[1] - y0) - way[1] * (r.point_m[0] - x0)) / length for r in rest]
    return max(off) < 0.05
