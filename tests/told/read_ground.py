"""What sheets, book, lists, screen and models say of soil, stone, mulch, pipes and outlets."""

from __future__ import annotations

import re
from collections.abc import Iterator

from told.facts import Fact, Told, fact
from told.find import caught, everywhere, table, things

_GONE = ("left over loose", "")


def ground(told: Told) -> Iterator[Fact]:
    """Soil in short and in full, what is brought, pipes and outlets."""
    yield from _in_short(told)
    yield from _soil_sheet(told)
    yield from _soil_in_book(told)
    yield from _stages(told)
    yield from _pipes(told)


def _in_short(told: Told) -> Iterator[Fact]:
    three = ((_GONE, "volume"), (("barrows of soil", ""), "count"), (("loads of soil", ""), "count"))
    amount = r"([\d.]+ \w+³) loose"
    screen = rf"soil (?:away|to bring in): {amount}, (\d+) barrows or (\d+) loads?"
    yield from caught(told, "screen", ("screen", 0, 0), screen, three)
    look = "sheet first-look"
    yield from everywhere(told, look, "first look", rf"^{amount} (?:goes away|comes in)", three[:1])
    yield from everywhere(told, look, "first look", r"^(\d+) barrows or (\d+) loads?", three[1:])
    for n, row in enumerate(told.pages["book"]):
        spot = ("book", n, len(row) - 1)
        yield from caught(told, "book", spot, rf"{amount}, (\d+) barrows or (\d+) loads?", three)
    for page, out, cell in (("order-list.csv", "order-list.csv", 4), ("xlsx Order list", "spreadsheet", 3)):
        for n, row in enumerate(told.pages[page]):
            if row[0] == "load_away":
                yield fact(told, out, ("loads of soil", ""), (page, n, cell), "count")


def _soil_sheet(told: Told) -> Iterator[Fact]:
    for page in told.pages:
        if not page.startswith("sheet soil"):
            continue
        for n, row in enumerate(told.pages[page]):
            pushed = re.fullmatch(r"(.*): takes the place of soil", row[0])
            if pushed and len(row) == 2:
                yield fact(told, "soil sheet", ("soil pushed out by", pushed[1]), (page, n, 1), "volume")
            for words, what in (("topsoil, laid back", "topsoil laid back"), ("filled, in tamped", "filled"),
                                ("carted away", "left over as it lies")):  # fmt: skip
                yield from caught(
                    told, "soil sheet", (page, n, 0), rf"^([\d.]+ \w+³) {words}", [((what, ""), "volume")]
                )
            yield from caught(told, "soil sheet", (page, n, 0), r"^([\d.]+ \w+³) loose, (\d+) loads?",
                              [(_GONE, "volume"), (("loads of soil", ""), "count")])  # fmt: skip
            if row[0] == "topsoil, taken off first" and len(row) == 2:
                yield fact(told, "soil sheet", ("topsoil dug", ""), (page, n, 1), "volume")
            yield from _loads(told, page, n)


def _loads(told: Told, page: str, n: int) -> Iterator[Fact]:
    row = told.pages[page][n]
    yield from caught(
        told, "soil sheet", (page, n, 0), r"^one load = (.*) loose", [(("a load of the truck", ""), "volume")]
    )
    soil = row[0] in ("soil carted away", "soil brought in")
    if soil and len(row) == 5:
        for cell, about, kind in ((2, _GONE, "volume"), (3, ("loads of soil", ""), "count"),
                                  (4, ("barrows of soil", ""), "count")):  # fmt: skip
            yield fact(told, "soil sheet", about, (page, n, cell), kind)
    if (found := re.fullmatch(r"(.*) brought in", row[0])) and len(row) == 4 and not soil:
        yield from _brought(told, "soil sheet", page, n, found[1], 1)


def _brought(told: Told, out: str, page: str, n: int, what: str, first: int) -> Iterator[Fact]:
    kinds = (("placed", "volume"), ("loose", "volume"), ("barrows of", "count"))
    for cell, (name, kind) in enumerate(kinds, start=first):
        if told.pages[page][n][cell]:
            yield fact(told, out, (name, what), (page, n, cell), kind)


def _soil_in_book(told: Told) -> Iterator[Fact]:
    brought, pushed = things(told, "placed"), things(told, "soil pushed out by")
    for n, row in enumerate(told.pages["book"]):
        if len(row) == 5 and row[1] in brought and row[0].startswith("Brought in"):
            yield from _brought(told, "book", "book", n, row[1], 2)
        if len(row) == 4 and row[1] in pushed and row[0] == "What pushes soil out":
            yield fact(told, "book", ("soil pushed out by", row[1]), ("book", n, 3), "volume")
        if row[0] == "Soil account" and len(row) == 3:
            for words, what in (("dug above", "cut above the finished levels"), ("dug below", "dug below them"),
                                ("topsoil laid back", "topsoil laid back"), ("filled and tamped", "filled"),
                                ("left over", "left over as it lies")):  # fmt: skip
                if row[1].startswith(words):
                    span = (row[2].startswith("−"), len(row[2]))  # what goes back is taken off
                    yield fact(told, "book", (what, ""), ("book", n, 2), "volume", span)


def _stages(told: Told) -> Iterator[Fact]:
    stages = things(told, "walls of a stage")
    below = [(0, "dug at a stage", "volume"), (1, "fill of a stage", "volume"), (2, "away from a stage", "volume"),
             (3, "heap of a stage", "volume"), (4, "barrows of a stage", "count")]  # fmt: skip
    for page in told.pages:
        for n, row in enumerate(told.pages[page] if page.startswith("sheet soil") else ()):
            if row[0] in stages and len(row) == 7:
                if not row[1].endswith("…"):
                    yield fact(told, "soil sheet", ("walls of a stage", row[0]), (page, n, 1))
                for cell, what, kind in below:
                    yield fact(told, "soil sheet", (what, row[0]), (page, n, cell + 2), kind)
    columns = [(1, "walls of a stage", None), (2, "topsoil of a stage", "volume"),
               (3, "dug under the topsoil at a stage", "volume"), (4, "fill of a stage", "volume"),
               (-3, "away from a stage", "volume"), (-2, "heap of a stage", "volume"),
               (-1, "barrows of a stage", "count")]  # fmt: skip
    for n, row in enumerate(told.pages["book"]):
        if row[0].startswith("Terrace by terrace") and row[1] in stages:
            for cell, what, kind in columns:
                place = cell + 1 if cell > 0 else len(row) + cell
                yield fact(told, "book", (what, row[1]), ("book", n, place), kind)


def _pipes(told: Told) -> Iterator[Fact]:
    name, arm = "", 0
    for n, row in enumerate(told.pages.get("sheet water", ())):
        first = next(
            (k for k in (0, 1) if re.match(r"[+−±].* [+−±]", " ".join(row[k : k + 2])) and len(row) > k + 3), None
        )
        if first is not None:
            name, arm = (row[0], 1) if first and row[0] else (name, arm + 1)
            if name[:1] in ("D", "P"):
                about = ("length of a pipe", f"{name}.{arm}")
                yield fact(told, "water sheet", about, ("sheet water", n, first + 2), "digging")
        if row[0].startswith("out-") and len(row) == 3:
            about_of = [(("level of an outlet", row[1]), "level")]
            yield from caught(told, "water picture", ("sheet water", n, 2), r"inv (.*)", about_of)
    outlets, ends = things(told, "level of an outlet"), ("end", "what", "inv", "drop", "in a storm")
    columns = ((2, "level of an outlet", "level"), (4, "flow of an outlet", "flow"))
    if "sheet water" in told.pages:
        yield from table(told, "sheet water", ends, outlets, "water sheet", columns)
    for page in ("sheet terraces",):
        rows = [n for n, row in enumerate(told.pages[page]) if row[0].startswith("inv-") and row[-1].startswith("OUT")]
        for name, n in zip(sorted(outlets), rows, strict=False):
            yield from caught(
                told, "terraces sheet", (page, n, 1), r"inv (.*)", [(("level of an outlet", name), "level")]
            )
