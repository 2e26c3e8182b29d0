"""The language of each text on a mixed page: what stayed English is marked so, what is Spanish is not."""

from __future__ import annotations

import re

import pytest

from lynchet.book.blocks import Book, Caution, Heading, Para
from lynchet.book.phone import to_phone
from lynchet.book.spoken import marked
from lynchet.book.texts import LANGUAGES, texts


def _flat(value: object) -> list[str]:
    return [one for part in value for one in _flat(part)] if isinstance(value, list | tuple) else [str(value)]


def _said(lang: str) -> list[str]:
    """Texts of a catalogue that are sentences: four words at least beside their blanks."""
    found = [text for value in texts(lang).values() for text in _flat(value)]
    return [text for text in found if len(re.findall(r"[^\W\d_]{2,}", re.sub(r"\{[^{}]*\}", " ", text))) >= 4]


def test_sentences_are_told_apart_by_their_words() -> None:
    """No Spanish sentence of the catalogues is called English; of the English ones hardly any is missed."""
    assert [text for text in _said("es") if marked(text, "es")] == []
    english = _said("en")
    missed = [text for text in english if not marked(text, "es")]
    assert len(missed) <= len(english) / 50, missed


@pytest.mark.parametrize("lang", LANGUAGES)
def test_a_mixed_page_marks_its_english_parts(lang: str) -> None:
    """The page is of the book's language; a part that stayed English says so; an English book marks nothing."""
    blocks = (Heading("Drawings", 1, "drawings"), Para("The next pages are drawn true to scale on their own paper."),
              Caution("Nadie trabaja solo en una zanja."))  # fmt: skip
    page = to_phone(Book("Garden", "Plan", lang, (210.0, 297.0), blocks))
    assert f'<html lang="{lang}">' in page
    english = re.findall(r'<(?:p|div)[^>]* lang="en"[^>]*>([^<]*)<', page)
    assert ("The next pages are drawn true to scale on their own paper." in english) == (lang == "es")
    assert "Nadie trabaja solo en una zanja." not in english
