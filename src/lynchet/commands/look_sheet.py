"""``lynchet look --sheet``: the first look as one page, SVG or PDF."""

from __future__ import annotations

from pathlib import Path

from lynchet.core.errors import Fault, InputError, NoRoomError
from lynchet.plan.cures import Tried
from lynchet.plan.model import Plan

ENDINGS = (".pdf", ".svg")


def known_ending(file: Path) -> None:
    """Asked before anything is planned.

    Raises:
        InputError: a file that is neither PDF nor SVG.
    """
    if file.suffix.lower() not in ENDINGS:
        raise InputError(Fault(f'"{file}" found', "a file name that ends in .pdf or .svg", "--sheet"))


def write_sheet(plan: Plan, file: Path, cure: Tried | None = None) -> None:
    """Write the page, with what would leave no stop where that is known.

    Raises:
        NoRoomError: the file cannot be written; what stood there stands as it was.
    """
    from lynchet.book.sheet_pdf import sheets_pdf
    from lynchet.drawings.drawn import drawn
    from lynchet.drawings.first_look_sheet import first_look_sheet
    from lynchet.drawings.stamp import stamp_of
    from lynchet.project.edit import replace_file

    helps = "" if cure is None else f"{cure.cure.text} ({cure.cure.effect}): lynchet plan FILE --with {cure.cure.name}"
    page = drawn(first_look_sheet(plan, stamp_of(plan), helps))
    as_pdf = file.suffix.lower() == ".pdf"
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NoRoomError(f"{file.parent} cannot be made: {error.strerror}") from None
    replace_file(file, sheets_pdf([page], page.sheet.fields.title) if as_pdf else page.svg())
