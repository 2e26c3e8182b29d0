"""Whether two files are two versions of one yard, or two yards that were named by a slip."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import hypot
from typing import Any

from lynchet.core.plane import signed_area
from lynchet.plan.model import Plan
from lynchet.units.format import area, slope

SIGNS = 2
"""So many signs make two yards; an area twice or half as large is two."""
MUCH, TWICE = 4.0 / 3.0, 2.0
"""Ratios of areas, and of slopes, by which versions of one yard seldom differ. PRACTICE."""
LEAST_SLOPE = 0.03
"""Slopes that differ by less are alike, whatever their ratio."""


def other_yard(before: Plan, after: Plan, files: tuple[Mapping[str, Any], Mapping[str, Any]]) -> tuple[str, ...]:
    """What speaks for two different yards, in words; empty where it is one.

    Args:
        before: plan of the earlier file.
        after: plan of the file at hand.
        files: raw tables of both, the earlier first.
    """
    found = list(_signs(before, after, files))
    return tuple(text for _, text in found) if sum(weight for weight, _ in found) >= SIGNS else ()


def _signs(before: Plan, after: Plan, files: tuple[Mapping[str, Any], Mapping[str, Any]]) -> Iterator[tuple[int, str]]:
    names = [str(file.get("name", "")).strip() for file in files]
    if all(names) and names[0].lower() != names[1].lower():
        yield 1, f'the names are "{names[0]}" and "{names[1]}"'
    units = before.project.units, after.project.units
    sizes = [abs(signed_area(plan.project.area.outline_m)) for plan in (before, after)]
    ratio = max(sizes) / max(min(sizes), 1e-9)
    if ratio > MUCH:
        said = " and ".join(area(size, unit) for size, unit in zip(sizes, units, strict=True))
        yield 2 if ratio > TWICE else 1, f"the areas are {said}"
    falls = [hypot(*plan.terraces.fall) for plan in (before, after)]
    if max(falls) - min(falls) > LEAST_SLOPE and max(falls) > MUCH * min(falls):
        yield 1, f"the ground falls {slope(falls[0])} and {slope(falls[1])}"
    if units[0] != units[1]:
        yield 1, f"the units are {units[0]} and {units[1]}"


def two_yards_text(signs: tuple[str, ...]) -> str:
    """The warning as one text."""
    return (
        f"These look like two different yards, not two versions of one: {'; '.join(signs)}. They are set side by side "
        "all the same; for the changes of one job name two versions of its file."
    )
