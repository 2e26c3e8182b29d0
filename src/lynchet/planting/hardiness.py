"""Hardiness zones: ten degrees Fahrenheit of yearly lowest temperature each, five for a half."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from math import floor
from typing import Any

from lynchet.core.calculator import Step, calculator, refuse, refuse_if

LOWEST_F, HIGHEST_F = -60.0, 70.0
HALF_F = 5.0
ON_BOUNDARY_F = 1e-6


@dataclass(frozen=True)
class HardinessZone:
    """A zone, or half of one, with its range of yearly lowest temperatures."""

    zone: str
    lower_c: float
    upper_c: float


def zone_label(text: str, key: str = "zone") -> tuple[int, str]:
    """Number and half ("a", "b" or "") of a zone label, capitals allowed; anything else is refused."""
    found = re.fullmatch(r"(1[0-3]|[1-9])([ab]?)", text.lower(), re.ASCII)
    if found is None:
        raise refuse(key, f"zone {text!r} found", "1 to 13, with a or b for a half")
    return int(found[1]), found[2]


def zone_of_temperature(temperature_f: float) -> str | None:
    """Half zone of a yearly lowest temperature, a boundary to the warmer one; None off the scale."""
    halves = floor((temperature_f - LOWEST_F + ON_BOUNDARY_F) / HALF_F)
    if not 0 <= halves < (HIGHEST_F - LOWEST_F) / HALF_F:
        return None
    return f"{halves // 2 + 1}{'ab'[halves % 2]}"


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def _zone_steps(given: Mapping[str, Any], result: HardinessZone) -> list[Step]:
    return [
        Step("zone", "from -60 F up, 10 F a zone, 5 F a half", result.zone),
        Step("coldest of the zone", "(F - 32)/1.8", result.lower_c, "c"),
        Step("mildest of the zone", "(F - 32)/1.8", result.upper_c, "c"),
    ]


@calculator(
    source="USDA Plant Hardiness Zone Map, definition of zones",
    known="SEEN",
    example={"min_temperature_c": -21.0},
    working=_zone_steps,
)
def hardiness_zone(*, min_temperature_c: float | None = None, zone: str | None = None) -> HardinessZone:
    """Hardiness zone of a lowest temperature, or the temperatures of a zone.

    Equation: zone n starts at -60 + 10 (n - 1) F and spans 10 F; a the lower 5 F, b the upper; C = (F - 32)/1.8.

    Symbols: min_temperature_c, mean of the lowest temperature of each year; zone, 1 to 13 with a or b, or without.

    Limits: -60 F up to 70 F. A boundary belongs to the warmer zone, also within 1e-6 F of it.
    """
    given = (min_temperature_c is not None) + (zone is not None)
    found = "both a temperature and a zone" if given else "neither a temperature nor a zone"
    refuse_if(given != 1, "min_temperature_c or zone", found, "exactly one of them")
    label = zone.lower() if zone is not None else None
    if min_temperature_c is not None:
        label = zone_of_temperature(min_temperature_c * 1.8 + 32.0)
        found = f"temperature {min_temperature_c:g} found"
        refuse_if(
            label is None, "min_temperature_c", found, f"{_celsius(LOWEST_F):.2f} up to {_celsius(HIGHEST_F):.2f}"
        )
    number, half = zone_label(label or "")
    start = LOWEST_F + 2 * HALF_F * (number - 1) + (HALF_F if half == "b" else 0.0)
    return HardinessZone(label or "", _celsius(start), _celsius(start + (HALF_F if half else 2 * HALF_F)))
