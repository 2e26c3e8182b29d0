"""Texts of the book: every language has the same names and blanks, and letters that can be printed."""

from __future__ import annotations

import re
from string import Formatter

import pytest

from lynchet.book.texts import FIRST, LANGUAGES, Words, texts
from lynchet.drawings.axo_words import WORDS
from lynchet.drawings.letters import missing
from lynchet.plan.cautions import TEXTS

OTHERS = [lang for lang in LANGUAGES if lang != FIRST]
WHOLE = ("day.", "phone.", "picture.")
"""Parts that another language must have in full: what is read in the yard."""
_MOST_WORDS = 16


def _lines(value: object) -> list[str]:
    return [str(one) for one in value] if isinstance(value, list) else [str(value)]


def _blanks(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


@pytest.mark.parametrize("lang", OTHERS)
def test_same_names_and_blanks(lang: str) -> None:
    """No text of another language lacks its English; lists are as long, blanks the same; the yard's parts are whole."""
    english, other = texts(FIRST), texts(lang)
    cautions = {f"cautions.{name}": text for name, text in TEXTS.items()}
    known = english | cautions | {f"picture.{name}": text for name, text in WORDS.items()}
    assert set(other) <= set(known)
    assert {name for name in known if name.startswith((*WHOLE, "cautions."))} <= set(other)
    for name, value in other.items():
        assert len(_lines(value)) == len(_lines(known[name])), name
        for one, two in zip(_lines(value), _lines(known[name]), strict=True):
            assert _blanks(one) == _blanks(two), name
            assert one.strip(), name


@pytest.mark.parametrize("lang", LANGUAGES)
def test_every_letter_can_be_printed(lang: str) -> None:
    """The font has every letter in every weight the sheets use."""
    for name, value in texts(lang).items():
        for text in _lines(value):
            for weight in ("regular", "semibold", "bold"):
                assert missing(text, weight) == "", name  # type: ignore[arg-type]


@pytest.mark.parametrize("lang", LANGUAGES)
def test_steps_are_short(lang: str) -> None:
    """A sentence of a step has at most sixteen words, a blank counted as one."""
    for name, value in texts(lang).items():
        if name.startswith(("day.step.", "day.caution.", "day.hold.", "day.off.")):
            for text in _lines(value):
                for sentence in re.split(r"(?<=[.?:;]) ", re.sub(r"\{\w+\}", "X", text)):
                    assert len(sentence.split()) <= _MOST_WORDS, sentence


def test_what_a_language_lacks_comes_whole_from_english() -> None:
    """A name that Spanish has not gives the English text; one that it has gives Spanish; an unknown one is refused."""
    words = Words("es")
    assert words("order.head") == Words()("order.head")
    assert words("day.needs_head") == "Hoy hace falta"
    assert words.unreviewed and not Words().unreviewed
    with pytest.raises(KeyError):
        words("day.no such text")
    with pytest.raises(KeyError):
        Words("xx")("day.needs_head")
