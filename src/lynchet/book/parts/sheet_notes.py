"""Texts that a sheet had to cut short, in full."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.book.blocks import Block, Bullets, Heading
from lynchet.book.texts import Words
from lynchet.drawings.drawn import Drawn


def sheet_notes(sheets: Sequence[Drawn], words: Words) -> tuple[Block, ...]:
    """Each once, in the order of the sheets; nothing where nothing was cut.

    Args:
        sheets: the sheets of the book.
        words: texts.
    """
    notes = dict.fromkeys(note for one in sheets for note in one.sheet.notes)
    return (Heading(words("sheets.notes_head"), 1, flows=True), Bullets(tuple(notes))) if notes else ()
