"""The printed book: Typst source and sheets compiled to one PDF with bookmarks, page numbers and embedded fonts."""

from __future__ import annotations

import tempfile
from importlib.resources import files
from pathlib import Path

from lynchet.book.blocks import Book
from lynchet.book.typst_source import typst_source
from lynchet.core.errors import Fault, InputError


def to_pdf(book: Book) -> bytes:
    """The book as PDF.

    Raises:
        InputError: the firm's logo is a picture that cannot be drawn: its head is sound, the rest is not.
        typst.TypstError: a fault in the source; none is known for any text.
    """
    import typst

    with tempfile.TemporaryDirectory(prefix="lynchet-book-") as folder:
        for picture in book.pictures:
            (Path(folder) / f"{picture.name}.svg").write_text(picture.svg, encoding="utf-8")
        main = Path(folder) / "book.typ"
        main.write_text(typst_source(book), encoding="utf-8")
        fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[_font_folder()])
        try:
            return bytes(typst.compile(str(main), root=folder, font_paths=fonts))
        except typst.TypstError as error:
            if "process image" not in str(error):
                raise
            raise InputError(Fault("a broken picture", "a sound PNG, JPEG or SVG picture", "firm.logo")) from None


def _font_folder() -> str:
    return str(files("font_source_sans_pro").joinpath("files"))
