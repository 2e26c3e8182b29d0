"""What lists, sheets, book and models say of pieces, sticks and fasteners."""

from __future__ import annotations

import re
from collections.abc import Iterator

from told.bodies import TIMBER
from told.facts import Fact, Place, Told, fact
from told.figure import Figure
from told.find import caught, counted, everywhere, pages, things

_SHORT_M = 0.35
"""A piece shorter than it is wide has no longer side along the wall."""


def timber(told: Told) -> Iterator[Fact]:
    """Pieces by mark, length, section, stick and course; sticks; screws, bars and pins."""
    yield from _pieces_csv(told)
    yield from _bodies(told)
    yield from _on_sheets(told)
    yield from _in_book(told)
    yield from _sticks(told)
    yield from _fastened(told)


def _number(told: Told, out: str, about: tuple[str, str], spot: tuple[str, int, int], unit: float, step: float) -> Fact:
    """A plain number of a table or a body, in the file's unit."""
    text = told.pages[spot[0]][spot[1]][spot[2]]
    return Fact(about, Figure(float(text) * unit, step), text, Place(*spot, 0, len(text)), out)


def _pieces_csv(told: Told) -> Iterator[Fact]:
    page, unit = "pieces.csv", 0.3048 if told.system == "us" else 1.0
    for n, row in enumerate(told.pages[page][1:], start=1):
        key = row[4]
        for cell, what in ((0, "stick of a piece"), (7, "course of a piece"), (13, "people for a piece")):
            if row[cell]:
                yield fact(told, page, (what, key), (page, n, cell), "count")
        for cell, what in ((5, "name of a piece"), (6, "wall of a piece")):
            if what == "wall of a piece" or re.fullmatch(r"[AW]\d+ \d+[a-z]+", row[cell]):
                yield fact(told, page, (what, key), (page, n, cell))
        yield _number(told, page, ("length of a stick", row[0]), (page, n, 1), unit, 1e-4 * unit)
        yield _number(told, page, ("length of a piece", key), (page, n, 8), unit, 1e-4 * unit)
        if row[11] and ("underside of a piece", key) in told.known:
            yield _number(told, page, ("underside of a piece", key), (page, n, 11), unit, 1e-4 * unit)
        if row[12]:
            mass = 0.45359237 if told.system == "us" else 1.0
            yield _number(told, page, ("weight of a piece", key), (page, n, 12), mass, 0.1 * mass)
    yield from counted(told, page, page, ("number of pieces", ""), lambda row: row[0].isdigit())


def _bodies(told: Told) -> Iterator[Fact]:
    """Each body and block: as long as it is cut, as big as its section makes it, where it lies."""
    foot = 0.3048 if told.system == "us" else 1.0
    for n, row in enumerate(told.pages["plan.glb"]):
        key = row[1]
        if row[0] in TIMBER and ("volume of a piece", key) in told.known:
            yield _number(told, "model", ("volume of a piece", key), ("plan.glb", n, 4), 1.0, 2e-6)
            if told.known.get(("length of a piece", key), 0.0) > _SHORT_M:  # type: ignore[operator]
                yield _number(told, "model", ("length of a piece", key), ("plan.glb", n, 5), 1.0, 1.2e-4)
    for n, row in enumerate(told.pages["plan.dxf"]):
        key = row[0]
        yield _number(told, "drawing", ("area of a piece", key), ("plan.dxf", n, 1), foot**2, 1e-4 * foot**2)
        stands = ("underside of timber that stands", key)
        under = stands if stands in told.known else ("underside of a piece", key)
        yield _number(told, "drawing", under, ("plan.dxf", n, 3), foot, 1e-4 * foot)
        if told.known.get(("length of a piece", key), 0.0) > _SHORT_M:  # type: ignore[operator]
            yield _number(told, "drawing", ("length of a piece", key), ("plan.dxf", n, 2), foot, 1.2e-4 * foot)


def _on_sheets(told: Told) -> Iterator[Fact]:
    """Lengths on the wall sheets by the piece's id, on the cut sheets by stick and place."""
    sticks = _by_stick(told)
    for page in told.pages:
        if page.startswith("sheet wall-"):
            for n, row in enumerate(told.pages[page]):
                key = row[0].removeprefix("length-")
                if key != row[0] and len(row) > 1:
                    kind = "length" if told.system == "us" or "." in row[1] else "small"
                    stands = ("length of timber that stands", key)
                    about = stands if stands in told.known else ("length of a piece", key)
                    yield fact(told, "wall sheet", about, (page, n, 1), kind)
                mark = row[0].removeprefix("mark-")
                if mark != row[0] and ("mark of a piece", mark) in told.known:
                    about = ("mark of a piece", mark)
                    yield fact(told, "wall sheet", about, (page, n, 1))
        if page.startswith("sheet cut-sheet"):
            for n, row in enumerate(told.pages[page]):
                found = re.fullmatch(r"s(\d+)-(\d+)-l", row[0])
                if found and len(row) == 2:
                    key = sticks[int(found[1])][int(found[2])]
                    kind = "length" if told.system == "us" or "." in row[1] else "small"
                    yield fact(told, "cut sheet", ("length of a piece", key), (page, n, 1), kind)


def _by_stick(told: Told) -> dict[int, list[str]]:
    """Pieces of each stick in the order they are cut."""
    found: dict[int, list[str]] = {}
    for key in things(told, "stick of a piece"):
        found.setdefault(int(float(told.known["stick of a piece", key])), []).append(key)
    return found


def _in_book(told: Told) -> Iterator[Fact]:
    sticks = _by_stick(told)
    for n, row in enumerate(told.pages["book"]):
        if row[0] == "Each stick" and len(row) == 5 and row[1].isdigit():
            yield fact(told, "book", ("length of a stick", row[1]), ("book", n, 2), "length")
            parts, at = row[3].split(" · "), 0
            for key, part in zip(sticks[int(row[1])], parts, strict=True):
                found = re.search(r"(?:\d+ ft )?(?:\d+)?(?:[⅛¼⅜½⅝¾⅞]| \d/\d)? in$|[\d.]+ m?m$", part)
                assert found is not None, part
                span = (at + found.start(), at + found.end())
                yield fact(told, "book", ("length of a piece", key), ("book", n, 3), "length", span)
                if name := re.match(r"[AW]\d+ \d+[a-z]+", part):
                    span = (at, at + name.end())
                    yield fact(told, "book", ("name of a piece", key), ("book", n, 3), None, span)
                at += len(part) + 3
        if row[0] == "Screws and pins" and len(row) == 6 and row[1].isdigit():
            about = next((of for of in things(told, "number of fasteners") if _is_line(told, of, row)), "")
            yield fact(told, "book", ("number of fasteners", about), ("book", n, 1), "count")


def _is_line(told: Told, of: str, row: tuple[str, ...]) -> bool:
    from told.figure import figure

    what, _, length = of.rpartition(" ")
    return row[2] == what and figure(row[4], "small", told.system).says(float(length))


def _sticks(told: Told) -> Iterator[Fact]:
    count = [(("number of sticks", ""), "count")]
    yield from caught(told, "screen", ("screen", 0, 0), r"(\d+) sticks? of timber", count)
    yield from everywhere(told, "sheet first-look", "first look", r"^about (\d+) sticks?", count)
    for n, row in enumerate(told.pages["book"]):
        if len(row) == 3 and row[1] == "Sticks of timber":
            yield fact(told, "book", ("number of sticks", ""), ("book", n, 2), "count")
        if row[0] == "Sticks to buy" and len(row) == 4 and row[2].isdigit():
            stock = _stock(told, row[1])
            yield fact(told, "book", ("length on sale", stock), ("book", n, 1), "length")
            yield fact(told, "book", ("sticks to buy", stock), ("book", n, 2), "count")
            yield fact(told, "book", ("sticks on hand", stock), ("book", n, 3), "count")
    for page in pages(told, "sheet cut-sheet"):
        for n, row in enumerate(told.pages[page]):
            for cell, text in enumerate(row):
                for found in re.finditer(r"(\d+) of ((?:\d+ ft )?[\d ./⅛¼⅜½⅝¾⅞]*(?:in|m))(?=[,;. ])", text):
                    about = ("sticks to buy", _stock(told, found[2]))
                    yield fact(told, "cut sheet", about, (page, n, cell), "count", found.span(1))
    for page, cell, out in (("order-list.csv", 4, "order-list.csv"), ("xlsx Order list", 3, "spreadsheet")):
        for n, row in enumerate(told.pages[page]):
            if row[0].startswith("timber_") and (found := re.search(r", ([^,]*) long", row[1])):
                system = "us" if " in" in found[1] or " ft" in found[1] else "metric"
                about = ("sticks to buy", _stock(told, found[1], system))
                yield fact(told, out, about, (page, n, cell), "count")


def _stock(told: Told, text: str, system: str = "") -> str:
    from told.figure import figure

    said = figure(text, "length", system or told.system)
    return next((of for of in things(told, "length on sale") if said.says(float(told.known["length on sale", of]))), "")


def _fastened(told: Told) -> Iterator[Fact]:
    for kind in things(told, "fasteners placed"):
        about = ("fasteners placed", kind)
        yield from counted(told, "model", "plan.glb", about, lambda row, k=kind: row[0] == k)
    yield from counted(told, "model", "plan.glb", ("pins into the ground", ""), lambda row: row[0] == "pin")
