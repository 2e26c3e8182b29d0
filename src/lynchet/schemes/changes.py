"""What changed between two versions of a job: the file, the word, walls, soil, order list, price, days, findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from lynchet.core.findings import Finding, Verdict
from lynchet.plan.model import Plan
from lynchet.quotes.making import quote_of
from lynchet.quotes.model import CostLine, Quote
from lynchet.schemes.figures import row_of
from lynchet.schemes.model import Row
from lynchet.schemes.search import edit_text
from lynchet.schemes.two_yards import other_yard
from lynchet.works.issue_changes import Change, IssueLine, line_change

Turn = Literal["gone", "new", "worse", "better"]


@dataclass(frozen=True)
class LineChanged:
    """One line of the cost that is not what it was."""

    name: str
    change: Change
    before: float
    after: float
    unit: str
    money: float | None
    """What it costs more, before overhead and profit; None where one of the two has no price."""
    price_part: float
    """What of it comes from a dearer or cheaper unit."""


@dataclass(frozen=True)
class WallChanged:
    """One wall that is not what it was."""

    wall: str
    before_m: float | None
    """Greatest height it holds; None where it did not stand."""
    after_m: float | None
    before_length_m: float
    after_length_m: float


@dataclass(frozen=True)
class FindingChanged:
    """One finding that came, went, or changed its word."""

    turn: Turn
    before: Verdict
    after: Verdict
    text: str
    place: str


@dataclass(frozen=True)
class Changes:
    """Two versions of a job side by side."""

    file: tuple[tuple[str, str, str], ...]
    """Key, before, after, as they stand in the files; a key that is not written is empty."""
    before: Row
    after: Row
    before_quote: Quote
    after_quote: Quote
    days: tuple[int, int]
    ties: tuple[int, int]
    plants: tuple[int, int]
    pieces: tuple[int, int]
    """Pieces to be cut for the walls, ties and steps not counted."""
    lines: tuple[LineChanged, ...]
    walls: tuple[WallChanged, ...]
    findings: tuple[FindingChanged, ...]
    other_yard: tuple[str, ...] = ()
    """What speaks for two different yards instead of two versions of one; empty where nothing does."""

    @property
    def price_change(self) -> int | None:
        """Hundredths the price before tax rose by; None where a price is missing in either, or the money differs."""
        alike = self.before_quote.currency == self.after_quote.currency
        known = self.before_quote.complete and self.after_quote.complete and bool(self.after_quote.sums.direct)
        return self.after_quote.sums.price - self.before_quote.sums.price if alike and known else None

    @property
    def none(self) -> bool:
        """Nothing that is built, bought, paid or found is another."""
        old, new = self.before_quote, self.after_quote
        same = (self.before, old.sums, old.currency, old.missing) == (self.after, new.sums, new.currency, new.missing)
        return same and self.days[0] == self.days[1] and not (self.lines or self.walls or self.findings)


def changes(before: Plan, after: Plan, files: tuple[Mapping[str, Any], Mapping[str, Any]]) -> Changes:
    """Everything that differs.

    Args:
        before: plan of the earlier version.
        after: plan of the version at hand.
        files: raw tables of both, the earlier first.
    """
    quotes = quote_of(before), quote_of(after)
    return Changes(
        tuple(file_changes(*files)),
        row_of(before),
        row_of(after),
        *quotes,
        (before.works.programme.days, after.works.programme.days),
        (len(before.stability.ties), len(after.stability.ties)),
        (sum(before.planted.counts.values()), sum(after.planted.counts.values())),
        (len(before.pieces), len(after.pieces)),
        tuple(line_changes(quotes[0].lines, quotes[1].lines)),
        tuple(wall_changes(before, after)),
        tuple(finding_changes(before.findings, after.findings)),
        other_yard(before, after, files),
    )


def file_changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Keys that are written otherwise, in the order of the later file, then those that went."""
    old, new = dict(_flat(before)), dict(_flat(after))
    for key in (*new, *(key for key in old if key not in new)):
        if old.get(key) != new.get(key):
            yield key, _shown(old.get(key)), _shown(new.get(key))


def _shown(value: Any) -> str:
    return "" if value is None else edit_text(("", value)).removeprefix(" = ")


def _flat(table: Mapping[str, Any], above: str = "") -> Iterator[tuple[str, Any]]:
    """Values by dotted key; list places count from 1, lists of plain values stay whole."""
    for key, value in table.items():
        name = f"{above}{key}"
        if isinstance(value, Mapping):
            yield from _flat(value, f"{name}.")
        elif isinstance(value, list) and value and all(isinstance(one, Mapping) for one in value):
            for place, one in enumerate(value, start=1):
                yield from _flat(one, f"{name}.{place}.")
        else:
            yield name, value


def line_changes(before: Sequence[CostLine], after: Sequence[CostLine]) -> Iterator[LineChanged]:
    """Lines of the cost that are not what they were; all hours are one line.

    Money moves by quantity and by price as ``issue_changes`` has it.
    """
    old, new = _by_name(before), _by_name(after)
    for name in (*old, *(name for name in new if name not in old)):
        was, now = old.get(name), new.get(name)
        found = line_change(_issue(was), _issue(now))
        if found.change == "same" and (was is None or now is None or (was.cents is None) == (now.cents is None)):
            continue
        known = all(line is None or line.cents is not None for line in (was, now))
        either = now or was
        assert either is not None
        yield LineChanged(
            name, found.change, was.quantity if was else 0.0, now.quantity if now else 0.0, either.unit,
            found.quantity_money + found.price_money if known else None, found.price_money if known else 0.0,
        )  # fmt: skip


def _issue(line: CostLine | None) -> IssueLine | None:
    return None if line is None else IssueLine(line.name, line.quantity, line.rate or 0.0)


def _by_name(lines: Iterable[CostLine]) -> dict[str, CostLine]:
    """One line for each name: amounts of one name and one rate are added; all hours are one line."""
    found: dict[str, CostLine] = {}
    for line in lines:
        name = "work by the hour" if line.kind == "labour" else line.name
        known = found.get(name)
        amount = line.quantity + (known.quantity if known else 0.0)
        cents = None if line.cents is None else line.cents + ((known.cents or 0) if known else 0)
        found[name] = CostLine(line.key, line.kind, line.part, name, amount, line.unit, line.rate, cents)
    return found


def wall_changes(before: Plan, after: Plan) -> Iterator[WallChanged]:
    """Walls that came, went, grew or shrank by a millimetre or more."""
    old, new = _walls(before), _walls(after)
    for wall in (*old, *(wall for wall in new if wall not in old)):
        was, now = old.get(wall, (None, 0.0)), new.get(wall, (None, 0.0))
        if _millimetres(was) != _millimetres(now):
            yield WallChanged(wall, was[0], now[0], was[1], now[1])


def _millimetres(wall: tuple[float | None, float]) -> tuple[int | None, int]:
    return None if wall[0] is None else round(1000 * wall[0]), round(1000 * wall[1])


def _walls(plan: Plan) -> dict[str, tuple[float | None, float]]:
    """Greatest height held and length by wall line."""
    heights: dict[str, float] = {}
    for place in plan.stability.places:
        heights[place.leg] = max(heights.get(place.leg, 0.0), place.retained_m)
    return {
        leg.id: (heights.get(leg.id, 0.0), sum(part.end_m - part.start_m for part in leg.segments))
        for leg in plan.walls.legs
        if leg.segments
    }


def finding_changes(before: Iterable[Finding], after: Iterable[Finding]) -> Iterator[FindingChanged]:
    """Findings that came, went or changed their word, the gravest first; those that say go are left out."""
    old, new = _worst(before), _worst(after)
    found = []
    for key in (*new, *(key for key in old if key not in new)):
        was, now = old.get(key), new.get(key)
        words = (was.verdict if was else Verdict.OK), (now.verdict if now else Verdict.OK)
        if words[0] != words[1]:
            turn: Turn = (
                "new" if was is None else "gone" if now is None else "worse" if words[1] > words[0] else "better"
            )
            said = now or was
            assert said is not None
            found.append(FindingChanged(turn, *words, said.text, said.place))
    yield from sorted(found, key=lambda one: (one.turn in ("gone", "better"), -max(one.before, one.after)))


def _worst(findings: Iterable[Finding]) -> dict[tuple[str, str], Finding]:
    """The gravest finding of each cause and place."""
    found: dict[tuple[str, str], Finding] = {}
    for finding in findings:
        key = finding.cause or finding.code, finding.place
        if key not in found or finding.verdict > found[key].verdict:
            found[key] = finding
    return found
