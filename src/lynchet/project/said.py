"""Answers as people give them on the sofa ("about 3 feet 6", "1,2 m", "don't know"), as the project file takes them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from lynchet.units.measures import System

_BEFORE = re.compile(
    r"^(?:about|approx(?:imately|\.)?|roughly|around|circa|ca\.|maybe|perhaps|probably|say|some|nearly|almost|"
    r"just (?:over|under)|a (?:bit|little) (?:over|under|more than|less than)|it'?s|i think|~|\u2248)\s*"
)
_AFTER = re.compile(
    r"\s*(?:or so|-?ish|more or less|give or take|roughly|i think|high|tall|wide|long|deep|across|[?!.])$"
)
_NO_IDEA = re.compile(
    r"(?:(?:i|we) )?(?:(?:really )?(?:do not|don'?t|cannot|can'?t) (?:know|remember|recall|say|tell)|"
    r"not (?:sure|known)|unsure|unknown|no (?:idea|clue)|have no idea|idk|dunno|forgot|n/?a|\?+|-+)(?: yet| really)?"
)
_NUMBERS = {
    word: str(number)
    for number, word in enumerate(
        ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"), start=1
    )
} | {"fifteen": "15", "twenty": "20", "thirty": "30", "forty": "40", "fifty": "50"}
_FEET = r"(?:'|ft\.?|foot|feet)"
_INCHES = r"(?:\"|in\.?|inch(?:es)?)?"
_SIZE = r"\d+(?:\.\d+)?\s*(?:[a-z]+\.?|['\"])?"
_RANGE = re.compile(rf"(?:between )?{_SIZE}\s*(?:-|to|or|and)\s*{_SIZE}")
_METRIC = re.compile(r"\d\s*(?:m|cm|mm|met(?:re|er)s?|centimet(?:re|er)s?|millimet(?:re|er)s?)\b")
_US = re.compile(r"\d\s*(?:ft\b|foot\b|feet\b|in\b|inch|yd\b|yards?\b|['\"])")


def no_idea(text: str) -> bool:
    """Whether an answer says that the person does not know."""
    return _NO_IDEA.fullmatch(_plain(text).rstrip(".! ")) is not None


def size_said(text: str) -> str:
    """A length or a slope without the words round it, in a form ``units.parse`` reads; else as near to it as can be.

    "about 3 feet 6" is 3 ft 6 in, "1,2 m" is 1.2 m, "1 m 20" is 1.20 m, "two and a half feet" is 2 1/2 feet. A comma
    before three figures may part thousands: it stays, and is refused where the length is read.
    """
    clean = _plain(text)
    while (shorter := _AFTER.sub("", _BEFORE.sub("", clean))) != clean:
        clean = shorter
    clean = re.sub(r"\b(?:an?|one) ([a-z]+) and a half\b", r"1 1/2 \1", clean)
    clean = re.sub(r"\bhalf an? ", "1/2 ", clean)
    clean = re.sub(r"(?<=\d)\s*(?:percent|per cent|pct)\b", " %", clean)
    clean = re.sub(r"\b[a-z]+\b", lambda word: _NUMBERS.get(word[0], word[0]), clean)
    clean = re.sub(r"(\d) and a half\b", r"\1 1/2", clean)
    clean = re.sub(r"(?<![\d,.])(\d+),(\d{1,2})(?![\d,])", r"\1.\2", clean)
    clean = re.sub(
        rf"^(\d+)\s*{_FEET}\s*(?:and\s*)?(\d+[ -]\d+/\d+|\d+/\d+|\d+(?:\.\d+)?)\s*{_INCHES}$", r"\1 ft \2 in", clean
    )
    return re.sub(r"^(\d+)\s*m\s*(\d\d)$", r"\1.\2 m", clean)


def is_range(text: str) -> bool:
    """Whether an answer names two sizes, "3 to 4 ft"."""
    return _RANGE.fullmatch(size_said(text)) is not None


def word_said(text: str, words: Iterable[str], other_words: Mapping[str, str]) -> str | None:
    """The accepted word an answer means; None where it means none of them, or two.

    Args:
        text: as typed.
        words: accepted words.
        other_words: further words for them.
    """
    known = tuple(words)
    if "unknown" in known and no_idea(text):
        return "unknown"
    meanings = {word: word for word in known} | dict(other_words)
    said = re.findall(r"[a-z]+(?:'[a-z]+)?", _plain(text))
    if " ".join(said) in meanings:
        return meanings[" ".join(said)]
    found = {meanings[word] for word in said if word in meanings}
    return found.pop() if len(found) == 1 else None


def nearest_word(text: str, words: Iterable[str]) -> str:
    """The accepted word spelt most like an answer; empty where none is near."""
    return next(iter(get_close_matches(_plain(text), list(words), 1, 0.75)), "")


def system_said(answers: Iterable[str]) -> System | None:
    """The units people speak in: those of the first answer that carries one."""
    for answer in answers:
        clean = _plain(answer)
        if _METRIC.search(clean):
            return "metric"
        if _US.search(clean):
            return "us"
    return None


def _plain(text: str) -> str:
    for odd, plain in (
        ("\u2019", "'"),
        ("\u2032", "'"),
        ("\u201d", '"'),
        ("\u2033", '"'),
        ("''", '"'),
        ("\u2013", "-"),
    ):
        text = text.replace(odd, plain)
    return " ".join(text.lower().split())
