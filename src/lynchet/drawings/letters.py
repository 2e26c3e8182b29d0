"""Letters: widths from the font's own advances, wrapping, shortening, and which characters the font has.

Heights are cap heights in paper mm (as ISO 3098 counts them); the em of Source Sans Pro is the height over 0.66.
Kerning and ligatures are off in every writer, so that the sum of advances is the exact width.
"""

from __future__ import annotations

from bisect import bisect_right
from functools import lru_cache
from importlib.resources import files
from itertools import accumulate
from typing import Any

from lynchet.drawings.roles import Weight

FAMILY = "Source Sans Pro"
CAP_PER_EM = 0.66
LEAST_MM = 2.2
ASCENT = 1.1
"""Highest stroke above the base line over the cap height (b, d, brackets)."""
DESCENT = 0.32
RESERVE = 1.02
_ROUNDING = 1e-10
"""Over the em: a line that just fits does so whatever its letters were added to."""
PITCH_LIST = 1.55
PITCH_NOTE = 1.75
FILES: dict[str, str] = {
    "regular": "SourceSansPro-Regular.ttf",
    "semibold": "SourceSansPro-Semibold.ttf",
    "bold": "SourceSansPro-Bold.ttf",
}


@lru_cache(maxsize=3)
def font(weight: Weight = "regular") -> Any:
    """The open font file of a weight."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    return TTFont(str(files("font_source_sans_pro").joinpath("files", FILES[weight])), lazy=True)


@lru_cache(maxsize=3)
def advances(weight: Weight = "regular") -> dict[int, float]:
    """Advance width over the em, by character code, of every character the font has."""
    opened = font(weight)
    widths, per_em = opened["hmtx"].metrics, opened["head"].unitsPerEm
    return {code: widths[glyph][0] / per_em for code, glyph in opened.getBestCmap().items()}


def width(text: str, height_mm: float, weight: Weight = "regular") -> float:
    """Width in mm of one line.

    Raises:
        KeyError: a character that the font lacks.
    """
    return _ems(text, weight) * height_mm / CAP_PER_EM


@lru_cache(maxsize=1 << 14)
def _ems(text: str, weight: Weight) -> float:
    """Width over the em; the same words are measured again and again while places are tried for them."""
    return sum(map(advances(weight).__getitem__, map(ord, text)))


def missing(text: str, weight: Weight = "regular") -> str:
    """The characters of a text that the font lacks, each once."""
    table = advances(weight)
    return "".join(dict.fromkeys(letter for letter in text if ord(letter) not in table))


@lru_cache(maxsize=1 << 12)
def printable(text: str) -> str:
    """A user's text with every character that the font lacks replaced, so that nothing prints as a blank."""
    table = advances("regular")
    plain = " ".join(text.split())
    return "".join(letter if ord(letter) in table else "?" for letter in plain)


def shorten(text: str, width_mm: float, height_mm: float, weight: Weight = "regular") -> str:
    """The text, or its longest beginning with an ellipsis that fits the width."""
    if width(text, height_mm, weight) <= width_mm:
        return text
    for end in range(len(text) - 1, 0, -1):
        tried = text[:end].rstrip() + "…"
        if width(tried, height_mm, weight) <= width_mm:
            return tried
    return "…"


def fit(text: str, width_mm: float, height_mm: float, weight: Weight = "regular") -> tuple[str, float]:
    """Text and height so that it fits: first smaller (never under 2.2 mm), then cut with an ellipsis."""
    needed = width(text, 1.0, weight)
    height = height_mm if needed * height_mm <= width_mm else max(LEAST_MM, min(height_mm, width_mm / needed))
    return shorten(text, width_mm + 1e-6, height, weight), height


def wrap(text: str, width_mm: float, height_mm: float, weight: Weight = "regular") -> tuple[str, ...]:
    """Lines no wider than the width less 2 %; a single word that is longer is broken."""
    return _wrapped(text, width_mm, height_mm, weight)


@lru_cache(maxsize=1 << 12)
def _wrapped(text: str, width_mm: float, height_mm: float, weight: Weight) -> tuple[str, ...]:
    room = width_mm * CAP_PER_EM / (RESERVE * height_mm)
    return tuple(line for words in text.split("\n") for line in _broken(words, room, weight))


def _broken(words: str, room: float, weight: Weight) -> list[str]:
    """Lines of a paragraph, each as long as can be; room over the em."""
    sums, many = _sums(words, weight), len(words)
    lines: list[str] = []
    start = 0
    while True:
        while words.startswith(" ", start):  # what parts words is no part of a line that begins
            start += 1
        fits = bisect_right(sums, sums[start] + room + _ROUNDING) - 1
        if fits >= many:
            return [*lines, words[start:]]
        end = words.rfind(" ", start, fits + 1)
        if end > 0:
            lines.append(words[start:end])
            start = end + 1
            continue
        end = max(fits, start + 1)  # of a word that is longer than a line, one letter at least
        lines.append(words[start:end])
        start = end
        if start == many:
            return lines


@lru_cache(maxsize=1 << 11)
def _sums(words: str, weight: Weight) -> list[float]:
    """Width over the em of the first letters, from none on: of a day the same words are set in many sizes."""
    return [0.0, *accumulate(map(advances(weight).__getitem__, map(ord, words)))]
