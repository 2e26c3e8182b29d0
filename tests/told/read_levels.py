"""What card, lists, points and permit sheet say of the levels of walls and steps."""

from __future__ import annotations

import re
from collections.abc import Iterator

from told.facts import Fact, Place, Told, fact
from told.figure import Figure
from told.find import pages, table, things

_TOP, _LOW = "highest top", "lowest underside"


def levels(told: Told) -> Iterator[Fact]:
    """Tops, undersides, levels of pegs and of steps."""
    names = things(told, _TOP)
    yield from _list(told, names)
    yield from _points(told)
    yield from _card(told, names)
    for page in pages(told, "sheet permit-2"):
        for heads in (("wall", "top at", "ground held", "timber seen"), ("wall", "top at", "held", "seen")):
            yield from table(told, page, heads, names, "permit sheet", ((1, _TOP, "level"),))


def _list(told: Told, names: list[str]) -> Iterator[Fact]:
    page = "setting-out.csv"
    rows = told.pages[page]
    for n, row in enumerate(rows):
        if row[0] == "level" and row[2] == "highest top":
            yield _plain(told, page, (_TOP, row[1]), (page, n, 5), 4)
    for name in names:
        mine = [n for n, row in enumerate(rows) if row[0] == "level" and row[1] == name and "underside" in row[2]]
        if mine:
            lowest = min(mine, key=lambda n: float(rows[n][5]))
            yield _plain(told, page, (_LOW, name), (page, lowest, 5), 4)
    yield from _pegs(told, page, page, 5, 4)


def _points(told: Told) -> Iterator[Fact]:
    yield from _pegs(told, "setting-out.xml", "LandXML", 5, 5)


def _pegs(told: Told, page: str, out: str, cell: int, digits: int) -> Iterator[Fact]:
    """Rows of kind, name and words, with a level."""
    for n, row in enumerate(told.pages[page]):
        if row[0] == "peg":
            yield _plain(told, out, ("underside at a peg", row[1]), (page, n, cell), digits)
        elif row[0] == "steps" and (where := re.search(r" corner of the (foot|head)$", row[2])):
            flight = row[1].rpartition(".")[0]
            yield _plain(told, out, (f"level of the {where[1]} of steps", flight), (page, n, cell), digits)


def _plain(told: Told, out: str, about: tuple[str, str], spot: tuple[str, int, int], digits: int) -> Fact:
    text, unit = told.pages[spot[0]][spot[1]][spot[2]], 0.3048 if told.system == "us" else 1.0
    return Fact(about, Figure(float(text) * unit, 10.0**-digits * unit), text, Place(*spot, 0, len(text)), out)


def _card(told: Told, names: list[str]) -> Iterator[Fact]:
    for n, row in enumerate(told.pages["book"]):
        if len(row) == 5 and row[1] in names and row[2] == "highest top":
            size = re.match(r"(.*) (?:below|above)", row[4])
            if size is not None:
                about = ("highest top from the mark", row[1])
                yield fact(told, "book", about, ("book", n, 4), "small", size.span(1))
