"""Finding rows of a table and figures in a text."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

from told.facts import About, Fact, Place, Row, Spot, Told, fact
from told.figure import Figure, Kind

Column = tuple[int, str, Kind | None]
"""Which cell of a row, of which quantity it tells, how it is printed."""


Wanted = tuple[About, Kind | None]


def pages(told: Told, name: str) -> Iterator[str]:
    """Pages of that name, and those a full one goes on upon."""
    yield from (page for page in told.pages if re.fullmatch(rf"{re.escape(name)}(-\d+|-page-\d+)?", page))


def under(told: Told, page: str, heads: Row) -> Iterator[tuple[int, int, Row]]:
    """Rows below the one that holds these heads side by side: number, cell of the first head, cells from there on.

    A table in two halves has them twice.
    """
    found: list[int] = []
    for n, row in enumerate(told.pages[page]):
        for first in found:
            if len(row) >= first + 1:
                yield n, first, row[first:]
        here = [k for k in range(len(row) - len(heads) + 1) if row[k : k + len(heads)] == heads]
        found = here or found


def table(
    told: Told, page: str, heads: Row, names: Iterable[str], out: str, columns: Iterable[Column]
) -> Iterator[Fact]:
    """Facts of a table whose first column names things.

    Args:
        told: the outputs.
        page: where it stands.
        heads: its heads, side by side.
        names: names that may stand in the first column.
        out: kind of output.
        columns: what stands in which column; empty cells are passed over.
    """
    known = set(names)
    for n, first, row in under(told, page, heads):
        if row[0] in known and len(row) >= len(heads):
            for cell, what, kind in columns:
                if row[cell]:
                    yield fact(told, out, (what, row[0]), (page, n, first + cell), kind)


def caught(told: Told, out: str, spot: Spot, pattern: str, abouts: Iterable[Wanted]) -> Iterator[Fact]:
    """A fact for each group of a pattern, where the cell holds it."""
    page, row, cell = spot
    if found := re.search(pattern, told.pages[page][row][cell]):
        for n, (about, kind) in enumerate(abouts, start=1):
            if found[n] is not None:
                yield fact(told, out, about, spot, kind, found.span(n))


def everywhere(told: Told, page: str, out: str, pattern: str, abouts: Iterable[Wanted]) -> Iterator[Fact]:
    """The same in every cell of a page."""
    wanted = tuple(abouts)
    for n, row in enumerate(told.pages[page]):
        for cell in range(len(row)):
            yield from caught(told, out, (page, n, cell), pattern, wanted)


def things(told: Told, what: str) -> list[str]:
    """What the plan knows a quantity of."""
    return [of for name, of in told.known if name == what]


def counted(told: Told, out: str, page: str, about: About, one: Callable[[Row], bool]) -> Iterator[Fact]:
    """How many rows of a page are such; nothing where there is no such page. The first of them is its place."""
    rows = told.pages.get(page, ())
    found = [n for n, row in enumerate(rows) if one(row)]
    if rows:
        count, place = len(found), Place(page, found[0] if found else 0, -1, 0, 0)
        yield Fact(about, Figure(float(count), 0.0), str(count), place, out)
