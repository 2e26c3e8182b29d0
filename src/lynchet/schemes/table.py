"""Schemes side by side as text, 80 characters wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from lynchet.schemes.model import BASE, Comparison, Edits, Outcome
from lynchet.schemes.search import edit_text
from lynchet.schemes.words import cost_of, dug, hours_of, level_bed, scheme_words, soil, wall
from lynchet.units.format import area
from lynchet.units.measures import System

WIDTH = 80
_LABEL = 15
_CELL = 16
ABREAST = 4
"""Columns side by side, the file as written always the first of them."""


def heading(found: Comparison) -> str:
    """How many schemes there are, and how many of them have a column of their own."""
    count, columns = len(found.others) + 1, len(_columns(found)) + 1
    if columns == count:
        return f"{count} scheme{'s' if count > 1 else ''} side by side"
    same = count - columns
    return f"{count} schemes, {columns} of them side by side; {same} lead{'' if same > 1 else 's'} to the same plan"


def table_lines(found: Comparison, system: System, currency: str) -> Iterator[str]:
    """The figures: the file as written and up to three schemes abreast; more in further blocks below.

    A scheme that leads to the plan of another column is left out here; the words say which.
    """
    shown = _columns(found)
    step = ABREAST - 1
    for start in range(0, max(1, len(shown)), step):
        if start:
            yield ""
        yield from _block((found.base, *shown[start : start + step]), system, currency)


def _columns(found: Comparison) -> list[Outcome]:
    """Schemes that lead to a plan of their own."""
    return [one for place, one in enumerate(found.others) if not _unchanged(one) and _twin(found, place) is None]


def _block(shown: Sequence[Outcome], system: System, currency: str) -> Iterator[str]:
    names = [textwrap.wrap(one.name, _CELL - 2, break_long_words=True)[:3] for one in shown]
    for line in range(max(len(name) for name in names)):
        yield _row("", [name[line] if line < len(name) else "" for name in names])
    yield "-" * (_LABEL + _CELL * len(shown))
    rows = [one.row for one in shown]
    yield _row("verdict", [row.verdict.words for row in rows])
    costs = [cost_of(row) for row in rows]
    unpriced = [row.cost is not None and bool(row.cost_words) for row in rows]
    if all(row.cost is None for row in rows):
        costs = [cost.replace("not known", "no prices") for cost in costs]
    costs = [cost + ("*" if some else "") for cost, some in zip(costs, unpriced, strict=True)]
    yield _row(f"cost, {currency}" if currency else "cost", costs)
    yield _row("hours", [hours_of(row) for row in rows])
    yield _row("soil dug", [dug(row, system) for row in rows])
    yield _row("soil away, in", [soil(row, system) for row in rows])
    yield _row("truck loads", [str(row.loads) for row in rows])
    yield _row("level bed", [level_bed(one.row, system) + (" ~" if one.row.sloped else "") for one in shown])
    yield _row("highest wall", [wall(row, system) for row in rows])
    yield _row("walls", [str(row.walls) for row in rows])
    yield _row("sticks", [str(row.sticks) for row in rows])
    for some, one in zip(unpriced, shown, strict=True):
        if some:
            yield from _wrapped(f"* {one.name}: {one.row.cost_words}", "  ")
    for one in shown:
        if one.row.sloped:
            yield f"~ {one.name}: {area(one.row.bed_m2, system)} of bed slopes as the ground does"


def _row(label: str, cells: Sequence[str]) -> str:
    return (label.ljust(_LABEL) + "".join(cell[: _CELL - 1].ljust(_CELL) for cell in cells)).rstrip()


def word_lines(found: Comparison, system: System) -> Iterator[str]:
    """Each scheme: what it changes of the file, what it gains and loses."""
    base = found.base
    yield f"{BASE}: {base.row.verdict.words}"
    if base.row.reason:
        yield from _wrapped(base.row.reason, "  ")
    for place, one in enumerate(found.others):
        if _unchanged(one):
            continue
        yield ""
        yield from _wrapped(f"{one.name}: {one.what}", "", "  ")
        yield from _wrapped(edits_text(one.edits), "  ")
        twin = _twin(found, place)
        if twin is not None:
            yield f"  The same plan as {twin.name}."
            continue
        for sentence in scheme_words(base, one, system):
            yield from _wrapped(sentence, "  ")
    already = [one for one in found.others if _unchanged(one)]
    if already:
        yield ""
        yield "The file as written is also the best found for:"
        for one in already:
            yield from _wrapped(f"{one.name}: {one.what}" + (f" ({one.note})" if one.note else ""), "  ", "    ")
    for name, why in found.missing:
        yield ""
        yield from _wrapped(f"{name}: none here, {why}.", "", "  ")


def edits_text(edits: Edits) -> str:
    """What is changed of the file, in one line."""
    return "In the file: " + ("; ".join(edit_text(edit) for edit in edits) if edits else "nothing is changed")


def _unchanged(one: Outcome) -> bool:
    """Whether the scheme found nothing better than the file itself."""
    return one.plan is not None and not one.edits and not one.own


def _twin(found: Comparison, place: int) -> Outcome | None:
    """An earlier scheme that leads to the same plan."""
    return next((other for other in found.others[:place] if _same(other, found.others[place])), None)


def _same(one: Outcome, other: Outcome) -> bool:
    return bool(one.edits) and one.plan is not None and one.plan is other.plan


def _wrapped(text: str, first: str, rest: str | None = None) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=first if rest is None else rest,
                         break_long_words=False)  # fmt: skip
