"""The sheets of details: cells side by side in rows, each one real place of this plan drawn large."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from lynchet.core.same import Same
from lynchet.drawings import key
from lynchet.drawings.detail_cell import COLUMN_GAP_MM, Cell, cell
from lynchet.drawings.detail_cuts import cap_detail, drain_detail, flight_detail, house_detail, tie_detail
from lynchet.drawings.detail_faces import end_detail, step_detail
from lynchet.drawings.detail_model import Detail
from lynchet.drawings.detail_nodes import node_details
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Item, Line, Sheet, Text
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import Box, PageTooSmallError, Paper, paper_of
from lynchet.drawings.section import both_scales
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Content, Note, strip
from lynchet.plan.model import Plan
from lynchet.units.measures import System

ID = "details"
_COLUMNS, _ROWS = 3, 2
_SMALL_COLUMNS, _SMALL_ROWS = 2, 1
"""On a small paper."""
_ALONE, _SHARE = 0.66, 2.6
"""Of the only row of a sheet: its height, and what each detail has of the width beside its columns."""
_WRITE_MM = 9.0
"""From line to line to write on."""
Row = list[Detail]
BUILT_OTHERWISE = "Built otherwise? Write it here: place, what, sizes, date"
SIZES = (
    "Every detail is one place of this plan, named over it, with that place's sizes. Elsewhere lengths and levels "
    "differ: the wall sheet holds."
)
CAUTION = (
    "Gloves, mask and glasses when cutting treated timber; no offcuts on a fire. Never work alone in a trench. Lift "
    "long pieces with two, the heaviest with more."
)


def details_of(plan: Plan, figures: Figures) -> tuple[Detail, ...]:
    """Every kind of detail that this plan has, the wide ones first."""
    return _details(Same(plan), figures.system)


@lru_cache(maxsize=2)
def _details(same: Same[Plan], system: System) -> tuple[Detail, ...]:
    plan, figures = same.thing, Figures(system)
    if not plan.pieces:
        return ()
    makers = (node_details, drain_detail, tie_detail, flight_detail, step_detail, end_detail, house_detail, cap_detail)
    return tuple(detail for make in makers for detail in make(plan, figures))


def detail_sheet_names(plan: Plan) -> tuple[str, ...]:
    """Names of the sheets: "details", "details-2"."""
    count = len(_pages(details_of(plan, Figures(plan.project.units)), paper_of(plan.project)))
    return tuple(ID + (f"-{n}" if n > 1 else "") for n in range(1, count + 1))


def detail_sheets(plan: Plan, stamp: Stamp) -> Iterator[Sheet]:
    """The sheets of details; none where nothing is built.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    figures = Figures(plan.project.units)
    pages = _pages(details_of(plan, figures), paper_of(plan.project))
    for n, rows in enumerate(pages, start=1):
        yield _sheet(plan, stamp, (n, len(pages)), rows)


def _grid(paper: Paper) -> tuple[int, int]:
    return (_SMALL_COLUMNS, _SMALL_ROWS) if paper.small else (_COLUMNS, _ROWS)


def _pages(details: tuple[Detail, ...], paper: Paper) -> list[list[Row]]:
    """Rows filled from the left, each detail in the first row that still has room for it."""
    columns, deep = _grid(paper)
    rows: list[Row] = []
    for detail in (replace(one, columns=min(one.columns, columns)) for one in details):
        fits = (row for row in rows if sum(one.columns for one in row) + detail.columns <= columns)
        row = next(fits, None)
        if row is None:
            rows.append([detail])
        else:
            row.append(detail)
    return [rows[n : n + deep] for n in range(0, len(rows), deep)]


def _sheet(plan: Plan, stamp: Stamp, page: tuple[int, int], rows: list[Row]) -> Sheet:
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    n, count = page
    name = ID + (f"-{n}" if n > 1 else "")
    title = "Details" + (f", {n} of {count}" if count > 1 else "")
    cells: list[Cell] = []
    for detail, box in _boxes(rows, paper):
        found = cell(detail, box, figures)
        if paper.small and len(found.views) < len(detail.pictures):
            raise PageTooSmallError(paper, f"{detail.title.lower()} finds no room", title)
        cells.append(found)
    views = tuple(view for one in cells for view in one.views)
    scales = tuple(sorted({view.scale for view in views}))
    said = both_scales(scales[-1], scales[0], figures) if len(scales) < 3 else "as shown"
    fields = stamp.fields(name, title, said, plan)
    entries = key.entries((item for view in views for item in view.items), figures)
    parts = (Note("With care", CAUTION, warn=True), Note("Sizes", SIZES),
             *numbered(views, [view.title.split()[0].lower() for view in views]))  # fmt: skip
    marks, notes = strip(paper, fields, Content("Details", entries, parts, scales), figures)
    texts = (*(item for one in cells for item in one.texts), *_to_write(rows, paper))
    alt = "Details: " + "; ".join(detail.title for row in rows for detail in row)
    return Sheet(name, "details", paper, fields, views, (*texts, *marks), stamp.theme, cautions=(CAUTION,),
                 alt=alt, notes=notes)  # fmt: skip


def _to_write(rows: list[Row], paper: Paper) -> Iterator[Item]:
    """Lines to write on where the only row of a sheet leaves its foot free."""
    left, top, right, bottom = paper.field
    x0, x1, y1 = left + 5.0, right - 5.0, bottom - 5.0
    if len(rows) != 1 or paper.small:
        return
    high = _ALONE if _stands_alone(rows, paper) else 0.5
    y = top + 5.0 + high * (y1 - top - 5.0) + COLUMN_GAP_MM
    yield Line(id="write-rule", layer="title", pts=((left, y), (right, y)), pen="thin")
    yield Text(id="write-head", layer="labels", at=(x0, y + 6.5), text=BUILT_OTHERWISE, h=3.5, weight="bold")
    y += 6.5 + 2 * _WRITE_MM
    n = 0
    while y < y1:
        yield Line(id=f"write-{n}", layer="labels", pts=((x0, y), (x1, y)), pen="hair", role="mid")
        n, y = n + 1, y + _WRITE_MM


def _stands_alone(rows: list[Row], paper: Paper) -> bool:
    """Whether a sheet has one row of narrow details, which may be higher."""
    return len(rows) == 1 and not paper.small and all(len(one.pictures) == 1 for one in rows[0])


def _boxes(rows: list[Row], paper: Paper) -> Iterator[tuple[Detail, Box]]:
    left, top, right, bottom = paper.field
    x0, x1, y0, y1 = left + 5.0, right - 5.0, top + 5.0, bottom - 5.0
    columns, deep = _grid(paper)
    if _stands_alone(rows, paper):
        yield from _alone(rows[0], (x0, y0, x1, y0 + _ALONE * (y1 - y0)))
        return
    wide = (x1 - x0 - COLUMN_GAP_MM * (columns - 1)) / columns
    high = (y1 - y0 - COLUMN_GAP_MM * (deep - 1)) / deep
    for n, row in enumerate(rows):
        x, y = x0, y0 + n * (high + COLUMN_GAP_MM)
        for detail in row:
            w = detail.columns * wide + (detail.columns - 1) * COLUMN_GAP_MM
            yield detail, (x, y, x + w, y + high)
            x += w + COLUMN_GAP_MM


def _alone(row: Row, box: Box) -> Iterator[tuple[Detail, Box]]:
    """The only row of a sheet: higher than one of two, its narrow details wider, so that they are drawn larger."""
    shares = [_SHARE + one.columns for one in row]
    room, x = box[2] - box[0] - COLUMN_GAP_MM * (len(row) - 1), box[0]
    for detail, share in zip(row, shares, strict=True):
        wide = room * share / sum(shares)
        yield replace(detail, columns=1), (x, box[1], x + wide, box[3])
        x += wide + COLUMN_GAP_MM
