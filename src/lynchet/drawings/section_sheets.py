"""Sheets of the smaller sections: at steps, drains and houses."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Sheet
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import paper_of
from lynchet.drawings.section import STOP_AND_CALL, both_scales
from lynchet.drawings.section_cells import cell
from lynchet.drawings.section_pages import Row, letters_joined, on_a_sheet, section_pages
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Content, Note, strip

ID = "sections"


def section_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Names of the sheets: "sections", "sections-2"."""
    return _names(len(section_pages(plan)[0]))


def _names(count: int) -> tuple[str, ...]:
    return tuple(ID + (f"-{n}" if n > 1 else "") for n in range(1, count + 1))


def section_sheets(plan: Planned, stamp: Stamp) -> Iterator[Sheet]:
    """The sheets of the sections at steps and houses; none where there are neither.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    pages, _ = section_pages(plan)
    for name, rows in zip(_names(len(pages)), pages, strict=True):
        yield _sheet(plan, stamp, name, rows)


def _sheet(plan: Planned, stamp: Stamp, name: str, rows: list[Row]) -> Sheet:
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    cells = [cell(one, box, figures) for one, box in on_a_sheet(rows, paper, figures)]
    views = tuple(one.view for one in cells)
    letters = [one.place.letter for row in rows for one in row]
    title = f"Section{'s' if len(letters) > 1 else ''} {letters_joined(letters)}"
    scales = tuple(sorted({view.scale for view in views}))
    said = both_scales(scales[-1], scales[0], figures) if len(scales) < 3 else "as shown"
    fields = stamp.fields(name, title, said, plan)
    entries = key.entries((item for view in views for item in view.items), figures)
    numbers = numbered(views, [f"{letter}–{letter}" for letter in letters])
    content = Content(title, entries, (Note("Stop and call", STOP_AND_CALL, warn=True), *numbers), scales)
    marks, notes = strip(paper, fields, content, figures)
    heads = tuple(item for one in cells for item in one.heads)
    alt = "; ".join(view.title for view in views)
    return Sheet(name, "section", paper, fields, views, (*heads, *marks), stamp.theme, cautions=(STOP_AND_CALL,),
                 alt=alt, notes=notes)  # fmt: skip
