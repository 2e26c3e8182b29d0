"""Facts: what one output says of one thing, where it stands there, and which facts disagree."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from lynchet.units.measures import System
from told.figure import Figure, Kind, changed, figure

Row = tuple[str, ...]
Pages = Mapping[str, tuple[Row, ...]]
"""Every output as rows of cells, by its name."""
About = tuple[str, str]
"""A quantity and what it is of: ("length of a wall", "W2")."""
Known = Mapping[About, float | str]
"""What the plan's own data say."""
Wanted = Mapping[str, tuple[str, ...]]
"""Kinds of output that must tell a quantity, by its name."""


TWICE = ("plan.glb", "plan.dxf", "plan.geojson", "xlsx")
"""Pages whose figures are rounded when they are read: a doctored one is two off in the last digit."""


@dataclass(frozen=True)
class Place:
    """Where in the outputs a text stands."""

    page: str
    row: int
    cell: int
    """Below 0: the whole row is the fact, one of those counted."""
    start: int
    end: int


@dataclass(frozen=True)
class Fact:
    """One output says this of one thing."""

    about: About
    said: Figure | str
    text: str
    """As printed."""
    at: Place
    out: str
    """Kind of output: "terraces sheet", "book"."""


@dataclass(frozen=True)
class Told:
    """Everything a plan gives, as text."""

    system: System
    known: Known
    pages: Pages

    def but(self, at: Place, text: str) -> Told:
        """The same with one place written over: a doctored copy."""
        rows = list(self.pages[at.page])
        if at.cell < 0:
            del rows[at.row]
            return replace(self, pages={**self.pages, at.page: tuple(rows)})
        cells = list(rows[at.row])
        cells[at.cell] = cells[at.cell][: at.start] + text + cells[at.cell][at.end :]
        rows[at.row] = tuple(cells)
        return replace(self, pages={**self.pages, at.page: tuple(rows)})

    def instead(self, page: str, text: str, other: str) -> Told:
        """The same with words written over wherever they stand on a page."""
        rows = tuple(tuple(cell.replace(text, other) for cell in row) for row in self.pages[page])
        return replace(self, pages={**self.pages, page: rows})


Reader = Callable[[Told], Iterable[Fact]]
Spot = tuple[str, int, int]
"""Page, row, cell."""


def fact(
    told: Told, out: str, about: About, spot: Spot, kind: Kind | None = None, span: tuple[int, int] | None = None
) -> Fact:
    """A fact that stands in a cell, or in a part of it.

    Args:
        told: the outputs.
        out: kind of output.
        about: quantity and thing.
        spot: page, row and cell.
        kind: how the figure is printed; None = words.
        span: first letter and the one after the last.
    """
    page, row, cell = spot
    whole = told.pages[page][row][cell]
    start, end = span or (0, len(whole))
    text = whole[start:end]
    said = text if kind is None else figure(text, kind, told.system)
    return Fact(about, said, text, Place(page, row, cell, start, end), out)


def disagreements(told: Told, facts: Iterable[Fact]) -> Iterator[str]:
    """One line for each fact that says other than the plan's data do."""
    for one in facts:
        known = told.known.get(one.about)
        if known is None:
            yield f"{one.out}: {' of '.join(one.about)} is {one.text!r}, which the plan does not know"
        elif isinstance(one.said, Figure):
            if isinstance(known, str) or not one.said.says(known):
                yield f"{one.out}: {' of '.join(one.about)} is {one.text!r}, in the plan {known}"
        elif _plain(one.said) != _plain(str(known)):
            yield f"{one.out}: {' of '.join(one.about)} is {one.text!r}, in the plan {known!r}"


def _plain(text: str) -> str:
    return " ".join(text.split()).replace("³", "3").replace("²", "2")


def unsaid(told: Told, facts: Iterable[Fact], wanted: Wanted) -> Iterator[str]:
    """One line for each thing of which an output that should tell a quantity says nothing.

    Args:
        told: the outputs.
        facts: what was read.
        wanted: by quantity, the outputs that must tell it of everything the plan knows.
    """
    found = {(one.out, one.about) for one in facts}
    for about in told.known:
        for out in wanted.get(about[0], ()):
            if (out, about) not in found:
                yield f"{out} does not tell {' of '.join(about)}"


def wrong(told: Told, reader: Reader, wanted: Wanted) -> set[str]:
    """All that is said otherwise than the plan has it, and all that is not said."""
    facts = tuple(reader(told))
    return {*disagreements(told, facts), *unsaid(told, facts, wanted)}


def doctored(told: Told, reader: Reader, wanted: Wanted) -> Iterator[str]:
    """One line for each kind of fact of which a small change would not be seen: its first place is written over.

    Of counted rows, the first is taken away.
    """
    seen: set[tuple[str, str]] = set()
    before = wrong(told, reader, wanted)
    for one in tuple(reader(told)):
        if (key := (one.out, one.about[0])) in seen or one.text == "0":  # none counted, nothing to take away
            continue
        seen.add(key)
        text = changed(one.text)
        text = changed(text) if one.at.page.startswith(TWICE) else text
        try:
            other = (
                told.but(one.at, text) if isinstance(one.said, Figure) else told.instead(one.at.page, one.text, text)
            )
            found = wrong(other, reader, wanted) - before
        except ValueError:  # no figure any more
            continue
        if not found:
            yield f"{one.out}: {' of '.join(one.about)}: {one.text!r} could be {text!r}"
