"""Person hours for one unit of each kind of work: from tables, from habit, or from one's own jobs, with a band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from lynchet.core.tables import read_table
from lynchet.ground.hand_labour import CARRY_RATES, digging_rates, filling_rate
from lynchet.project.money import OwnRate
from lynchet.units.measures import MEASURES
from lynchet.works.learned_rate import COVERAGE_PCT, next_factor

HALF, DOUBLE = 0.5, 2.0
"""Band of a rate nobody measured here: half to double. PRACTICE; the tables themselves say that others are two to
three times slower."""
OWN_BAND = 1.5
"""Band of one's own rate or single job: two thirds to one and a half. PRACTICE."""
_CITED = "Guild of Project Controls, hand digging, filling and carrying (wiki 422684, 422442), as read"
_MEASURE_OF = {"m": "length", "m3": "volume"}
_LIKE = {"topsoil": "bench", "pipe trench": "trench"}
"""Kinds without a rate of one's own, and the kind whose rate they then have."""
LAYER_MM = 150.0
"""Fill is tamped by hand in layers of this thickness."""


@dataclass(frozen=True)
class Rate:
    """Person hours for one unit, low and high as factors of it."""

    hours: float
    measure: str
    people: int
    """Most who can work on it at once."""
    origin: str
    low: float = HALF
    high: float = DOUBLE


@cache
def rates(clay: bool, deep_m: float) -> dict[str, Rate]:
    """Rates by kind of work.

    Args:
        clay: the soil is clay.
        deep_m: depth of the trenches, by which digging is rated.
    """
    found = {
        row["kind"]: Rate(float(row["hours"]), row["measure"], int(row["people"]), row["origin"])
        for row in read_table("works", "task_rates").rows
    }
    soil = "clay" if clay else "firm"
    bands = digging_rates("trench", soil)
    dig = next((rate for to, rate in bands if deep_m <= to), bands[-1][1])
    aside = 1.0 / CARRY_RATES[0][1]
    found["trench"] = Rate(1.0 / dig, "m3", 3, _CITED)
    found["pipe trench"] = found["trench"]
    found["bench"] = Rate(1.0 / bands[0][1] + aside, "m3", 4, _CITED)
    found["topsoil"] = found["bench"]
    found["fill"] = Rate(1.0 / filling_rate("clay" if clay else "sand_soil", LAYER_MM) + aside, "m3", 3, _CITED)
    return found


def rate_unit(kind: str, unit: str) -> float | str:
    """How much of the work's measure one unit is; where it is none, what is accepted, in words."""
    measure = rates(False, 1.0)[kind].measure
    word = unit.strip().lower().replace(" ", "").replace("cuyd", "yd3").replace("lf", "ft")
    if measure == "job":
        return 1.0 if word in ("job", "each") else "job"
    if measure == "each":
        return 1.0 if word in ("each", "piece", "step", "plant") else "each"
    units = MEASURES[_MEASURE_OF[measure]].units
    return units[word] if word in units else {"m": "m or ft", "m3": "m3 or yd3"}[measure]


def with_own(book: Rate, own: OwnRate) -> Rate:
    """A rate with one's own in its place: written, or learned from finished jobs (then with the range for the next)."""
    if not own.jobs:
        return Rate(
            own.hours_per_unit or book.hours, book.measure, book.people, "your own rate", 1 / OWN_BAND, OWN_BAND
        )
    per_job = [job.hours / (job.quantity * job.difficulty) for job in own.jobs]
    size = sum(job.quantity * job.difficulty for job in own.jobs)
    hours = sum(job.hours for job in own.jobs)
    if own.hours_per_unit is not None:  # the written rate counts as one more job of middling size
        hours, size = hours + own.hours_per_unit * size / len(per_job), size + size / len(per_job)
    factor = max(next_factor(per_job, COVERAGE_PCT), 1.05) if len(per_job) > 1 else OWN_BAND
    origin = f"your own {len(per_job)} job{'' if len(per_job) == 1 else 's'}"
    return Rate(hours / size, book.measure, book.people, origin, 1.0 / factor, factor)


def own_rates(book: dict[str, Rate], own: Sequence[OwnRate]) -> dict[str, Rate]:
    """The book's rates with one's own laid over; topsoil without one of its own goes by that of benches, trenches for
    pipes by that of trenches."""
    mine = {rate.task: with_own(book[rate.task], rate) for rate in own}
    found = book | mine
    return found | {kind: found[like] for kind, like in _LIKE.items() if kind not in mine}
