"""Sheets alone as one PDF, each on a page of its own size, true to scale."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.book.blocks import Book, Picture
from lynchet.book.pdf import to_pdf
from lynchet.drawings.drawn import Drawn


def sheets_pdf(sheets: Sequence[Drawn], title: str) -> bytes:
    """The sheets in their order.

    Args:
        sheets: one at least.
        title: of the document.
    """
    pages = tuple(
        Picture(one.name, one.svg(embed_font=False), one.sheet.fields.title, one.sheet.alt, one.sheet.paper.width_mm,
                one.sheet.paper.height_mm, page=True)
        for one in sheets
    )  # fmt: skip
    first = sheets[0].sheet.paper
    return to_pdf(Book(title, "", "en", (first.width_mm, first.height_mm), pages))
