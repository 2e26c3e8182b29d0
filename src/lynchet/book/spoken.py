"""Which language a text of a mixed page is in, so that a reader of screens speaks it rightly (WCAG 2.1, 3.1.2).

A text missing in the second language stays English as a whole. The two catalogues of texts tell them apart: words that
only one of them uses are counted.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from lynchet.book.texts import FIRST, texts

_WORD = re.compile(r"[^\W\d_]{2,}")
_BLANK = re.compile(r"\{[^{}]*\}")


def marked(text: str, lang: str) -> str:
    """The attribute of an element of a book in this language: ' lang="en"' where its text stayed English; else empty.

    Args:
        text: what the element says.
        lang: language of the book.
    """
    if lang == FIRST:
        return ""
    own, first = _vocabularies(lang)
    found = [word.lower() for word in _WORD.findall(text)]
    return f' lang="{FIRST}"' if sum(word in first for word in found) > sum(word in own for word in found) else ""


@lru_cache(maxsize=4)
def _vocabularies(lang: str) -> tuple[frozenset[str], frozenset[str]]:
    """Words of this language alone, and of English alone, as the catalogues use them."""
    own, first = (frozenset(_words(texts(one).values())) for one in (lang, FIRST))
    return own - first, first - own


def _words(values: Any) -> set[str]:
    found: set[str] = set()
    for value in values:
        if isinstance(value, list | tuple):
            found |= _words(value)
        else:
            found |= {word.lower() for word in _WORD.findall(_BLANK.sub(" ", str(value)))}
    return found
