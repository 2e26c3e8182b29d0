"""The verdict on each wall, from all its checks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from lynchet.core.findings import Verdict
from lynchet.core.quick import quick
from lynchet.stability.checks import Numbers, Table
from lynchet.stability.helps import column
from lynchet.stability.kinds import Array
from lynchet.stability.model import CASES, BaseCheck, Case, CornerCheck, HelpName, Place, TieCheck, WallVerdict
from lynchet.stability.thresholds import STANDS, Standing, enough_in, is_bare_low, required, verdicts, word_on_factor

_VERDICTS = tuple(Verdict)


@quick
@dataclass(frozen=True)
class Word:
    """One check of one place put into a verdict."""

    verdict: Verdict
    what: str
    case: Case
    factor: float
    place: Place
    row: int = -1
    """Row of the table it comes from, where it does."""
    holds: tuple[HelpName, ...] = ()
    capacity: bool = False
    """The factor is a capacity over a demand: 1 is enough."""
    check: BaseCheck | CornerCheck | TieCheck | None = None
    """What it comes from where that is no row of the table."""

    @property
    def enough(self) -> float:
        """The factor that is enough here."""
        return 1.0 if self.capacity else required(self.case)

    @property
    def badness(self) -> tuple[int, float]:
        """The worse of two compares larger."""
        return int(self.verdict), -self.factor / self.enough


@dataclass(frozen=True)
class Judged:
    """Sliding and overturning of every row of a table as verdicts."""

    factor: Array
    """(2, rows): sliding, overturning."""
    verdict: NDArray[np.intp]
    """(2, rows)"""
    enough: Array
    """(rows,)"""

    @cached_property
    def badness(self) -> Array:
        """(2, rows): grows with the verdict, then as the factor falls short of what is enough."""
        short = np.clip(self.factor / self.enough, -400.0, 400.0)
        return self.verdict * 1000.0 - short


def judged(table: Table, places: Sequence[Place]) -> Judged:
    """Every joint in every case, helps in the soil counted.

    A joint above the base is judged by what stands above it: with an outlet shut, two courses over a joint may rest on
    the drain as a wall of two courses may. In the rain only a wall that is as low as a whole may, and stands dry.
    """
    retained, held, courses, course = (one[table.place] for one in _heights(places))
    above = courses - table.joint
    loaded = (column(places, "surcharge_kpa") > 0)[table.place]
    bare = is_bare_low(np.minimum(held, above), np.minimum(retained, above * course))
    low_whole = is_bare_low(held, retained) & _stands_dry(table, len(places))[table.place]
    factor = np.stack([table.sliding, table.overturning])
    two_ways = np.array([place.two_ways for place in places], dtype=bool)[table.place]
    standing = Standing(retained, bare, loaded, low_whole, two_ways)
    word = np.stack([verdicts(table.case, one, standing) for one in factor])
    return Judged(factor, word, enough_in(table.case))


def _stands_dry(table: Table, places: int) -> NDArray[np.bool_]:
    """(places,) whether what holds is no less than what pushes at every joint, without any water."""
    dry = table.case == CASES.index("dry")
    least = np.full(places, np.inf)
    np.minimum.at(least, table.place[dry], np.minimum(table.sliding, table.overturning)[dry])
    return np.asarray(least >= STANDS - 1e-9)


def _heights(places: Sequence[Place]) -> tuple[Array, Array, Array, Array]:
    """Ground held, courses that hold it, courses, and their height, of every place: as ``Place`` has them."""
    courses = column(places, "courses")
    retained = column(places, "high_m") - column(places, "low_m")
    course = (column(places, "top_m") - column(places, "base_m")) / courses
    return retained, np.maximum(np.ceil(retained / course - 0.05), 1.0), courses, course


def worst_words(
    table: Table, found: Judged, places: Sequence[Place], rows: NDArray[np.bool_] | None = None
) -> dict[int, Word]:
    """The worst of sliding and overturning of every place, of all rows or of some."""
    some = np.arange(len(table.place)) if rows is None else np.flatnonzero(rows)
    badness = found.badness[:, some]
    kind = np.argmax(badness, axis=0)
    worst = badness[kind, np.arange(len(some))]
    order = np.lexsort((-worst, table.place[some]))
    numbers, first = np.unique(table.place[some][order], return_index=True)
    picked = order[first]
    words = _words_on_rows(table, found, places, some[picked], kind[picked])
    return dict(zip(numbers.tolist(), words, strict=True))


def _words_on_rows(table: Table, found: Judged, places: Sequence[Place], rows: Numbers, kinds: Numbers) -> list[Word]:
    """Rows put into words; kind 0 sliding, 1 overturning."""
    columns = (
        rows, kinds, table.place[rows], table.case[rows], table.joint[rows], found.factor[kinds, rows],
        found.verdict[kinds, rows],
    )  # fmt: skip
    words = []
    for (row, kind, place, case, joint, factor, verdict), helps in zip(
        zip(*(one.tolist() for one in columns), strict=True), _helps(table, rows, kinds), strict=True
    ):
        at = "at the base" if joint == 0 else f"over course {joint}"
        what = f"{('sliding', 'overturning')[kind]} {at}"
        words.append(Word(_VERDICTS[verdict], what, CASES[case], factor, places[place], row, helps))
    return words


def _helps(table: Table, rows: Numbers, kinds: Numbers) -> list[tuple[HelpName, ...]]:
    """Helps the factors rest on."""
    pushed, buried, pins = table.pushes.down[rows] > 0, table.buried_kn[rows], table.pins_kn[rows]
    sliding, deep = kinds == 0, buried >= pins
    some = sliding & (np.maximum(buried, pins) > 0)
    names: tuple[HelpName, ...] = ("own weight", "back friction", "buried course", "pins", "screws")
    there = np.column_stack([
        np.full(len(rows), True), pushed, (some & deep) | (~sliding & (table.buried_turn[rows] > 0)), some & ~deep,
        table.screws_kn[rows] > 0,
    ])  # fmt: skip
    return [tuple(compress(names, row)) for row in there.tolist()]


def word_on_corner(check: CornerCheck, place: Place) -> Word:
    """The verdict on a front that stands by its corners."""
    fixing = check.fixing_kn / max(check.corner_pull_kn, 1e-9)
    bending = check.allowable_mpa / max(check.bending_mpa, 1e-9)
    if fixing < 1.0 or bending < 1.0:
        what = "corner pull" if fixing < bending else "bending of a course"
        least = min(fixing, bending)
        return Word(Verdict.STOP, what, check.case, least, place, holds=("own weight", "corners"), capacity=True,
                    check=check)  # fmt: skip
    factor = min(check.sliding, check.overturning)
    verdict = word_on_factor(check.case, factor, place)
    what = "sliding as a box" if check.sliding < check.overturning else "overturning as a box"
    holds: tuple[HelpName, ...] = ("own weight", "corners")
    return Word(max(verdict, Verdict.WATCH), what, check.case, factor, place, holds=holds, check=check)


def word_on_ties(check: TieCheck) -> Word:
    """The verdict on a tied place: the ties and their fixing, then what is left to the base."""
    holds: tuple[HelpName, ...] = ("own weight", "back friction", "ties")
    tie = min(check.capacity_kn, check.fixing_kn) / max(check.demand_kn, 1e-9)
    if tie < 1.0 - 1e-9:
        what = "pull of a tie"
        return Word(Verdict.STOP, what, check.case, tie, check.place, holds=holds, capacity=True, check=check)
    base = min(check.base_capacity_kn_per_m / max(check.base_demand_kn_per_m, 1e-9), 99.0)
    verdict = word_on_factor(check.case, base, check.place)
    what = "sliding at the base beside the ties"
    return Word(verdict, what, check.case, base, check.place, holds=holds, check=check)


def word_on_base(check: BaseCheck) -> Word:
    """The verdict on the ground under a base: demand over capacity is a stop."""
    factor = check.allowable_kpa / max(check.pressure_kpa, 1e-9)
    verdict = Verdict.OK if factor >= 1.0 - 1e-9 else Verdict.STOP
    what = "pressure on the ground under the base"
    return Word(verdict, what, check.case, factor, check.place, holds=("own weight",), capacity=True, check=check)


def wall_verdicts(words: Iterable[Word]) -> dict[str, Word]:
    """The worst word on each leg."""
    found: dict[str, Word] = {}
    badness: dict[str, tuple[int, float]] = {}
    for word in words:
        leg, bad = word.place.leg, word.badness
        if leg not in found or bad > badness[leg]:
            found[leg], badness[leg] = word, bad
    return found


def as_verdict(word: Word) -> WallVerdict:
    """For the result."""
    return WallVerdict(
        leg=word.place.leg,
        verdict=word.verdict,
        governing=word.what,
        case=word.case,
        factor=word.factor if np.isfinite(word.factor) else None,
        helps=word.holds,
        tied="ties" in word.holds,
        by_corners="corners" in word.holds,
    )
