"""Read a published table of rain depths: return periods across, durations down."""

from __future__ import annotations

import re
from dataclasses import dataclass

from lynchet.core.calculator import calculator, refuse, refuse_if
from lynchet.core.kinds import Positive

MM_PER = {"inches": 25.4, "millimeters": 1.0}
M_PER = {"ft": 0.3048, "m": 1.0}
MINUTES = {"min": 1.0, "hr": 60.0, "day": 1440.0}
SERIES = ("partial duration", "annual maximum")
NOTHING = ("", "-", "None")
_ROW = re.compile(r"(\d+)\s*-\s*(min|hr|day)\s*:?", re.IGNORECASE)
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")


@dataclass(frozen=True)
class RainTable:
    """What the head of a table says, its rows and columns, and the one depth asked for."""

    units: str
    series: str
    place: str
    project_area: str
    elevation_known: bool
    return_periods_years: list[float]
    durations_min: list[float]
    depth_mm: float
    volume: int | None = None
    version: int | None = None
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    elevation_m: float | None = None


@dataclass(frozen=True)
class Block:
    """The first block of depths, in the file's own unit; a cell without a value is None."""

    periods_years: list[float]
    rows: dict[float, list[float | None]]


@calculator(
    source="NOAA Atlas 14, volumes 1 to 12, point precipitation frequency files (depth), as served and as resaved",
    known="SEEN",
    example={
        "text": "Point precipitation frequency estimates (inches)\nTime series type: Partial duration\n"
        "by duration for ARI (years):, 2,25\n10-min:, 0.757,1.13\n",
        "return_period_years": 25,
        "duration_min": 10,
    },
)
def read_rain_table(*, text: str, return_period_years: Positive, duration_min: Positive) -> RainTable:
    """Read one depth, and the head, of a rain depth table as its office serves it.

    Equation: inches times 25.4; feet of elevation times 0.3048; a column 1/T of an annual maximum table is T years.

    Symbols: text, the whole file as one string; return_period_years and duration_min, the cell wanted, found by value
    and never by position.

    Limits: tables of depth only, as served or saved again by a spreadsheet. Nothing is interpolated. An empty cell, -9,
    NA or zero has no value. A place outside the mapped area gives no data, which is not zero rain.
    """
    told = text.casefold()
    refuse_if(
        re.search(r"result\s*=\s*['\"]none", told) is not None or "not within a project area" in told, "text",
        "the answer says that the place lies outside its coverage", "a table of depths for a place inside",
    )  # fmt: skip
    lines = [line.strip() for line in text.lstrip("\ufeff").splitlines()]
    start = next((place for place, line in enumerate(lines) if _is_header(line)), None)
    head = [line.strip('"').rstrip(", \t").rstrip('"') for line in lines[:start]]
    labels = _labels(head)
    units, series = _units(head, labels), _series(labels)
    if start is None:
        raise refuse("text", "no header row of return periods: there is no table", "the file as served")
    block = _block(lines, start)
    volume, version = _edition(head)
    elevation = _elevation_m(labels.get("elevation (usgs)", ""))
    return RainTable(
        units=units,
        series=series,
        place=_word(labels.get("location name (esri maps)", "")),
        project_area=_word(labels.get("project area", "")),
        elevation_known=elevation is not None,
        return_periods_years=block.periods_years,
        durations_min=sorted(block.rows),
        depth_mm=_cell(block, return_period_years, duration_min) * MM_PER[units],
        volume=volume,
        version=version,
        latitude_deg=_first_number(labels.get("latitude", "")),
        longitude_deg=_first_number(labels.get("longitude", "")),
        elevation_m=elevation,
    )


def _labels(head: list[str]) -> dict[str, str]:
    """The lines "label: value" above the table, first of each, labels in lower case."""
    found: dict[str, str] = {}
    for line in head:
        label, colon, value = line.partition(":")
        if colon:
            found.setdefault(label.strip().casefold(), value.strip())
    return found


def _units(head: list[str], labels: dict[str, str]) -> str:
    """The unit of the first line; a table of intensity is refused before the unit is looked at."""
    title = next((line for line in head if line.casefold().startswith("point precipitation frequency")), "")
    bracket = re.search(r"\(([^)]*)\)", title)
    unit = bracket.group(1).strip().casefold() if bracket else ""
    by_time = re.search(r"hour|/\s*hr|/\s*h\b|per\s+hr", unit) is not None
    refuse_if(
        by_time or "intensity" in labels.get("data type", "").casefold(), "text", "a table of intensity",
        "the table of depths: intensities are rounded to whole mm/h",
    )  # fmt: skip
    refuse_if(unit not in MM_PER, "text", f"units {unit!r} in the first line" if unit else "no units in the first line",
              "Point precipitation frequency estimates (inches) or (millimeters)")  # fmt: skip
    return unit


def _series(labels: dict[str, str]) -> str:
    found = labels.get("time series type", "").casefold()
    said = f"time series type {found!r}" if found else "no line with the time series type"
    refuse_if(found not in SERIES, "text", said, "Time series type: Partial duration or Annual maximum")
    return found


def _edition(head: list[str]) -> tuple[int | None, int | None]:
    for line in head:
        found = re.match(r"NOAA Atlas 14 Volume (\d+)(?: Version (\d+))?", line, re.IGNORECASE)
        if found:
            return int(found[1]), int(found[2]) if found[2] else None
    return None, None


def _word(value: str) -> str:
    return "" if value in NOTHING else value


def _first_number(value: str) -> float | None:
    found = _NUMBER.match(value)
    return float(found[0]) if found else None


def _elevation_m(value: str) -> float | None:
    number, _, unit = value.partition(" ")
    if _NUMBER.fullmatch(number) and unit.strip().casefold() in M_PER:
        return float(number) * M_PER[unit.strip().casefold()]
    return None


def _is_header(line: str) -> bool:
    """A row of return periods: named as served, or with an empty label after a spreadsheet."""
    label, *cells = line.split(",")
    while cells and not cells[-1].strip():
        cells.pop()
    if label.strip().casefold().startswith("by duration for"):
        return True
    return not label.strip() and bool(cells) and all(_period(cell) is not None for cell in cells)


def _period(cell: str) -> float | None:
    """Return period of a column: "25", or the probability "'1/25"."""
    shown = cell.strip().strip("'\"").strip()
    part, slash, whole = shown.partition("/")
    if slash and _NUMBER.fullmatch(part) and _NUMBER.fullmatch(whole) and float(part) > 0:
        value = float(whole) / float(part)
    elif _NUMBER.fullmatch(shown):
        value = float(shown)
    else:
        return None
    return value if value > 0 else None


def _block(lines: list[str], start: int) -> Block:
    """Rows below the header, up to the first line that is none; of two rows for one time the hours count."""
    cells = lines[start].split(",")[1:]
    while cells and not cells[-1].strip():
        cells.pop()
    periods = [_period(cell) for cell in cells]
    known = [period for period in periods if period is not None]
    refuse_if(not known or len(known) < len(periods), "text", "the header row of the table cannot be read",
              "return periods in years, or probabilities 1/T")  # fmt: skip
    rows: dict[float, list[float | None]] = {}
    in_days: set[float] = set()
    for line in lines[start + 1 :]:
        label, *values = line.split(",")
        named = _ROW.fullmatch(label.strip())
        if named is None:
            if rows or any(value.strip() for value in values) or label.strip():
                break
            continue
        minutes, by_day = int(named[1]) * MINUTES[named[2].lower()], named[2].lower() == "day"
        row = _row(label.strip().rstrip(":"), values, len(known))
        if minutes not in rows or (minutes in in_days and not by_day):
            rows[minutes] = row
            in_days = in_days | {minutes} if by_day else in_days - {minutes}
    refuse_if(not rows, "text", "no rows below the header of the table", "one row per duration, such as 5-min")
    return Block(known, rows)


def _row(label: str, values: list[str], count: int) -> list[float | None]:
    refuse_if(
        len(values) < count or any(value.strip() for value in values[count:]), "text",
        f"row {label} holds {len(values)} values", f"{count}, one for each return period of the table",
    )  # fmt: skip
    return [_depth(value) for value in values[:count]]


def _depth(cell: str) -> float | None:
    shown = cell.strip()
    value = float(shown) if _NUMBER.fullmatch(shown) else 0.0
    return value if value > 0 else None


def _cell(block: Block, period_years: float, duration_min: float) -> float:
    have = ", ".join(f"{period:g}" for period in block.periods_years)
    refuse_if(period_years not in block.periods_years, "return_period_years",
              f"return period {period_years:g} is not in the table", f"one of {have}")  # fmt: skip
    rows = ", ".join(f"{minutes:g}" for minutes in sorted(block.rows))
    refuse_if(duration_min not in block.rows, "duration_min", f"duration {duration_min:g} min is not in the table",
              f"one of {rows} min")  # fmt: skip
    depth = block.rows[duration_min][block.periods_years.index(period_years)]
    if depth is None:
        raise refuse("text", f"the depth of {duration_min:g} min in {period_years:g} years is missing", "a number")
    return depth
