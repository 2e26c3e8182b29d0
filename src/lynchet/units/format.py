"""SI values as people read them: metres and millimetres, or feet and inches in fractions as a tape shows them."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor, gcd
from typing import Literal

from lynchet.units.measures import FOOT, GALLON_L, INCH, MEASURES, System

TIMBER = 8
"""Fractions of an inch for timber."""
DIGGING = 2
"""Fractions of an inch for digging."""


def length(value_m: float, system: System, fractions: int = TIMBER) -> str:
    """A length: "1.37 m" or "4 ft 6 1/2 in".

    Args:
        value_m: metres, either sign.
        system: which way to write it.
        fractions: parts of an inch to round to (8 for timber, 2 for digging); metric lengths show centimetres.
    """
    if system == "us":
        return feet_inches(value_m, fractions)
    return f"{_no_minus_zero(value_m, 2):.2f} m"


def laid(value_m: float, system: System) -> str:
    """A level or length that timber is laid or set out to: "1.366 m" or "4 ft 5 3/4 in"; to a millimetre, an eighth.

    One rule for the card, the sheets and the lists: what is said in one place is read to the same mark in another.
    """
    if system == "us":
        return feet_inches(value_m, TIMBER)
    return f"{_no_minus_zero(value_m, 3):.3f} m"


def small(value_m: float, system: System, fractions: int = TIMBER) -> str:
    """A short length: "140 mm" or "5 1/2 in" (never in feet, however long)."""
    if system == "us":
        return inches(value_m, fractions)
    return f"{_no_minus_zero(value_m * 1000.0, 0):.0f} mm"


def apart(value_m: float, system: System) -> str:
    """How far apart plants are set: "24 in" or "0.60 m"; the table of plants knows no fraction of an inch."""
    return inches(value_m, 1) if system == "us" else length(value_m, system)


def feet_inches(value_m: float, fractions: int = TIMBER) -> str:
    """Feet and inches with a fraction, never a decimal of a foot; under a foot inches alone."""
    parts, sign = _inch_parts(value_m, fractions)
    feet, rest = divmod(parts, 12 * fractions)
    if feet == 0:
        return f"{sign}{_inch_text(rest, fractions)}"
    whole = "0 " if 0 < rest < fractions else ""
    return f"{sign}{feet} ft {whole}{_inch_text(rest, fractions)}"


def inches(value_m: float, fractions: int = TIMBER) -> str:
    """Inches with a fraction."""
    parts, sign = _inch_parts(value_m, fractions)
    return f"{sign}{_inch_text(parts, fractions)}"


def for_file(value_m: float, system: System) -> str:
    """A length or level as a program writes it into a file, in its own unit, to some thousandths of a mm."""
    value, unit = (value_m / INCH, "in") if system == "us" else (value_m, "m")
    digits = 4 if system == "us" else 6
    if system == "us" and abs(value * TIMBER - round(value * TIMBER)) < 1e-4:
        return inches(value_m)
    text = f"{round(value, digits) + 0.0:.{digits}f}".rstrip("0").rstrip(".")
    return f"{text} {unit}"


def size_for_file(value_m: float, system: System) -> str:
    """A size as ``for_file``, to the mark; in a US file in feet and inches, as people write them, where they say it."""
    if system == "us" and abs(value_m / INCH * TIMBER - round(value_m / INCH * TIMBER)) < 1e-4:
        return _no_odd_inches(feet_inches(value_m))
    return for_file(value_m, system)


def _no_odd_inches(text: str) -> str:
    """ "10 ft" for "10 ft 0 in"."""
    return text.removesuffix(" 0 in") if text.endswith("ft 0 in") else text


def tape_for_file(value_m: float, system: System, safe: Literal["up", "down", "nearest"] = "nearest") -> str:
    """A length as a program writes it into a file that people read: a mark of a tape, an eighth of an inch or 5 mm.

    Args:
        value_m: metres, either sign.
        system: of the file.
        safe: to which mark it may go: "up" where more room is safe, "down" where less height is.
    """
    mark = INCH / TIMBER if system == "us" else 0.005
    count = value_m / mark
    whole = {"up": ceil(count - 1e-6), "down": floor(count + 1e-6), "nearest": round(count)}[safe]
    return feet_inches(whole * mark) if system == "us" else f"{round(whole * mark, 3) + 0.0:g} m"


def levels_for_file(levels_m: Sequence[float], system: System) -> list[str]:
    """Levels of beds as a program writes them: the lowest to a mark of the tape, the others above it as they were.

    They are whole courses apart, so they are not taken to marks one by one: timber that is no whole number of marks
    high keeps its own measure, in millimetres or parts of an inch.
    """
    low = min(levels_m, default=0.0)
    mark = INCH / TIMBER if system == "us" else 0.005
    found = [round(low / mark) * mark + level - low for level in levels_m]
    return [size_for_file(level if system == "us" else round(level, 3), system) for level in found]


def rule_for_file(value_m: float, system: System) -> str:
    """A length that is a rule of thumb, as a program writes it into a file: to a whole inch, or centimetre."""
    return _no_odd_inches(feet_inches(value_m, 1)) if system == "us" else f"{round(value_m, 2):g} m"


def area(value_m2: float, system: System) -> str:
    """An area: "59.5 m²" or "640 sq ft"."""
    if system == "us":
        return f"{_whole(value_m2 / FOOT**2)} sq ft"
    return f"{_significant(value_m2)} m²"


def volume(value_m3: float, system: System) -> str:
    """A volume: "3.5 m³" or "4.6 yd³"."""
    if system == "us":
        return f"{_significant(value_m3 / MEASURES['volume'].units['yd3'])} yd³"
    return f"{_significant(value_m3)} m³"


def tins(value_l: float, system: System) -> str:
    """A liquid as tins are sold: "1.6 litres" or "1.7 US quarts" (four to the gallon)."""
    return f"{4.0 * value_l / GALLON_L:.1f} US quarts" if system == "us" else f"{value_l:.1f} litres"


def cans(value_l: float, system: System) -> str:
    """Water as cans are counted: "62 l" or "16 gal"."""
    return f"{value_l / GALLON_L:.0f} gal" if system == "us" else f"{value_l:.0f} l"


def force(value_kn: float, system: System) -> str:
    """A force: "1.2 kN" or "270 lb"."""
    return _quantity(value_kn, "force", system, "kN", "lb")


def mass(value_kg: float, system: System) -> str:
    """A weight as scales show it: "23 kg" or "51 lb"; three figures above a thousand: "2,820 lb"."""
    unit, size = ("lb", value_kg / MEASURES["mass"].units["lb"]) if system == "us" else ("kg", value_kg)
    if abs(size) < 1000.0:
        return f"{_significant(size)} {unit}"
    step = 10.0 ** (len(str(int(abs(size)))) - 3)
    return f"{round(size / step) * step:,.0f} {unit}"


def line_load(value_kn_per_m: float, system: System) -> str:
    """A load per length: "2.6 kN/m" or "180 lb/ft"."""
    return _quantity(value_kn_per_m, "line_load", system, "kN/m", "lb/ft")


def line_moment(value_kn_m_per_m: float, system: System) -> str:
    """A turning moment per length: "0.8 kN·m/m" or "180 ft·lb/ft" (as many pounds as the same force)."""
    return _quantity(value_kn_m_per_m, "force", system, "kN·m/m", "lb").replace(" lb", " ft·lb/ft")


def pressure(value_kpa: float, system: System) -> str:
    """A pressure: "12 kPa" or "250 psf"."""
    return _quantity(value_kpa, "pressure", system, "kPa", "psf")


def unit_weight(value_kn_m3: float, system: System) -> str:
    """A weight per volume: "18.9 kN/m³" or "120 lb/ft³"."""
    if system == "us":
        return f"{_whole(value_kn_m3 / MEASURES['unit_weight'].units['lb/ft3'])} lb/ft³"
    return f"{value_kn_m3:.1f} kN/m³"


def flow(value_l_s: float, system: System) -> str:
    """A flow: "0.50 l/s" or "8 gpm" (US gallons a minute)."""
    return _quantity(value_l_s, "flow", system, "l/s", "gpm")


def rain(value_mm_h: float, system: System) -> str:
    """Rain: "100 mm/h" or "4 in/h"."""
    return _quantity(value_mm_h, "rate", system, "mm/h", "in/h")


def slope(ratio: float) -> str:
    """A slope both ways: "17 % (1 in 6)"."""
    percent = f"{_significant(100.0 * ratio)} %"
    return percent if abs(ratio) < 0.005 else f"{percent} (1 in {_significant(1.0 / abs(ratio))})"


def _quantity(value: float, measure: str, system: System, metric: str, us: str) -> str:
    if system == "us":
        return f"{_significant(value / MEASURES[measure].units[us.lower()])} {us}"
    return f"{_significant(value)} {metric}"


def _inch_parts(value_m: float, fractions: int) -> tuple[int, str]:
    parts = round(abs(value_m) / INCH * fractions)
    return parts, "-" if value_m < 0 and parts else ""


def _inch_text(parts: int, fractions: int) -> str:
    whole, above = divmod(parts, fractions)
    if above == 0:
        return f"{whole} in"
    shared = gcd(above, fractions)
    fraction = f"{above // shared}/{fractions // shared} in"
    return f"{whole} {fraction}" if whole else fraction


def _no_minus_zero(value: float, digits: int) -> float:
    return round(value, digits) + 0.0


def _whole(value: float) -> str:
    return f"{_no_minus_zero(value, 0):.0f}"


def _significant(value: float) -> str:
    """Three figures, whole from 100 up, at most two decimals."""
    size = abs(value)
    digits = 0 if size >= 99.95 else 1 if size >= 9.995 else 2
    text = f"{_no_minus_zero(value, digits):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
