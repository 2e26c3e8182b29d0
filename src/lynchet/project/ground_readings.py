"""Readings from the sources written in the file itself: a rough slope, board and level, rod readings, points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Any

from lynchet.core.plane import Point, minus, move, unit
from lynchet.ground.level_book import LevelRow, level_book
from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.model import Reading
from lynchet.project.polygons import refuse_twins
from lynchet.project.taped import Mapping, Yard
from lynchet.project.values import Fall
from lynchet.units.format import length

ROUGH_TRUST_M = 0.0254
"""A drop read by a homeowner with level and string: an inch in all (PRACTICE)."""
ROD_TRUST_M = 0.003
"""One rod reading (PRACTICE)."""
POINT_TRUST_M = 0.010
"""One point of a survey on soil or grass (PRACTICE)."""
MARGIN_M = 6.0
"""How far a rough slope is taken to go on beyond everything the file names, so that drains may run out (PRACTICE)."""
RUN_ON_M = 2.0
"""How far the first and the last step of a line are taken to go on (PRACTICE)."""
LEVELS_START = "start of levels"
"""Where a board was first set: the place levels are counted from on site."""


@dataclass(frozen=True)
class Taken:
    """Readings of one source, in file coordinates as taped (or, ``levelled``, at level runs from the low edge)."""

    readings: tuple[Reading, ...]
    slope: float | None = None
    """The slope where the source itself gives it."""
    slope_is_level: bool = False
    """That slope is a true one (rise over level run), not a drop over a taped run."""
    levelled: bool = False
    """Runs were level by the way they were taken (a board on a level)."""
    rise: Point = (0.0, 0.0)
    readings_on: Callable[[Mapping], tuple[Reading, ...]] = lambda _: ()
    """For levelled sources: the readings, started from places that the mapping has moved."""
    start_on: Callable[[Mapping], Reading | None] = lambda _: None
    """For stepped sources: where the first line begins, likewise."""
    misclosure_m: float | None = None
    allowed_m: float | None = None
    allowed_one_m: float | None = None
    """Allowed misclosure of one set-up or step, where only the file says what was missed."""
    setups: int = 6
    repeat: tuple[str, ...] = ()
    mark: tuple[str, float] | None = None
    """Name and level of the mark the levels were read from, where it is no reading of the ground."""
    thinned_m: float = 0.0
    notes: tuple[str, ...] = ()


def from_slope(got: Got, yard: Yard, on_ground: bool, faults: Faults) -> Taken | None:
    """Four corners of the plane that a drop, a run and a cross fall give, wide enough for the whole file."""
    fall: Fall | None = got["fall"]
    if fall is None or not yard.outline or got["cross_fall"] is None:
        return None
    per_metre = fall.ratio
    if on_ground:
        if fall.run_m is None:
            per_metre = fall.ratio / sqrt(1.0 + fall.ratio**2)
        elif fall.ratio >= 1.0:
            return None
    beyond = length(MARGIN_M, faults.system, 2)
    faults.default(got.path, f"a plane that runs on {beyond} beyond the area", "PRACTICE", "rough readings say no more")
    origin, along, inward = yard.axes()
    s_t = [
        (minus(p, origin)[0] * along[0] + minus(p, origin)[1] * along[1],
         minus(p, origin)[0] * inward[0] + minus(p, origin)[1] * inward[1])
        for p in (*yard.outline, *yard.others)
    ]  # fmt: skip
    left, right = min(s for s, _ in s_t) - MARGIN_M, max(s for s, _ in s_t) + MARGIN_M
    low, high = min(t for _, t in s_t) - MARGIN_M, max(t for _, t in s_t) + MARGIN_M
    readings = []
    for name, s, t in (("low left", left, low), ("low right", right, low), ("high right", right, high),
                       ("high left", left, high)):  # fmt: skip
        level = (got["low_level"] or 0.0) + per_metre * t - got["cross_fall"] * s
        readings.append(Reading(name, move(move(origin, along, s), inward, t), level, ROUGH_TRUST_M))
    return Taken(tuple(readings), fall.ratio, fall.run_m is None, repeat=("the drop", "the run"))


def from_steps(lines: tuple[Got, ...], yard: Yard, faults: Faults) -> Taken | None:
    """Levels by board and level: one line stands for the whole width, several for themselves."""
    usable = [got for got in lines if got.complete("each", "error") and got["each"]]
    usable = [got for got in usable if all(step.complete("rise", "run") for step in got["each"])]
    if not usable or len(usable) < len(lines) or not yard.outline:
        return None
    refuse_twins(((got.path, got["name"]) for got in lines), "line of steps", faults)
    alone = len(usable) == 1

    def readings_on(flat: Mapping) -> tuple[Reading, ...]:
        return tuple(r for number, got in enumerate(usable) for r in _steps_of(got, number, yard, flat, alone))

    def start_on(flat: Mapping) -> Reading:
        begun, _ = _start_and_way(usable[0], yard, flat)
        return Reading(LEVELS_START, begun, usable[0]["level"] or 0.0, ROD_TRUST_M)

    first = usable[0]
    rise = sum(step["rise"] for step in first["each"])
    run = sum(step["run"] for step in first["each"])
    count = sum(len(got["each"]) for got in usable)
    worst = sorted(
        ((abs(step["rise"] / step["run"] - rise / run), f"{_line_name(got, n)}step {k + 1}")
         for n, got in enumerate(usable) for k, step in enumerate(got["each"])),
        reverse=True,
    )  # fmt: skip
    _, start_way = _start_and_way(first, yard, lambda point: point)
    return Taken(
        readings_on(lambda point: point),
        slope=abs(rise / run),
        levelled=True,
        rise=start_way,
        readings_on=readings_on,
        start_on=start_on,
        allowed_one_m=max(got["error"] for got in usable),
        setups=count,
        repeat=tuple(name for _, name in worst[:2]),
    )


def _line_name(got: Got, number: int) -> str:
    return f"{got['name'] or f'line {number + 1}'}, " if got["name"] or number else ""


def _start_and_way(got: Got, yard: Yard, flat: Mapping) -> tuple[Point, Point]:
    corners = [flat(point) for point in yard.outline]
    _, _, inward = Yard(tuple(corners)).axes()
    middle = ((corners[0][0] + corners[1][0]) / 2, (corners[0][1] + corners[1][1]) / 2)
    start = flat(got["from"]) if got["from"] else middle
    toward = flat(got["toward"]) if got["toward"] else None
    if toward is None or hypot(*minus(toward, start)) < 1e-3:
        return start, inward
    return start, unit(minus(toward, start))


def _steps_of(got: Got, number: int, yard: Yard, flat: Mapping, alone: bool) -> list[Reading]:
    start, way = _start_and_way(got, yard, flat)
    across = (way[1], -way[0])
    corners = [flat(point) for point in (*yard.outline, *yard.others)]
    offsets = [minus(p, start)[0] * across[0] + minus(p, start)[1] * across[1] for p in corners]
    sides = (min(offsets) - MARGIN_M, max(offsets) + MARGIN_M) if alone else (0.0,)
    runs, levels = [0.0], [got["level"] or 0.0]
    for step in got["each"]:
        runs.append(runs[-1] + step["run"])
        levels.append(levels[-1] + step["rise"])
    if alone:  # the first and last steps are taken to go on a little
        first, last = got["each"][0], got["each"][-1]
        runs = [-RUN_ON_M, *runs, runs[-1] + RUN_ON_M]
        before = levels[0] - RUN_ON_M * first["rise"] / first["run"]
        levels = [before, *levels, levels[-1] + RUN_ON_M * last["rise"] / last["run"]]
    tilt = (got["cross_fall"] or 0.0) if alone else 0.0
    _, along, _ = Yard(tuple(corners)).axes()
    sense = 1.0 if across[0] * along[0] + across[1] * along[1] >= 0 else -1.0
    readings = []
    for place, (run, level) in enumerate(zip(runs, levels, strict=True)):
        step = min(max(place - alone, 0), len(got["each"]))
        for side in sides:
            hand = "" if not alone else " left" if side * sense < 0 else " right"
            on = " on" if alone and place in (0, len(runs) - 1) else ""
            name = f"{_line_name(got, number)}step {step}{hand}{on}"
            point = move(move(start, way, run), across, side)
            trust = max(ROD_TRUST_M, got["error"] * sqrt(max(step, 1)))
            readings.append(Reading(name, point, level - tilt * sense * side, trust))
    return readings


def from_laser(got: Got, faults: Faults) -> Taken | None:
    """Rod readings from one set-up: the height of the line of sight less each reading."""
    rows = got["readings"]
    refuse_twins(((row.path, row["name"]) for row in rows), "reading", faults)
    if not got.complete("zero", "zero_level") or not all(row.complete("name", "at", "rod") for row in rows):
        return None
    if len(rows) < 3:
        return None
    book = [LevelRow("zero", backsight_m=got["zero"], known_level_m=got["zero_level"])]
    book += [LevelRow(row["name"], intermediate_m=row["rod"]) for row in rows]
    if got["check"] is not None:
        book.append(LevelRow("zero", foresight_m=got["check"], known_level_m=got["zero_level"]))
    reduced = level_book(rows=book, spread="none")
    readings = tuple(
        Reading(row["name"], row["at"], level, ROD_TRUST_M)
        for row, level in zip(rows, reduced.levels_m[1:], strict=False)
    )
    return Taken(
        readings,
        misclosure_m=reduced.misclosure_m,
        allowed_m=reduced.allowed_misclosure_m,
        allowed_one_m=0.005,
        setups=1,
        repeat=(got["zero_name"], rows[-1]["name"]),
        mark=(got["zero_name"], got["zero_level"]),
    )


def from_written(got: Got, faults: Faults) -> Taken | None:
    """Points with a level, written in the file."""
    rows = got["readings"]
    refuse_twins(((row.path, row["name"]) for row in rows), "reading", faults)
    if not all(row.complete("at", "level") for row in rows):
        return None
    readings = [Reading(_name(row["name"], n), row["at"], row["level"], POINT_TRUST_M) for n, row in enumerate(rows)]
    return Taken(tuple(readings), allowed_one_m=0.005, setups=1)


def _name(name: Any, number: int) -> str:
    return str(name) if name else f"point {number + 1}"
