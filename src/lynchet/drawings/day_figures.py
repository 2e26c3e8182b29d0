"""Figures as they stand on a day sheet: the tape's own fractions, millimetres for what is read, marks in short rows."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import groupby
from math import ceil

from lynchet.units import format as units_format
from lynchet.units.measures import System

_VULGAR = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}


def tape(value_m: float, system: System, fractions: int = units_format.TIMBER) -> str:
    """A length as the tape shows it: "1366 mm" or "4 ft 6½ in"."""
    if system == "us":
        return vulgar(units_format.feet_inches(value_m, fractions))
    return units_format.small(value_m, "metric")


def ground_tape(value_m: float, system: System) -> str:
    """A height of bare ground as the tape takes it: to 10 mm, to half an inch.

    One rule for pictures, steps and readings: the same ground has the same figure all over a day sheet.
    """
    return tape(value_m, system, units_format.DIGGING) if system == "us" else tape(round(value_m, 2), system)


def size(value_m: float, system: System, fractions: int = units_format.TIMBER) -> str:
    """A short size: "140 mm" or "5½ in"."""
    return vulgar(units_format.small(value_m, system, fractions))


def volume(value_m3: float, system: System) -> str:
    """A volume as it is ordered."""
    return units_format.volume(value_m3, system)


def vulgar(text: str) -> str:
    """Fractions of an inch as one sign: "5½ in"."""
    for plain, sign in _VULGAR.items():
        text = re.sub(rf"(?:(?<=\d) )?\b{plain}(?= in)", sign, text)
    return text


def barrows(value_m3: float, barrow_m3: float) -> int:
    """Barrows that carry a volume, the last one perhaps not full."""
    return max(1, ceil(value_m3 / barrow_m3 - 1e-6))


def marks(names: Iterable[str]) -> str:
    """Marks of pieces in short: "1a–1d, 2a" of 1a, 1b, 1c, 1d, 2a."""
    found: list[tuple[str, str]] = []
    for name in names:
        if found and _follows(found[-1][1], name):
            found[-1] = (found[-1][0], name)
        else:
            found.append((name, name))
    return ", ".join(_run(first, last) for first, last in found)


def _run(first: str, last: str) -> str:
    if first == last:
        return first
    return f"{first}, {last}" if _follows(first, last) else f"{first}–{last}"


def _follows(one: str, two: str) -> bool:
    """Whether two marks of one course follow each other: 1a and 1b; or two plain numbers at the end."""
    a, b = re.fullmatch(r"(.*?)([a-z])", one), re.fullmatch(r"(.*?)([a-z])", two)
    if a and b:
        return a[1] == b[1] and ord(b[2]) == ord(a[2]) + 1
    a, b = re.fullmatch(r"(.*?)(\d+)", one), re.fullmatch(r"(.*?)(\d+)", two)
    return bool(a and b and a[1] == b[1] and int(b[2]) == int(a[2]) + 1)


def by_wall(names: Sequence[str]) -> list[tuple[str, list[str]]]:
    """Marks by wall of names such as "W2 1a", walls in the order they first come."""
    order = list(dict.fromkeys(name.partition(" ")[0] for name in names))
    rows = sorted(names, key=lambda name: order.index(name.partition(" ")[0]))
    return [
        (wall, [name.partition(" ")[2] for name in group])
        for wall, group in groupby(rows, key=lambda name: name.partition(" ")[0])
    ]
