"""Sheets of the smaller sections: as many rows to a sheet as it holds, up to three to a row where short.

Rows are counted at the scale of their kind; the paper left over is shared out, and what then has room is drawn larger.
"""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import RESERVE, width
from lynchet.drawings.model import Sheet
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import Box, Paper, paper_of
from lynchet.drawings.section import STOP_AND_CALL, both_scales
from lynchet.drawings.section_cells import LARGEST, SIDE_MM, Ready, cell, ready, title_of
from lynchet.drawings.section_places import section_places
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Content, Note, strip

ID = "sections"
_GAP_MM = 5.0
_EDGE_MM = 4.5
_MOST_BESIDE = 3
Row = tuple[Ready, ...]


def section_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Names of the sheets: "sections", "sections-2"."""
    return _names(len(_pages(plan)))


def _names(count: int) -> tuple[str, ...]:
    return tuple(ID + (f"-{n}" if n > 1 else "") for n in range(1, count + 1))


def section_sheets(plan: Planned, stamp: Stamp) -> Iterator[Sheet]:
    """The sheets of the sections at steps and houses; none where there are neither.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    pages = _pages(plan)
    for name, rows in zip(_names(len(pages)), pages, strict=True):
        yield _sheet(plan, stamp, name, rows)


def _pages(plan: Planned) -> list[list[Row]]:
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    rows: list[Row] = []
    for one in (ready(plan, place) for place in section_places(plan, figures)):
        beside = (*rows[-1], one) if rows else (one,)
        if 1 < len(beside) <= _MOST_BESIDE and all(_short(other, paper, figures, len(beside)) for other in beside):
            rows[-1] = (*rows[-1], one)
        else:
            rows.append((one,))
    _, top, _, bottom = paper.field
    room = bottom - top - 2 * _EDGE_MM
    pages: list[list[Row]] = []
    for row in rows:
        if pages and sum(_high(other, figures) + _GAP_MM for other in pages[-1]) + _high(row, figures) <= room:
            pages[-1].append(row)
        else:
            pages.append([row])
    return pages


def _high(row: Row, figures: Figures) -> float:
    return max(one.high_mm(LARGEST[figures.system]) for one in row)


def _short(one: Ready, paper: Paper, figures: Figures, beside: int) -> bool:
    """Whether so many like it stand side by side at the scale of their kind, their titles too."""
    wide = _wide(paper.field[0] + _EDGE_MM, paper.field[2] - _EDGE_MM, beside)
    words = width(title_of(one.place), 3.5, "bold") * RESERVE + 3.0
    return max(words, one.place.cut.length_m * 1000.0 / LARGEST[figures.system] + SIDE_MM) <= wide


def _wide(x0: float, x1: float, beside: int) -> float:
    return (x1 - x0 - _GAP_MM * (beside - 1)) / beside


def _sheet(plan: Planned, stamp: Stamp, name: str, rows: list[Row]) -> Sheet:
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    cells = [cell(one, box, figures) for one, box in _boxes(rows, paper, figures)]
    views = tuple(one.view for one in cells)
    letters = [one.place.letter for row in rows for one in row]
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


def _boxes(rows: list[Row], paper: Paper, figures: Figures) -> Iterator[tuple[Ready, Box]]:
    """Each section with its box: a row as high as it needs, and an equal share of what is left over."""
    left, top, right, bottom = paper.field
    x0, x1, y, y1 = left + _EDGE_MM, right - _EDGE_MM, top + _EDGE_MM, bottom - _EDGE_MM
    needs = [_high(row, figures) for row in rows]
    spare = max(0.0, y1 - y - sum(needs) - _GAP_MM * (len(rows) - 1)) / len(rows)
    for row, need in zip(rows, needs, strict=True):
        wide = _wide(x0, x1, len(row))
        for k, one in enumerate(row):
            x = x0 + k * (wide + _GAP_MM)
            yield one, (x, y, x + wide, min(y1, y + need + spare))
        y += need + spare + _GAP_MM
