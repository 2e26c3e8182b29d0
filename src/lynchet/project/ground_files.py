"""Readings from files beside the project: level books and lists of points."""

from __future__ import annotations

import re
from math import sqrt
from pathlib import Path

from lynchet.core.errors import Fault, InputError
from lynchet.core.plane import Point
from lynchet.ground.level_book import LevelBook, LevelRow, level_book
from lynchet.project.big_points import GRIDS, big_points, points_of_grid
from lynchet.project.check import Got
from lynchet.project.csv_rows import CsvFile, CsvRow, columns, number_or_none, read_csv, read_text, unit_in_heads
from lynchet.project.faults import Faults
from lynchet.project.file_ranges import Named, cell_fault, refuse_far_points
from lynchet.project.ground_readings import POINT_TRUST_M, ROD_TRUST_M, Taken
from lynchet.project.model import Reading
from lynchet.project.taped import Yard
from lynchet.project.thin import thin_points
from lynchet.units.measures import MEASURES, System
from lynchet.units.parse import parse

_BOOK = {
    "point": ("point", "name", "station", "no", "pt"),
    "backsight": ("backsight", "bs", "back", "back_sight"),
    "intermediate": ("intermediate", "is", "inter", "intermediate_sight"),
    "foresight": ("foresight", "fs", "fore", "fore_sight"),
    "known": ("known", "known_level", "bm", "benchmark"),
    "leg": ("leg", "length", "distance"),
    "x": ("x", "e", "east", "easting"),
    "y": ("y", "n", "north", "northing"),
    "rise": ("rise",),
    "fall": ("fall",),
    "level": ("level", "rl", "reduced_level", "elevation", "elev", "height"),
    "collimation": ("collimation", "hi", "hpc", "height_of_instrument", "height_of_collimation"),
}
_POINTS = {
    "x": ("x", "e", "east", "easting"),
    "y": ("y", "n", "north", "northing"),
    "level": ("z", "elev", "elevation", "level", "rl", "height"),
    "name": ("name", "point", "id", "no", "p", "pt"),
}
_PAGE_SLACK_M = 0.0021
"""Two units of the last digit usually booked (PRACTICE)."""


def unit_m(got: Got, path: Path, faults: Faults) -> float:
    """Metres in one unit of a file: as `unit` says, as its heads say in brackets, else the project's own unit."""
    unit, head = got["unit"], unit_in_heads(path)
    if unit is not None and head and head != unit.removeprefix("us_"):
        faults.add(got.at("unit"), f'"{unit}", and the heads of the file say ({head})', f"{head}, or no `unit`")
    unit = unit or head or None
    if unit is None:
        unit = MEASURES["length"].plain_unit(faults.system)
        faults.default(got.at("unit"), unit, "PRACTICE", "plain numbers in the file are in the project's own unit")
    return MEASURES["length"].units[unit]


def from_points_file(got: Got, yard: Yard, folder: Path, faults: Faults) -> Taken | None:
    """Points of a CSV file: x, y, level (or as its header or ``columns`` says); big files cropped and thinned."""
    if got["file"] is None:
        faults.add(got.path, "no file and no readings", "a CSV file, or three readings or more")
        return None
    size = unit_m(got, folder / got["file"], faults)
    try:
        points = _points_of(folder / got["file"], got, size, faults.system)
    except InputError as error:
        faults.take(got.at("file"), error)
        return None
    kept, thinned_m = thin_points(points, yard.box(5.0) if yard.outline else None)
    trust = sqrt(POINT_TRUST_M**2 + (thinned_m / 2.0) ** 2)
    return Taken(
        tuple(Reading(name, (x, y), level, trust) for name, x, y, level in kept),
        allowed_one_m=0.005,
        setups=1,
        thinned_m=thinned_m,
    )


def _points_of(path: Path, got: Got, size: float, system: System) -> list[Named]:
    """Every point of a file, in metres: a grid or surface by its ending, else a list."""
    order = got["columns"] or "xyz"
    if path.suffix.lower() in GRIDS:
        unit = next(unit for unit in ("m", "ft", "us_ft") if MEASURES["length"].units[unit] == size)
        points = points_of_grid(read_text(path, got["file"]), path.name, unit, got["unit"] is not None)
    else:
        found = big_points(read_text(path, got["file"]), order)
        if found is None:
            return _point_rows(read_csv(path, got["file"]), got["columns"], size, system)
        points = [(name, x * size, y * size, level * size) for name, x, y, level in found] if size != 1.0 else found
    refuse_far_points(points, got["file"], system)
    return points


def _point_rows(file: CsvFile, order: str | None, size: float, system: System) -> list[Named]:
    """Name, x, y and level of every row in metres, where a plain number is of ``size`` metres."""
    places = _point_columns(file, order)
    rows: list[Named] = []
    wrong: list[Fault] = []
    for number, row in enumerate(file.rows, start=1):
        cells = {key: row.cells[at] if at < len(row.cells) else "" for key, at in places.items()}
        values = {key: _metres(cells[key], size) for key in ("x", "y", "level")}
        x, y, level = values.values()
        if cells["level"] == "" and x is not None and y is not None:
            continue  # a hole: a place without a level
        if x is None or y is None or level is None:
            wrong.append(file.fault(row.line, f"{', '.join(row.cells)[:50]}", "numbers for x, y and level"))
            continue
        far = (cell_fault(file, row, key, (cells[key], value or 0.0), system) for key, value in values.items())
        wrong += [fault for fault in far if fault is not None]
        rows.append((cells.get("name") or f"point {number}", x, y, level))
    if wrong:
        raise InputError(*wrong[:20])
    return rows


def _point_columns(file: CsvFile, order: str | None) -> dict[str, int]:
    """Places of the columns by meaning."""
    if not file.rows:
        raise InputError(file.fault(file.header_line, "a header and no rows", "rows of x, y and level"))
    places = columns(file, _POINTS) if file.header else {}
    named = [key for key in ("x", "y", "level") if key in places]
    if named and len(named) < 3:
        wanted = "columns for x, y and level"
        raise InputError(file.fault(1, f"the header names only {', '.join(named)}", wanted))
    if file.header and not named and order is None:
        heads = ", ".join(file.header)[:60]
        wanted = 'x, y, level (or easting, northing, elevation); or say columns = "xyz" to take them in that order'
        raise InputError(file.fault(file.header_line, f"columns {heads}", wanted))
    if named:
        return places
    return {"name": 0, "y": 1, "x": 2, "level": 3} if order == "pnez" else {"x": 0, "y": 1, "level": 2}


def _metres(cell: str, size: float) -> float | None:
    """A plain number of ``size`` metres, or a length with its unit ("2 ft 6 in"), in metres; None for all else."""
    number = number_or_none(cell)
    if number is not None or not re.match(r"[-+]?[\d.]", cell):
        return None if number is None else number * size
    try:
        return parse(cell, "length")
    except InputError:
        return None


def from_book(got: Got, folder: Path, faults: Faults) -> Taken | None:
    """A level book: reduced, closed where it closes, its own sums compared with its readings."""
    if got["file"] is None or got["coefficient"] is None:
        return None
    size = unit_m(got, folder / got["file"], faults)
    places = got["places"] or {}
    try:
        file = read_csv(folder / got["file"], got["file"])
        if not file.header:
            raise InputError(file.fault(1, "no header", "columns point, backsight, intermediate, foresight, known"))
        at = columns(file, _BOOK)
        if "backsight" not in at:
            heads = ", ".join(file.header)[:60]
            wanted = "columns point, backsight, intermediate, foresight, known"
            raise InputError(file.fault(file.header_line, f"no column backsight (found: {heads})", wanted))
        rows = [_book_row(file, row, at, size) for row in file.rows]
        _refuse_far_readings(file, at, size, faults.system)
        reduced = _reduce(file, rows, got)
    except InputError as error:
        faults.take(got.at("file"), error)
        return None
    levels = reduced.adjusted_levels_m or reduced.levels_m
    readings: dict[str, Reading] = {}
    lost = []
    for row, booked, level in zip(file.rows, rows, levels, strict=True):
        place = _place(row, at, size) or places.get(booked.point)
        if place is not None:
            readings.setdefault(booked.point, Reading(booked.point, place, level, ROD_TRUST_M))
        elif booked.intermediate_m is not None:
            lost.append(booked.point)
    if lost:
        faults.add(got.path, f"no place for {', '.join(lost[:8])}", "columns x, y in the file, or `places`")
        return None
    return Taken(
        tuple(readings.values()),
        misclosure_m=reduced.misclosure_m,
        allowed_m=reduced.allowed_misclosure_m,
        allowed_one_m=got["coefficient"],
        setups=reduced.setups,
        repeat=_longest_sights(rows),
        notes=tuple(_page_notes(file, rows, reduced, at, size)),
    )


def _cell(row: CsvRow, at: dict[str, int], key: str) -> str:
    place = at.get(key)
    return row.cells[place] if place is not None and place < len(row.cells) else ""


def _book_row(file: CsvFile, row: CsvRow, at: dict[str, int], size: float) -> LevelRow:
    values: dict[str, float | None] = {}
    for key in ("backsight", "intermediate", "foresight", "known", "leg"):
        text = _cell(row, at, key)
        value = number_or_none(text)
        if text and value is None:
            raise InputError(file.fault(row.line, f'"{text}"', "a number", key))
        values[key] = None if value is None else value * size
    if "known" not in at and row is file.rows[0]:
        first = number_or_none(_cell(row, at, "level"))
        values["known"] = None if first is None else first * size
    return LevelRow(
        _cell(row, at, "point") or f"row {row.line}",
        values["backsight"],
        values["intermediate"],
        values["foresight"],
        values["known"],
        values["leg"],
    )


def _refuse_far_readings(file: CsvFile, at: dict[str, int], size: float, system: System) -> None:
    """Every number of the book lies where a rod or a yard can be."""
    wrong = []
    for row in file.rows:
        for key in ("backsight", "intermediate", "foresight", "known", "x", "y"):
            text = _cell(row, at, key)
            value = number_or_none(text)
            fault = None if value is None else cell_fault(file, row, key, (text, value * size), system)
            wrong += [] if fault is None else [fault]
    if wrong:
        raise InputError(*wrong[:20])


def _reduce(file: CsvFile, rows: list[LevelRow], got: Got) -> LevelBook:
    try:
        return level_book(rows=rows, spread=got["spread"] or "setups", limit_coefficient_mm=got["coefficient"] * 1000.0)
    except InputError as error:
        raise InputError(*(_at_row(file, fault) for fault in error.faults)) from None


def _at_row(file: CsvFile, fault: Fault) -> Fault:
    hit = re.match(r"rows\[(\d+)\]\.?(\w*)", fault.key)
    line = file.rows[int(hit[1])].line if hit and int(hit[1]) < len(file.rows) else 0
    key = hit[2].removesuffix("_m").replace("_", " ") if hit else "rows"
    return file.fault(line, fault.found, fault.accepted, key)


def _place(row: CsvRow, at: dict[str, int], size: float) -> Point | None:
    x, y = number_or_none(_cell(row, at, "x")), number_or_none(_cell(row, at, "y"))
    return None if x is None or y is None else (x * size, y * size)


def _longest_sights(rows: list[LevelRow]) -> tuple[str, ...]:
    """Turning points to read again first: those with the longest legs, else the last two."""
    turns = [row for row in rows[1:] if row.foresight_m is not None]
    legs = [row.leg_m for row in turns if row.leg_m is not None]
    if len(legs) == len(turns):
        turns = sorted(turns, key=lambda row: row.leg_m or 0.0)
    return tuple(row.point for row in turns[-2:])


def _page_notes(file: CsvFile, rows: list[LevelRow], reduced: LevelBook, at: dict[str, int], size: float) -> list[str]:
    """Columns the booker worked out himself, compared with what the readings give."""
    notes = []
    sights = iter(reduced.collimation_m)
    for number, (row, booked) in enumerate(zip(file.rows, rows, strict=True)):
        change = reduced.rises_m[number - 1] if number else None
        worked = {
            "level": reduced.levels_m[number],
            "collimation": next(sights) if booked.backsight_m is not None else None,
            "rise": change if change is not None and change > 0 else None,
            "fall": -change if change is not None and change < 0 else None,
        }
        for key, value in worked.items():
            written = number_or_none(_cell(row, at, key))
            if written is None or value is None:
                continue
            if abs(written * size - value) > max(_PAGE_SLACK_M, 0.0051 * size):
                notes.append(
                    f'{file.name}, line {row.line}: {key} of "{booked.point}" is booked as {written:g}, '
                    f"its readings give {value / size:.3f}"
                )
    return notes
