"""Sheets of the smaller sections: three rows to a sheet, two cells to a row where they are short enough."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Sheet
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import Box, Paper, sheet_paper
from lynchet.drawings.section import STOP_AND_CALL, both_scales
from lynchet.drawings.section_cells import LARGEST, SIDE_MM, cell
from lynchet.drawings.section_places import Place, section_places
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Content, Note, strip

ID = "sections"
_GAP_MM = 5.0
_ROWS = 3
Row = tuple[Place, ...]


def section_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Names of the sheets: "sections", "sections-2"."""
    return tuple(ID + (f"-{n}" if n > 1 else "") for n in range(1, len(_pages(plan)) + 1))


def section_sheets(plan: Planned, stamp: Stamp) -> Iterator[Sheet]:
    """The sheets of the sections at steps and houses; none where there are neither.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    for name, rows in zip(section_sheet_names(plan), _pages(plan), strict=True):
        yield _sheet(plan, stamp, name, rows)


def _pages(plan: Planned) -> list[list[Row]]:
    figures, paper = Figures(plan.project.units), sheet_paper(plan.project.units)
    rows: list[Row] = []
    for place in section_places(plan, figures):
        if rows and len(rows[-1]) == 1 and all(_short(one, paper, figures) for one in (*rows[-1], place)):
            rows[-1] = (*rows[-1], place)
        else:
            rows.append((place,))
    return [rows[n : n + _ROWS] for n in range(0, len(rows), _ROWS)]


def _short(place: Place, paper: Paper, figures: Figures) -> bool:
    """Whether it fits half the width at the scale of its kind."""
    left, _, right, _ = paper.field
    half = (right - left - 9.0 - _GAP_MM) / 2 - SIDE_MM
    return place.cut.length_m * 1000.0 / LARGEST[figures.system] <= half


def _sheet(plan: Planned, stamp: Stamp, name: str, rows: list[Row]) -> Sheet:
    figures, paper = Figures(plan.project.units), sheet_paper(plan.project.units)
    cells = [cell(plan, place, box, figures) for place, box in _boxes(rows, paper)]
    views = tuple(one.view for one in cells)
    letters = [place.letter for row in rows for place in row]
    joined = f"{letters[0]} {'and' if len(letters) == 2 else 'to'} {letters[-1]}"
    title = f"Section {letters[0]}" if len(letters) == 1 else f"Sections {joined}"
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


def _boxes(rows: list[Row], paper: Paper) -> Iterator[tuple[Place, Box]]:
    left, top, right, bottom = paper.field
    x0, x1, y0, y1 = left + 4.5, right - 4.5, top + 4.5, bottom - 4.5
    high = (y1 - y0 - _GAP_MM * (len(rows) - 1)) / len(rows)
    for n, row in enumerate(rows):
        y = y0 + n * (high + _GAP_MM)
        wide = (x1 - x0 - _GAP_MM) / 2 if len(row) > 1 else x1 - x0
        for k, place in enumerate(row):
            x = x0 + k * (wide + _GAP_MM)
            yield place, (x, y, x + wide, y + high)
