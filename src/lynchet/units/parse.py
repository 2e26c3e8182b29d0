"""Quantities as people write them, turned into SI; and what to say when they cannot be read."""

from __future__ import annotations

import re
import unicodedata
from itertools import pairwise
from math import atan, degrees, isfinite, pi, tan

from lynchet.core.calculator import refuse
from lynchet.core.errors import InputError
from lynchet.units.endings import ENDINGS, ending
from lynchet.units.measures import ENDING_MEASURES, MEASURES, Measure, System

_NUMBER = r"(?:\d+[ -]\d+/\d+|\d+/\d+|(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)"
_START = re.compile(rf"(?:^|(?<=[\s'\"]))({_NUMBER})")
_RATIO = re.compile(rf"^({_NUMBER})\s*in\s+({_NUMBER})$")
_FEET_AND_BARE = re.compile(rf"(\d+) ?(?:ft|feet|foot|') ?({_NUMBER})")
_WORDS = {
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "millimetre": "mm", "millimetres": "mm",
    "millimeter": "mm", "millimeters": "mm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm",
    "centimeters": "cm", "foot": "ft", "feet": "ft", "inch": "in", "inches": "in", "ins": "in", "yard": "yd",
    "yards": "yd", "yds": "yd", "litre": "l", "litres": "l", "liter": "l", "liters": "l", "gallon": "gal",
    "gallons": "gal", "pound": "lb", "pounds": "lb", "lbs": "lb", "tonne": "t", "tonnes": "t", "tons": "ton",
    "acres": "acre", "degree": "deg", "degrees": "deg", "°": "deg", "radian": "rad", "radians": "rad",
    "second": "s", "seconds": "s", "sec": "s", "minute": "min", "minutes": "min", "mins": "min", "hour": "h",
    "hours": "h", "hr": "h", "hrs": "h", "d": "day", "days": "day", "years": "year", "yr": "year", "weeks": "week",
    "sqft": "ft2", "sqm": "m2", "sqyd": "yd2", "cuft": "ft3", "cuyd": "yd3", "cy": "yd3", "cum": "m3", "sf": "ft2",
    "cf": "ft3", "iph": "in/h", "cubes": "yd3", "°c": "c", "°f": "f",
}  # fmt: skip
_MARKS = {"\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"', "\u2044": "/", "\u2212": "-", "\u2013": "-"}


def parse(text: str | float, measure: str, system: System = "metric") -> float:
    """A quantity in the base unit of its measure.

    Args:
        text: a number (in the system's plain unit), or text such as "6 ft 3 1/2 in", "480 cm", "120 pcf".
        measure: a name of ``MEASURES``, or "slope" (rise over run) or "fraction".
        system: decides only what a number without a unit means.

    Returns:
        The value in the base unit (``MEASURES[measure].base``); a ratio for slopes and fractions.

    Raises:
        InputError: the text is no such quantity; one fault that says what was found and what is accepted.
    """
    if measure == "slope":
        return parse_slope(text)
    if measure == "fraction":
        return parse_fraction(text)
    kind = MEASURES[measure]
    if isinstance(text, str):
        return _parse_text(text, kind, system)
    return _scaled(_number_alone(text), kind.plain_unit(system), kind)


def parse_slope(text: str | float) -> float:
    """A slope as rise over run: "18 %", "1 in 6", "10 deg", "1.25 m in 7.4 m", "1/4 in per ft", or a plain ratio."""
    accepted = "a slope such as 18 %, 1 in 6, 10 deg, 1.25 m in 7.4 m, or a plain ratio (0.18)"
    if not isinstance(text, str):
        return _number_alone(text)
    if "," in text:
        raise refuse("", f'"{text}" has a comma', f"a point for decimals, nothing for thousands; {accepted}")
    clean, sign = _signed(text)
    ratio = _RATIO.match(clean)
    if ratio:
        return sign * _divided(_value(ratio[1]), _value(ratio[2]), text, accepted)
    if clean.endswith("%"):
        return sign * _plain_number(clean[:-1], text, accepted) / 100.0
    pair = split_fall(clean)
    if pair is not None:
        return sign * _divided(*pair, text, accepted)
    if re.fullmatch(_NUMBER, clean):
        return sign * _value(clean)
    if ":" in clean:
        raise refuse("", f'"{text}": a colon is read in two ways', accepted)
    try:
        angle = parse(clean, "angle")
    except InputError:
        raise refuse("", f'"{text}"', accepted) from None
    if angle >= 90.0:
        raise refuse("", f'"{text}" is no slope', "an angle under 90 deg")
    return sign * tan(angle * pi / 180.0)


def split_fall(text: str) -> tuple[float, float] | None:
    """A drop and the run it was measured over ("1.25 m in 7.4 m") in metres; None where the text is no such pair."""
    clean, _ = _signed(text)
    for word in (" in ", " per ", " over "):
        for cut in [found.start() for found in re.finditer(f"(?={word})", clean)]:
            left, right = clean[:cut].strip(), clean[cut + len(word) :].strip()
            if re.fullmatch(_NUMBER, left) or re.fullmatch(_NUMBER, right):
                continue
            right = right if re.match(_NUMBER, right) else f"1 {right}"
            try:
                return parse(left, "length"), parse(right, "length")
            except InputError:
                continue
    return None


def is_plain_number(text: str) -> bool:
    """Whether a text is a number without a unit: "38", "3 1/2", "-4"."""
    return re.fullmatch(_NUMBER, _signed(text)[0]) is not None


def parse_fraction(text: str | float) -> float:
    """A share of one: "58 %", "1/3", or a plain number (0.58)."""
    if not isinstance(text, str):
        return _number_alone(text)
    accepted = "a share such as 58 % or 0.58"
    clean, sign = _signed(text)
    if clean.endswith("%"):
        return sign * _plain_number(clean[:-1], text, accepted) / 100.0
    return sign * _plain_number(clean, text, accepted)


def parse_for_key(key: str, text: str | float, system: System = "metric") -> float:
    """A value for a key whose name ends in its unit ("height_m", "6 ft" -> 1.8288), in that unit.

    A plain number is in the key's own unit, whatever the system. A key without a unit ending takes a pure number, a
    share or a slope ("18 %", "1 in 6").

    Raises:
        InputError: naming the key, what was found and what is accepted.
    """
    end = ending(key)
    try:
        if not isinstance(text, str):
            return _number_alone(text)
        if end == "":
            return parse_slope(text)
        if end == "pct":
            clean, sign = _signed(text)
            return sign * _value(clean) if re.fullmatch(_NUMBER, clean) else 100.0 * parse_slope(text)
        return _parse_ending(text, end, system)
    except InputError as error:
        fault = error.faults[0]
        raise refuse(key, fault.found, fault.accepted) from None


def _parse_ending(text: str, end: str, system: System) -> float:
    clean, sign = _signed(text)
    if re.fullmatch(_NUMBER, clean):
        return sign * _value(clean)
    if end not in ENDING_MEASURES:
        return sign * _with_own_unit(clean, end, text)
    measure, size = ENDING_MEASURES[end]
    if measure == "angle" and not re.search("deg|rad|°", clean):
        try:
            return degrees(atan(parse_slope(text))) / size
        except InputError:
            raise refuse("", f'"{text}"', "an angle such as 30 deg, or a slope: 18 %, 1 in 6") from None
    return parse(text, measure, system) / size


def _with_own_unit(clean: str, end: str, text: str) -> float:
    """Rare units are read only as they stand in the key ("0.2 l/s per m")."""
    unit = ENDINGS[end]
    own = _clean(unit).replace("(", "").replace(")", "")
    bare = clean.removeprefix("$").removesuffix(own).strip() if end != "money" else clean.removeprefix("$").strip()
    if not re.fullmatch(_NUMBER, bare):
        raise refuse("", f'"{text}"', f"a number in {unit}")
    return _value(bare)


def _clean(text: str) -> str:
    """Small letters, plain marks, single blanks, "m³" as "m3", "½" as "1/2"."""
    spaced = re.sub(r"(?<=\d)([\u00bc-\u00be\u2150-\u215e])", r" \1", text)
    flat = unicodedata.normalize("NFKC", spaced)
    for odd, plain in _MARKS.items():
        flat = flat.replace(odd, plain)
    return " ".join(flat.lower().replace("''", '"').split())


def _signed(text: str) -> tuple[str, float]:
    clean = _clean(text)
    if clean.startswith(("-", "+")):
        return clean[1:].strip(), -1.0 if clean[0] == "-" else 1.0
    return clean, 1.0


def _value(number: str) -> float:
    """A number as written: 3, 3.5, 1/2, 3 1/2, 3-1/2, 1e-3."""
    whole, _, rest = number.replace("-", " ", 1).partition(" ") if "/" in number else (number, "", "")
    if "/" not in number:
        return float(number)
    fraction = rest or whole
    above, below = fraction.split("/")
    if float(below) == 0.0:
        raise refuse("", f'"{number}" divides by zero', "a fraction such as 1/2")
    return (float(whole) if rest else 0.0) + float(above) / float(below)


def _number_alone(number: float) -> float:
    if isinstance(number, bool) or not isinstance(number, int | float) or not isfinite(number):
        raise refuse("", f"{number}", "a number")
    return float(number)


def _plain_number(text: str, whole: str, accepted: str) -> float:
    if not re.fullmatch(_NUMBER, text.strip()):
        raise refuse("", f'"{whole}"', accepted)
    return _value(text.strip())


def _divided(above: float, below: float, text: str, accepted: str) -> float:
    if below <= 0.0:
        raise refuse("", f'"{text}": run of zero', accepted)
    return above / below


def _unit(text: str) -> str:
    """A unit as in the tables: words to signs, "sq ft" to "ft2", "per" to a stroke."""
    bare = text.strip().rstrip(".").replace("^", "").replace("*", " ")
    if bare == '"' or bare == "'":
        return "in" if bare == '"' else "ft"
    bare = re.sub(r"\bper\b", "/", bare)
    bare = re.sub(r"\b(?:square|sq)\.? ?([a-z]+)", lambda hit: _power(hit, "2"), bare)
    bare = re.sub(r"\b(?:cubic|cu)\.? ?([a-z]+)", lambda hit: _power(hit, "3"), bare)
    tops = [" ".join(_WORDS.get(word, word) for word in part.replace("-", " ").split()) for part in bare.split("/")]
    return "/".join(tops)


def _power(hit: re.Match[str], power: str) -> str:
    """ "square feet" as "ft2"; what is no length stays as typed, so that it can be named."""
    unit = _WORDS.get(hit[1], hit[1])
    return unit + power if unit in MEASURES["length"].units else hit[0]


def _parse_text(text: str, kind: Measure, system: System) -> float:
    accepted = f"{kind.name}: {kind.examples}"
    clean, sign = _signed(text)
    if _RATIO.match(clean):
        raise refuse("", f'"{text}" is a slope (a ratio)', accepted)
    if "," in clean:
        raise refuse("", f'"{text}" has a comma', f"a point for decimals, nothing for thousands; {accepted}")
    if re.fullmatch(_NUMBER, clean):
        return _scaled(sign * _value(clean), kind.plain_unit(system), kind)
    parts = _parts(clean)
    if not parts:
        bare = _FEET_AND_BARE.fullmatch(clean) if kind.base == "m" else None
        hint = f'"{bare[1]} ft {bare[2]} in" for feet and inches; ' if bare else ""
        raise refuse("", f'"{text}"', hint + accepted)
    if kind.base == "deg" and parts[-1][1] in ("n", "s", "e", "w"):
        raise refuse("", f'"{text}" has a letter for the side', "degrees, negative for south and west: -33.9")
    for _, unit in parts:
        if unit not in kind.units:
            raise refuse("", f'"{text}" {_why_not(unit)}', accepted)
    if len(parts) > 1:
        _refuse_odd_parts(parts, kind, text, accepted)
    if len(parts) == 1:
        return _scaled(sign * parts[0][0], parts[0][1], kind)
    return sign * sum(_scaled(value, unit, kind) for value, unit in parts)


def _parts(clean: str) -> list[tuple[float, str]]:
    """Numbers and their units in order; empty where the text is anything else."""
    spaced = re.sub(rf"(?<=['\"a-z])[ -]+(?={_NUMBER}\s*['\"a-z])", " ", clean)
    starts = list(_START.finditer(spaced))
    if not starts or starts[0].start() != 0:
        return []
    ends = [start.start() for start in starts[1:]] + [len(spaced)]
    units = [_unit(spaced[start.end() : end]) for start, end in zip(starts, ends, strict=True)]
    return [] if "" in units else [(_value(start[1]), unit) for start, unit in zip(starts, units, strict=True)]


def _why_not(unit: str) -> str:
    for other in MEASURES.values():
        if unit in other.units:
            return f'is {other.name} ("{unit}")'
    return f'has an unknown unit "{unit}"'


def _refuse_odd_parts(parts: list[tuple[float, str]], kind: Measure, text: str, accepted: str) -> None:
    """Feet and inches, hours and minutes: sizes fall, all but the last are whole, none holds the one before."""
    if kind.base not in ("m", "s"):
        raise refuse("", f'"{text}" has several units', accepted)
    for (value, unit), (after, smaller) in pairwise(parts):
        large, small = kind.units[unit], kind.units[smaller]
        if small >= large or value != int(value):
            raise refuse("", f'"{text}": "{unit}" before "{smaller}"', accepted)
        if after * small >= large * (1 - 1e-12):
            raise refuse("", f'"{text}": {after:g} {smaller} is more than one {unit}', accepted)


def _scaled(value: float, unit: str, kind: Measure) -> float:
    return value * kind.units[unit] + kind.offsets.get(unit, 0.0)
