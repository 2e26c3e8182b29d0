"""A calculator's values as a person reads them: number, unit and, for US readers, feet, inches and pounds before it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from lynchet.units import format as shown
from lynchet.units.endings import ending, in_words, unit_text
from lynchet.units.measures import INCH, MEASURES, System

_ROWS_SHOWN = 40


def value_lines(key: str, value: Any, system: System = "metric") -> list[str]:
    """A value in one line or, where it is a table or a list of lists, in a line for each row."""
    if isinstance(value, list) and 1 < len(value) <= _ROWS_SHOWN and isinstance(value[0], dict | list):
        return [value_text(key, item, system) for item in value]
    return [value_text(key, value, system)]


def value_text(key: str, value: Any, system: System = "metric") -> str:
    """A value with its unit as a person reads it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        if any(isinstance(item, dict) for item in value):
            return "; ".join(value_text(key, item, system) for item in value)
        return _list_text(key, value, system)
    if isinstance(value, dict):
        return ", ".join(f"{in_words(name)} {value_text(name, item, system)}" for name, item in value.items())
    if isinstance(value, int | float):
        return _number_text(key, value, system)
    return str(value)


def _list_text(key: str, value: list[Any], system: System) -> str:
    inner = ", ".join(item_text(item) for item in value)
    if not inner or not _numeric(value):
        return inner or "none"
    text = f"{inner} {unit_text(key)}".rstrip()
    return f"{_tape_list(value)} ({text})" if system == "us" and ending(key) == "m" else text


def _tape_list(value: list[Any]) -> str:
    """Lengths in feet and inches, lists within lists kept."""
    return ", ".join(f"[{_tape_list(v)}]" if isinstance(v, list) else shown.length(v, "us") for v in value)


def _number_text(key: str, value: float, system: System) -> str:
    end = ending(key)
    if end == "money":
        return f"{value:.2f}"
    text = f"{number(value)} {unit_text(key)}".rstrip()
    tape = _US[end](value) if system == "us" and end in _US else ""
    lost = tape.startswith("0 ") and value != 0  # a section modulus in cubic yards says nothing
    return f"{tape} ({text})" if tape and not lost else text


def _us_area(value_m2: float) -> str:
    return shown.area(value_m2, "us") if value_m2 >= 0.1 else f"{number(round(value_m2 / INCH**2, 3))} sq in"


def _in_us(measure: str, unit: str, text: str, own: float = 1.0) -> Callable[[float], str]:
    """What writes a value in a US unit; ``own`` is the size of the key's unit in the measure's base."""
    size = MEASURES[measure].units[unit] / own
    return lambda value: f"{value / size:.4g} {text}"


_US: dict[str, Callable[[float], str]] = {
    "m": lambda value: shown.length(value, "us"), "m2": _us_area,
    "m3": lambda value: shown.volume(value, "us"), "kn": lambda value: shown.force(value, "us"),
    "kg": lambda value: shown.mass(value, "us"), "kn_per_m": lambda value: shown.line_load(value, "us"),
    "kn_m_per_m": lambda value: shown.line_moment(value, "us"), "kn_m": _in_us("moment", "lb ft", "lb ft"),
    "kpa": lambda value: shown.pressure(value, "us"), "kn_m3": lambda value: shown.unit_weight(value, "us"),
    "mpa": lambda value: f"{value * 1000.0 / (MEASURES['pressure'].units['psi']):,.0f} psi",
    "kg_m3": _in_us("density", "lb/ft3", "lb/ft³"), "kpa_per_m": _in_us("pressure_rate", "psf/ft", "psf/ft"),
    "l_s": lambda value: shown.flow(value, "us"), "m3_s": lambda value: shown.flow(1000.0 * value, "us"),
    "l": _in_us("volume", "gal", "gal", 1e-3), "l_h": _in_us("volume", "gal", "gal/h", 1e-3),
    "m_s": _in_us("speed", "ft/s", "ft/s"), "mm_h": lambda value: shown.rain(value, "us"),
    "mm": _in_us("length", "in", "in", 1e-3), "mm_day": _in_us("length", "in", "in/day", 1e-3),
    "m3_per_h": _in_us("volume", "yd3", "yd³/h"), "c": lambda value: f"{1.8 * value + 32.0:.4g} °F",
}  # fmt: skip


_ROUNDING = 1e-14
"""No quantity told here is so small in its unit."""


def number(value: float) -> str:
    """Six figures; whole numbers in full; what rounding leaves of 0, which differs by machine, as 0."""
    if isinstance(value, int):
        return str(value)
    value = 0.0 if abs(value) < _ROUNDING else value
    return f"{value:.0f}" if value.is_integer() and abs(value) < 1e15 else f"{value:.6g}"


def item_text(item: Any) -> str:
    if isinstance(item, list):
        return "[" + ", ".join(item_text(part) for part in item) + "]"
    if isinstance(item, bool):
        return "yes" if item else "no"
    return number(item) if isinstance(item, int | float) else str(item)


def _numeric(value: Any) -> bool:
    if isinstance(value, list):
        return all(_numeric(item) for item in value)
    return isinstance(value, int | float) and not isinstance(value, bool)
