"""Signs of a page: fractions of an inch that no line break parts, keys of the file between quotes."""

from __future__ import annotations

import html
import re

_VULGAR = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}
_FRACTION = re.compile(rf"(?:(?<=\d) )?(?<![\d/])({'|'.join(_VULGAR)})(?= in\b| to \d)")
_KEY = re.compile(r"`([^`]+)`")


_HELD = re.compile(r"(?<=[\d½¼¾⅛⅜⅝⅞]) (?=(?:in|ft|mm|m|m²|m³|yd³|kg|lb|h)\b|%)|(?<=±) |(?<=ft) (?=[\d½¼¾⅛⅜⅝⅞]+ in\b)")
_BLANK = "\u00a0"


def held(text: str) -> str:
    """A number and its unit on one line, and feet with their inches."""
    return _HELD.sub(_BLANK, text)


def signed(text: str) -> str:
    """A text as it is printed: "5 1/2 in" as "5½ in", "`planting.zone`" as "“planting.zone”"."""
    return _KEY.sub(r"“\1”", _FRACTION.sub(lambda found: _VULGAR[found[1]], text))


def escape(text: str, quote: bool = True) -> str:
    """The same for a page of HTML."""
    return html.escape(held(signed(text)), quote)
