"""What is said in words: the word on the plan, findings, cautions; compared letter by letter."""

from __future__ import annotations

import re
from collections.abc import Iterator

from told.facts import Fact, Told, fact
from told.find import things

_WORD = ("word on the plan", "")


def words(told: Told) -> Iterator[Fact]:
    """Everywhere they stand in full."""
    yield from _word(told)
    yield from _first_told(told)
    for what in ("caution", "finding"):
        for n in things(told, what):
            yield from _text(told, (what, n), " ".join(str(told.known[what, n]).split()))


def _first_told(told: Told) -> Iterator[Fact]:
    """What the book tells first must be a finding of the plan, whole."""
    before = ""
    for n, row in enumerate(told.pages["book"]):
        if row[0] == "The word on this plan" and len(row) == 2:
            if before in _ALL:
                known = {str(told.known["finding", key]): key for key in things(told, "finding")}
                key = next((key for text, key in known.items() if _even(text)[:25] == _even(row[1])[:25]), "unknown")
                text = next((text for text, of in known.items() if of == key), "")
                said = text if _even(text) == _even(row[1]) else row[1]
                at = fact(told, "book", ("finding", key), ("book", n, 1)).at
                yield Fact(("finding", key), said, row[1], at, "book, first page")
            before = row[1]


def _word(told: Told) -> Iterator[Fact]:
    for page, out in (("sheet first-look", "first look"), ("book", "book")):
        for n, row in enumerate(told.pages[page]):
            for cell, text in enumerate(row):
                if page == "book" and (row[0] != "First look" or cell == 0):
                    continue
                if text.lower() in _ALL and (page == "book" or text == text.upper()):
                    yield Fact(_WORD, text.lower(), text, fact(told, out, _WORD, (page, n, cell)).at, out)
    found = re.search(r": ([A-Z][A-Z ]*[A-Za-z]) +(?:go|care|ask|STOP) ", told.pages["screen"][0][0])
    if found is not None:
        place = fact(told, "screen", _WORD, ("screen", 0, 0), None, found.span(1)).at
        yield Fact(_WORD, found[1].lower(), found[1], place, "screen")


_ALL = ("go", "go with care", "ask first", "stop")


def _text(told: Told, about: tuple[str, str], text: str) -> Iterator[Fact]:
    screen = told.pages["screen"][0][0]
    if (at := screen.find(text)) >= 0:
        yield fact(told, "screen", about, ("screen", 0, 0), None, (at, at + len(text)))
    for n, row in enumerate(told.pages["book"]):
        if _even(row[-1]).startswith(_even(text)):
            found = fact(told, "book", about, ("book", n, len(row) - 1))
            yield Fact(about, text, row[-1], found.at, "book")
            return


def _even(text: str) -> str:
    """Fractions as one sign or as three letters are the same words, and so are names of keys, marked or not."""
    signs = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}
    for plain, sign in signs.items():
        text = text.replace(f" {plain}", sign).replace(plain, sign)
    return re.sub(" (?=[⅛¼⅜½⅝¾⅞])|[`“”]", "", text)
