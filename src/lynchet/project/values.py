"""Single values of the project file: from what TOML gives to SI, or a refusal that says what is accepted."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise
from math import dist, isfinite, radians, tan
from typing import Any

from lynchet.core.calculator import refuse
from lynchet.core.errors import InputError
from lynchet.project.faults import as_written
from lynchet.project.keys import Key
from lynchet.project.said import no_idea
from lynchet.units import format as shown
from lynchet.units.measures import MEASURES, System
from lynchet.units.parse import is_plain_number, parse, parse_slope, split_fall
from lynchet.works.dates import read_day

Point = tuple[float, float]
PLACE = Key("length", "x or y of a place", low=-2e7, high=2e7, said="places within 10 km of the area's first corner")
"""No grid of the earth has coordinates beyond half its girth."""
_ONE_PLACE_M = 1e-3
"""Places of a line nearer than this are one."""


@dataclass(frozen=True)
class Fall:
    """A drop in a run, or a slope alone."""

    ratio: float
    drop_m: float | None = None
    run_m: float | None = None


def leaf(key: Key, raw: Any, system: System) -> Any:
    """One value that is no table, in SI.

    Raises:
        InputError: with what was found and what is accepted (the caller knows the key and its line).
    """
    try:
        if key.kind in MEASURES or key.kind in ("slope", "fraction"):
            return _quantity(key, raw, system)
        return _READERS[key.kind](key, raw, system)
    except OverflowError:  # a whole number of hundreds of digits
        raise refuse("", f"{as_written(raw)} found", _accepted(key, system)) from None


def quantity_text(value: float, kind: str, system: System) -> str:
    """A value in SI as people read it in this system."""
    if kind in ("length", "rain_depth"):
        if system == "us" and abs(value) >= 30.0:
            return f"{value / MEASURES['length'].units['ft']:,.0f} ft"
        return shown.small(value, system) if abs(value) < 1.0 else shown.length(value, system)
    if kind in ("slope", "fraction", "fall"):
        return f"{100 * value:g} %"
    if kind in MEASURES and system == "us":
        unit = MEASURES[kind].us
        return f"{value / MEASURES[kind].units[unit]:.4g} {unit}"
    plain = f"{value:,.0f}" if abs(value) >= 1e5 else f"{value:g}"
    return f"{plain} {MEASURES[kind].base}" if kind in MEASURES else plain


def _share_without_sign(key: Key, raw: Any) -> None:
    """A slope or share of 1 or more, written without its sign, that would fit as a percentage: the forms are offered.

    Args:
        key: how it is declared.
        raw: as written.

    Raises:
        InputError: such a number was found.
    """
    text = str(raw).strip()
    if isinstance(raw, bool) or not isinstance(raw, int | float | str) or not is_plain_number(text):
        return
    value = parse_slope(text)
    slope = key.kind != "fraction"
    if value < 1.0 or key.high is None or value <= key.high + 1e-9 or not (key.low or 0.0) <= value / 100 <= key.high:
        return
    ways = [f'"{text} %"']
    if slope and (key.low or 0.0) <= 1.0 / value <= key.high:
        ways.append(f'"1 in {text}"')
    if slope and value < 90.0 and (key.low or 0.0) <= tan(radians(value)) <= key.high:
        ways.append(f'"{text} deg"')
    asked = "rise over run" if slope else "a part of one"
    found = f"{as_written(raw)} without a sign, which is {text} as {asked}"
    raise refuse("", found, f"{' or '.join(ways)} ({_accepted(key, 'metric')})")


def _quantity(key: Key, raw: Any, system: System) -> float:
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        raise refuse("", _kind_found(raw), _accepted(key, system))
    if not isinstance(raw, str) and not isfinite(raw):
        raise refuse("", f"{as_written(raw)} found", _accepted(key, system))
    if key.kind in ("slope", "fraction"):
        _share_without_sign(key, raw)
    try:
        value = parse(raw, key.kind, system)
    except InputError as error:
        fault = error.faults[0]
        raise refuse("", fault.found, fault.accepted) from None
    if key.kind == "length":
        _ask_unit(key, value, raw, system)
    return in_range(key, value, raw, system)


def _ask_unit(key: Key, value: float, raw: Any, system: System) -> None:
    """A length written without its unit that is no likely one in metres or feet: the smaller unit is offered.

    A unit that is written is always obeyed.

    Args:
        key: how the key is declared.
        value: metres, the plain number read in the file's unit.
        raw: as written.
        system: of the file.

    Raises:
        InputError: the number is beyond the key's range, or beyond what a plain number of feet may be, and would lie
            within in inches (millimetres, centimetres).
    """
    if isinstance(raw, str) and not is_plain_number(raw):
        return
    too_much = value > key.high + 1e-9 if key.high is not None else False
    most_bare = key.most_bare_ft if system == "us" else None
    if not too_much and (most_bare is None or abs(value) <= most_bare * 0.3048 + 1e-9):
        return
    number = str(raw).strip()
    plain, smaller = ("ft", ("in",)) if system == "us" else ("m", ("cm", "mm"))
    units = MEASURES["length"].units
    high = most_bare * 0.3048 if most_bare is not None else key.high or 0.0
    fits = [unit for unit in smaller if (key.low or 0.0) <= value / units[plain] * units[unit] <= high]
    if too_much and not fits:
        return  # the range itself is told
    ways = [f'"{number} {unit}"' for unit in fits] + ([] if too_much else [f'"{number} {plain}"'])
    asked = f"; {number} {fits[0]}?" if fits else ""
    found = f"{as_written(raw)} without a unit, which is {number} {plain} here{asked}"
    raise refuse("", found, f"{_accepted(key, system)}; with its unit: {' or '.join(ways)}")


def in_range(key: Key, value: float, raw: Any, system: System) -> float:
    """A value in SI, where it lies within the range of a key.

    Raises:
        InputError: it lies outside.
    """
    low_wrong = key.low is not None and (value < key.low - 1e-12 or (key.above and value <= key.low))
    if low_wrong or (key.high is not None and value > key.high + 1e-9):
        raise refuse("", f"{as_written(raw)} found", _accepted(key, system))
    return value


_KINDS = {"fraction": "a share", "prices": "a price"}


def _accepted(key: Key, system: System) -> str:
    if key.said:
        return key.said
    kind = MEASURES[key.kind].name if key.kind in MEASURES else _KINDS.get(key.kind, f"a {key.kind}")
    if key.low is None and key.high is None:
        return kind
    low = "" if key.low is None else f"{'over' if key.above else 'from'} {quantity_text(key.low, key.kind, system)}"
    high = "" if key.high is None else f"up to {quantity_text(key.high, key.kind, system)}"
    return f"{kind} {low} {high}".rstrip().replace("  ", " ")


def _kind_found(raw: Any) -> str:
    names = {bool: "a yes or no", int: "a number", float: "a number", str: "text", list: "a list", dict: "a table"}
    if isinstance(raw, datetime.date | datetime.time):
        return f"a date or time ({raw})"
    return f"{names.get(type(raw), 'something else')} ({as_written(raw)})"


def _text(key: Key, raw: Any, _: System) -> str:
    if not isinstance(raw, str):
        raise refuse("", _kind_found(raw), "text in quotes")
    if key.kind == "file" and not raw.strip():
        raise refuse("", "an empty file name", "the name of a file beside this one")
    odd = next((mark for mark in raw if not mark.isprintable()), "") if key.kind == "file" else ""
    if odd:
        accepted = "the name of a file, its folders parted by /"
        raise refuse("", f"{raw!r}: {odd!r} cannot stand in the name of a file", accepted)
    return raw.strip()


def bare_word(raw: str) -> str:
    """A word as it is compared: "US" as "us", and without what an offer says in brackets, which may be taken over.

    Args:
        raw: as the file has it.
    """
    return raw.split(" (", maxsplit=1)[0].strip().lower()


def _word(key: Key, raw: Any, _: System) -> str:
    accepted = key.said or "one of " + ", ".join(key.words)
    if not isinstance(raw, str):
        raise refuse("", _kind_found(raw), accepted)
    bare = bare_word(raw)
    for word in key.words:
        if bare == word.lower():
            return word
    if "unknown" in key.words and no_idea(raw):
        return "unknown"
    words = {word.lower(): word for word in key.words}
    near = get_close_matches(raw.strip().lower(), words, 1)
    hint = f' (did you mean "{words[near[0]]}"?)' if near else ""
    raise refuse("", f'"{raw}"{hint}', accepted)


def _flag(_: Key, raw: Any, __: System) -> bool:
    if not isinstance(raw, bool):
        raise refuse("", _kind_found(raw), "true or false")
    return raw


def _whole(key: Key, raw: Any, system: System) -> int:
    low, high = int(key.low or 0), key.high
    accepted = f"a whole number from {low}" + (f" to {int(high)}" if high is not None else "")
    accepted = str(low) if low == high else accepted
    if isinstance(raw, str) and raw.strip().isdigit():
        accepted += ", without quotes"
    whole = isinstance(raw, int) or (isinstance(raw, float) and raw.is_integer())
    if isinstance(raw, bool) or not whole:
        raise refuse("", _kind_found(raw), accepted)
    if raw < low or (high is not None and raw > high):
        raise refuse("", f"{raw} found", accepted)
    return int(raw)


def _number(key: Key, raw: Any, system: System) -> float:
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not isfinite(raw):
        raise refuse("", _kind_found(raw), _accepted(key, system))
    return in_range(key, float(raw), raw, system)


def _point(_: Key, raw: Any, system: System) -> Point:
    if not isinstance(raw, list) or len(raw) != 2 or any(isinstance(part, list | dict) for part in raw):
        raise refuse("", _kind_found(raw), "a place [x, y]")
    x, y = (in_range(PLACE, parse(part, "length", system), part, system) for part in raw)
    return x, y


def _points(key: Key, raw: Any, system: System) -> tuple[Point, ...]:
    if not isinstance(raw, list):
        raise refuse("", _kind_found(raw), "a list of places [[x, y], ...]")
    points, wrong = [], []
    for place, part in enumerate(raw, start=1):
        try:
            points.append(_point(key, part, system))
        except InputError as error:
            wrong += [refuse("", f"place {place}: {fault.found}", fault.accepted).faults[0] for fault in error.faults]
    if wrong:
        raise InputError(*wrong)
    if len(points) < key.least:
        raise refuse("", f"{len(points)} place{'' if len(points) == 1 else 's'}", f"{key.least} places or more")
    same = [place for place, (a, b) in enumerate(pairwise(points), start=1) if dist(a, b) < _ONE_PLACE_M]
    if key.least == 2 and same:
        raise refuse("", f"places {same[0]} and {same[0] + 1} are one place", "a line from one place to another")
    return tuple(points)


def _texts(key: Key, raw: Any, system: System) -> tuple[str, ...]:
    if not isinstance(raw, list):
        raise refuse("", _kind_found(raw), 'a list of words ["...", "..."]')
    one = _word if key.words else _text
    return tuple(one(key, part, system) for part in raw)


def _places(key: Key, raw: Any, system: System) -> dict[str, Point]:
    if not isinstance(raw, dict):
        raise refuse("", _kind_found(raw), "places by name { peg = [3, 4] }")
    return {name: _point(key, place, system) for name, place in raw.items()}


def _prices(key: Key, raw: Any, system: System) -> dict[str, tuple[float, str]]:
    """Prices by name, each with the unit it is for (empty where none is written)."""
    if not isinstance(raw, dict):
        raise refuse("", _kind_found(raw), 'prices by item { stone = "42 per t", drain_pipe = 1.9 }')
    found, wrong = {}, []
    for name, price in raw.items():
        try:
            number, per = split_price(price) if isinstance(price, str) else (price, "")
            found[name] = (_number(key, number, system), per)
        except InputError as error:
            wrong += [refuse("", f"{name}: {fault.found}", fault.accepted).faults[0] for fault in error.faults]
    if wrong:
        raise InputError(*wrong)
    return found


def split_price(text: str) -> tuple[Any, str]:
    """ "42 per t", "42/t" or "$42 each" as 42.0 and the unit; what is no number is given back as written.

    Raises:
        InputError: one comma with three figures behind it ("1,041"), a thousand to one reader, a decimal to another.
    """
    number, _, per = text.replace("/", " per ", 1).partition(" per ")
    if not per:
        number, per = _EACH.sub("", number), "each" if _EACH.search(number) else ""
    number = _SIGNS.sub("", number.strip())
    if THOUSAND_OR_DECIMAL.fullmatch(number) and "," in number:
        raise refuse("", *two_readings(number))
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", number):
        number = number.replace(",", "")
    elif re.fullmatch(r"\d+,\d+|[1-9]\d{0,2}(?:\.\d{3})+,\d+", number):
        number = number.replace(".", "").replace(",", ".")
    try:
        return float(number), per.strip()
    except ValueError:
        return text, ""


def two_readings(number: str) -> tuple[str, str]:
    """What is said of a price that is read in two ways, and how either is written so that nobody can.

    Args:
        number: as ``THOUSAND_OR_DECIMAL`` has it.
    """
    whole, behind = re.split("[.,]", number)
    found = f'"{number}", which some read as {whole}{behind} and some as {whole}.{behind}'
    return found, f"{whole}{behind}, or {whole}.{behind}0 with a figure more"


THOUSAND_OR_DECIMAL = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
"""A price that is a thousand to one reader and a decimal to another."""
_EACH = re.compile(r"\s+(?:each|ea\.?|apiece)$")
_SIGNS = re.compile(r"^(?:[$\u20ac\u00a3]|[A-Z]{3}\s)\s*|\s*(?:[$\u20ac\u00a3]|\s[A-Z]{3})$")
"""Of money, before or behind a number."""


def _date(_: Key, raw: Any, __: System) -> str:
    """A day as YYYY-MM-DD, in quotes or not."""
    if isinstance(raw, datetime.datetime):
        raise refuse("", _kind_found(raw), "a day without a time, YYYY-MM-DD")
    if isinstance(raw, datetime.date):
        return read_day(raw.isoformat(), "").isoformat()
    if not isinstance(raw, str):
        raise refuse("", _kind_found(raw), "a day as YYYY-MM-DD")
    return read_day(raw.strip(), "").isoformat()


def _dates(key: Key, raw: Any, system: System) -> tuple[str, ...]:
    if not isinstance(raw, list):
        raise refuse("", _kind_found(raw), "a list of days [2027-05-03, 2027-05-31]")
    return tuple(_date(key, part, system) for part in raw)


def _levels(_: Key, raw: Any, system: System) -> str | tuple[float, ...]:
    accepted = '"balance", "equal", or a list of rising levels from the lowest terrace up'
    if raw in ("balance", "equal"):
        return str(raw)
    if not isinstance(raw, list) or not raw:
        raise refuse("", _kind_found(raw), accepted)
    levels = tuple(parse(part, "length", system) for part in raw)
    if any(after <= before for before, after in pairwise(levels)):
        raise refuse("", f"{as_written(raw)}: levels do not rise", accepted)
    return levels


def _fall(key: Key, raw: Any, system: System) -> Fall:
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        raise refuse("", _kind_found(raw), 'a drop in a run ("1.25 m in 7.4 m") or a slope ("18 %")')
    _share_without_sign(key, raw)
    ratio = in_range(key, parse_slope(raw), raw, system)
    pair = split_fall(raw) if isinstance(raw, str) else None
    return Fall(ratio, *pair) if pair else Fall(ratio)


def _section(key: Key, raw: Any, system: System) -> tuple[float, float]:
    accepted = 'height of a course x width, as sawn and laid: "5 1/2 in x 5 1/2 in" (a 6x6), "150 mm x 150 mm"'
    parts = re.split(r"\s*x\s*", raw.strip().lower().replace("\u00d7", "x")) if isinstance(raw, str) else []
    units = [re.search("[a-z\"']+$", part) for part in parts]
    if len(parts) != 2 or units[1] is None:
        raise refuse("", _kind_found(raw), accepted)
    parts[0] += "" if units[0] else f" {units[1][0]}"
    sizes = [parse(part, "length", system) for part in parts]
    for value in sizes:
        if value < (key.low or 0.0) or value > (key.high or 1.0):
            raise refuse("", f"{as_written(raw)} found", f"{accepted}, each from 30 mm (1 1/4 in) to 500 mm (20 in)")
    return sizes[0], sizes[1]


_READERS: dict[str, Callable[[Key, Any, System], Any]] = {
    "text": _text, "file": _text, "word": _word, "flag": _flag, "whole": _whole, "number": _number, "point": _point,
    "points": _points, "texts": _texts, "places": _places, "prices": _prices, "date": _date, "dates": _dates,
    "levels": _levels, "fall": _fall, "section": _section,
}  # fmt: skip
