"""What sheets, book, lists and screen say of amounts to buy, hours, days and money."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import log10

from told.facts import Fact, Place, Told, fact
from told.figure import Figure, Kind
from told.find import caught, everywhere, things

Shown = tuple[tuple[str, str], Kind]
_DAYS: list[Shown] = [(("days of work", ""), "count"), (("people at work", ""), "count")]
_RANGE: list[Shown] = [(("fewest days", ""), "count"), (("most days", ""), "count")]
_MISSING: list[Shown] = [(("lines without a price", ""), "count"), (("lines that need a price", ""), "count")]
_PAGES = {"order-list.csv": ("order-list.csv", 4, 7), "xlsx Order list": ("spreadsheet", 3, 6)}
"""Where an amount to buy and its money stand."""


def works(told: Told) -> Iterator[Fact]:
    """The order list, hours, days, money."""
    yield from _order(told)
    yield from _order_in_book(told)
    yield from _work(told)
    yield from _money(told)
    yield from _spreadsheet(told)
    yield from _on_days(told)


def _plain(told: Told, out: str, about: tuple[str, str], spot: tuple[str, int, int], step: float) -> Fact:
    text = told.pages[spot[0]][spot[1]][spot[2]]
    return Fact(about, Figure(float(text), step), text, Place(*spot, 0, len(text)), out)


def _order(told: Told) -> Iterator[Fact]:
    known = things(told, "amount to buy")
    for page, (out, amount, money) in _PAGES.items():
        for n, row in enumerate(told.pages[page]):
            if row[0] in known:
                step = 1e-4 if out == "order-list.csv" else 1e-6
                yield _plain(told, out, ("amount to buy", row[0]), (page, n, amount), step)
                yield fact(told, out, ("name of a line", row[0]), (page, n, 1))
                yield fact(told, out, ("sold by", row[0]), (page, n, amount + 1))
                if row[money]:
                    step = 0.01 if out == "order-list.csv" else 1e-6
                    yield _plain(told, out, ("money of a line", row[0]), (page, n, money), step)


def _order_in_book(told: Told) -> Iterator[Fact]:
    names = {str(told.known["name of a line", key]): key for key in things(told, "name of a line")}
    for n, row in enumerate(told.pages["book"]):
        ordered = len(row) == 5 and not row[0].startswith("Brought in")
        name = next((one for one in names if ordered and _same(row[1], one)), None)
        if name is None:
            continue
        key = names[name]
        yield fact(told, "book", ("sold by", key), ("book", n, 3))
        size = float(row[2].replace(",", ""))
        step = 1.0 if size >= 10 and "." not in row[2] else 0.1 if size >= 9.995 else 0.01
        span = Place("book", n, 2, 0, len(row[2]))
        least = step / 2 if size >= 9.995 else 0.0  # rounded up there, so that it is never less than needed
        yield Fact(("amount to buy", key), Figure(size - least, step), row[2], span, "book")
        pattern = r"(?:^|[A-Z]{3} )([\d,]+)(?: [A-Z]{3})?$"
        yield from caught(told, "book", ("book", n, 4), pattern, [(("money of a line", key), "money")])


def _same(shown: str, name: str) -> bool:
    """Whether a cell of the book begins with a name; fractions are set as one sign there."""
    for sign, plain in (
        ("½", "1/2"),
        ("¼", "1/4"),
        ("¾", "3/4"),
        ("⅛", "1/8"),
        ("⅜", "3/8"),
        ("⅝", "5/8"),
        ("⅞", "7/8"),
    ):
        shown, name = (text.replace(f" {plain}", plain).replace(plain, sign) for text in (shown, name))
    name = re.sub(r" (?=[½¼¾⅛⅜⅝⅞])", "", name)
    return re.sub(r" (?=[½¼¾⅛⅜⅝⅞])", "", shown).startswith(name)


def _work(told: Told) -> Iterator[Fact]:
    screen = ("screen", 0, 0)
    yield from caught(told, "screen", screen, r"work: about (\d+) days? of (\d+) people", _DAYS)
    yield from caught(told, "screen", screen, r"work: about .*?, (\d+) to (\d+) as hours go", _RANGE)
    yield from everywhere(told, "sheet first-look", "first look", r"^(\d+) days? of (\d+) people", _DAYS)
    yield from everywhere(told, "sheet first-look", "first look", r"^\d+ days? of .*\((\d+) to (\d+)\b", _RANGE)
    hours: list[Shown] = [(("hours, likely", ""), "money")]
    for n, row in enumerate(told.pages["book"]):
        spot = ("book", n, len(row) - 1)
        yield from caught(told, "book", spot, r"about (\d+) days? with (\d+) at work", _DAYS)
        yield from caught(told, "book", spot, r"about \d+ days? with .*\((\d+) to (\d+)\)", _RANGE)
        yield from caught(told, "book", spot, r"\); ([\d,]+) hours in all", hours)
        yield from caught(told, "book", spot, r"^(\d+) working days? with (\d+) at work", _DAYS)
        yield from caught(told, "book", spot, r"about ([\d,]+) hours in all \(([\d,]+) to ([\d,]+)\)",
                          [*hours, (("hours, low", ""), "money"), (("hours, high", ""), "money")])  # fmt: skip
        if len(row) == 4 and row[1].startswith("hours of work"):
            key = "mean" if "as priced" in row[1] else "likely"
            yield fact(told, "book", (f"hours, {key}", ""), ("book", n, 2), "money")
        if len(row) >= 3 and row[0] == "Deliveries" and row[1] in things(told, "loads delivered"):
            yield fact(told, "book", ("loads delivered", row[1]), ("book", n, 2), "count")


def _money(told: Told) -> Iterator[Fact]:
    band = r"([\d,]+)(?: to ([\d,]+))? [A-Z]{3}"
    screen, look = ("screen", 0, 0), "sheet first-look"
    yield from _rounded(told, "screen", screen, rf"money: {band}")
    yield from caught(told, "screen", screen, r"money: [^;]*; no price for (\d+) of (\d+) lines", _MISSING)
    for n, row in enumerate(told.pages[look]):
        for cell in range(len(row)):
            yield from _rounded(told, "first look", (look, n, cell), rf"^{band}$")
            yield from caught(told, "first look", (look, n, cell), r"^no price for (\d+) of (\d+) lines", _MISSING)
    for n, row in enumerate(told.pages["book"]):
        if len(row) == 3 and row[1].startswith("Money"):
            yield from _rounded(told, "book", ("book", n, 2), r"^[A-Z]{3} ([\d,]+)(?: to ([\d,]+))?")
            yield from caught(told, "book", ("book", n, 2), r"no price for (\d+) of (\d+) lines", _MISSING)
        if len(row) == 5 and row[1].startswith("Total before tax"):
            for cell, key in ((2, "low"), (3, "likely"), (4, "high")):
                about: list[Shown] = [((f"money, {key}", ""), "money")]
                yield from caught(told, "book", ("book", n, cell), r"([\d,]+)$", about)


def _rounded(told: Told, out: str, spot: tuple[str, int, int], pattern: str) -> Iterator[Fact]:
    """A band: two figures under a thousand, three above."""
    page, row, cell = spot
    found = re.search(pattern, told.pages[page][row][cell])
    for group, key in ((1, "low"), (2, "high")) if found else ():
        assert found is not None
        if found[group] is not None:
            size = float(found[group].replace(",", ""))
            step = 1.0 if size < 100 else 10.0 ** (int(log10(size)) - (1 if size < 1000 else 2))
            at = Place(page, row, cell, *found.span(group))
            yield Fact((f"money, {key}", ""), Figure(size, step), found[group], at, out)


def _spreadsheet(told: Told) -> Iterator[Fact]:
    tasks = things(told, "hours of a task, likely")
    for n, row in enumerate(told.pages["xlsx Hours"]):
        whole = len(row) > 9 and row[1] == "All tasks"
        if row[0] in tasks or whole:
            for cell, key in ((7, "low"), (8, "likely"), (9, "high")):
                about = (f"hours, {key}", "") if whole else (f"hours of a task, {key}", row[0])
                yield _plain(told, "spreadsheet", about, ("xlsx Hours", n, cell), 1e-6)
    for n, row in enumerate(told.pages.get("xlsx Price", ())):
        if row[0] == "Price before tax" and float(row[1] or 0.0):
            yield _plain(told, "spreadsheet", ("money, likely", ""), ("xlsx Price", n, 1), 1e-6)
    for n, row in enumerate(told.pages.get("xlsx Days", ())):
        if row[0] in things(told, "hours of a day"):
            yield _plain(told, "spreadsheet", ("hours of a day", row[0]), ("xlsx Days", n, 3), 1e-6)
            if row[1]:
                yield fact(told, "spreadsheet", ("date of a day", row[0]), ("xlsx Days", n, 1), None, (0, 10))


def _on_days(told: Told) -> Iterator[Fact]:
    """Dates at the head of the day sheets."""
    for page in told.pages:
        found = re.fullmatch(r"sheet day-(\d+)", page)
        for n, row in enumerate(told.pages[page] if found else ()):
            for cell in range(len(row)):
                about = [(("date of a day", found[1]), None)] if found else []
                yield from caught(told, "day sheet", (page, n, cell), r"^\w+day (\d{4}-\d\d-\d\d)\.", about)
