"""Months in which a planting is in flower."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator, refuse
from lynchet.core.kinds import Whole, Words


@dataclass(frozen=True)
class BloomingPlant:
    """A plant and its months of bloom: "", "5", "5-7", "11-4"."""

    name: str
    bloom_months: str


@dataclass(frozen=True)
class BloomCalendar:
    """Plants in flower by month."""

    plants_per_month: list[int]
    months_covered: list[int]
    empty_months: list[int]


def months_of(first: int, last: int) -> list[int]:
    """Months from one to another, both included, over the new year where the last comes before the first."""
    return [(first - 1 + step) % 12 + 1 for step in range((last - first) % 12 + 1)]


def bloom_months(text: str, key: str = "bloom_months") -> list[int]:
    """Months of a span as the plant table writes it."""
    if text == "":
        return []
    found = re.fullmatch(r"(\d{1,2})(?:-(\d{1,2}))?", text, re.ASCII)
    first, last = (int(found[1]), int(found[2] or found[1])) if found else (0, 0)
    if not (1 <= first <= 12 and 1 <= last <= 12):
        raise refuse(key, f"month span {text!r} found", 'months 1 to 12, like "5", "5-7" or "11-4"')
    return months_of(first, last)


def _bloom_steps(given: Mapping[str, Any], result: BloomCalendar) -> list[Step]:
    return [
        Step("months with a plant in flower", "", ", ".join(map(str, result.months_covered)) or "none"),
        Step("months of the season without one", "", ", ".join(map(str, result.empty_months)) or "none"),
    ]


@calculator(
    source="Rule of this handbook: a month counts where one plant or more flowers",
    known="PRACTICE",
    example={"plants": [{"name": "Phlox subulata", "bloom_months": "4-5"}, {"name": "Sedum", "bloom_months": "8-9"}]},
    working=_bloom_steps,
)
def bloom_calendar(
    *,
    plants: list[BloomingPlant],
    season_from: Annotated[Whole, Ge(1), Le(12), Words("month the season starts")] = 4,
    season_to: Annotated[Whole, Ge(1), Le(12), Words("month the season ends")] = 10,
) -> BloomCalendar:
    """Months in which a planting is in flower, and the gaps in a season.

    Equation: a month is covered where one plant or more is in flower.

    Symbols: bloom_months, "" none, "5" one month, "5-7" both ends included, "11-4" over the new year.

    Limits: leave out plants without showy bloom; every plant handed in counts.
    """
    spans = [bloom_months(plant.bloom_months, f"plants[{i}].bloom_months") for i, plant in enumerate(plants)]
    counts = [sum(month in span for span in spans) for month in range(1, 13)]
    season = months_of(season_from, season_to)
    return BloomCalendar(
        plants_per_month=counts,
        months_covered=[month for month in range(1, 13) if counts[month - 1]],
        empty_months=[month for month in season if not counts[month - 1]],
    )
