"""The plant list: every plant and every bed of a plan with more of them than stand beside its planting plan."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import Any

from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Sheet
from lynchet.drawings.page import Page
from lynchet.drawings.paper import paper_of
from lynchet.drawings.pipes_under import shallow_notes
from lynchet.drawings.planting_rows import Cells, bed_rows, letters, plant_rows
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp

ID = "planting-list"
TITLE = "Plant list"
_MOST_BESIDE = 18
"""Plants and beds together that find room beside a plan; on a small paper none do."""
_ROW_MM = 4.6
_LETTERS, _TALL_MM = 48, 297.0
"""On a line of the strip; the paper whose strip holds so many rows."""
_HEAD_MM = 30.0
_GROUP_MM = 16.0


def planting_list_names(plan: Planned) -> tuple[str, ...]:
    """Names of its pages; nothing where all stands beside the planting plan."""
    if not plan.planted.plantings:
        return ()
    rows = len(letters(plan)) + len(plan.planted.beds)
    if rows <= _most_beside(plan) and not paper_of(plan.project).small:
        return ()
    return tuple(ID + (f"-{n}" if n > 1 else "") for n in range(1, ceil(rows / _rows_of(plan)) + 1))


def _most_beside(plan: Planned) -> int:
    """Rows that find room beside the plan: fewer where the strip warns of pipes."""
    figures, height = Figures(plan.project.units), paper_of(plan.project).height_mm
    warned = sum(ceil(len(note.text) / _LETTERS) for note in shallow_notes(plan, figures))
    return _MOST_BESIDE - (warned + ceil((_TALL_MM - height) / _ROW_MM) if warned else 0)


def planting_list(plan: Planned, stamp: Stamp) -> Iterator[Sheet]:
    """Its pages.

    Args:
        plan: what is listed.
        stamp: firm, date, issue and sheet numbers.
    """
    figures, names = Figures(plan.project.units), planting_list_names(plan)
    lines = [("Plants", row) for row in plant_rows(plan, figures)] + [("Beds", row) for row in bed_rows(plan, figures)]
    most = _rows_of(plan)
    for n, name in enumerate(names):
        yield _sheet(plan, stamp, (name, n + 1, len(names)), lines[n * most : (n + 1) * most])


def _rows_of(plan: Planned) -> int:
    """Rows a page holds under the heads of both tables."""
    _, top, _, bottom = paper_of(plan.project, carried=True).field
    return int((bottom - top - _HEAD_MM - 2 * _GROUP_MM) / _ROW_MM)


def _sheet(plan: Planned, stamp: Stamp, of: tuple[str, int, int], lines: list[tuple[str, Cells]]) -> Sheet:
    name, number, count = of
    paper = paper_of(plan.project, carried=True)
    title = f"Plants, {number} of {count}" if count > 1 else TITLE
    block, notes = title_block(paper, stamp.fields(name, title, "no scale", plan))
    left, top, right, _ = paper.field
    page, y, group = Page(), top + 10.0, ""
    page.text((left + 5.0, y), title.upper(), 5.0, weight="bold")
    page.text((left + 5.0, y + 6.0), "Letters are those of the planting plan. Read its cautions before you buy.")
    y += 8.0
    for head, row in lines:
        if head != group:
            group = head
            y = _heads(page, head, (left + 5.0, y, right - 5.0))
        y += _ROW_MM
        _row(page, row, (left + 5.0, y, right - 5.0), _SHARES[head])
    alt = f"{len(lines)} lines: every plant with its letter, number and distance apart, and every bed with its light."
    return Sheet(name, "planting-list", paper, stamp.fields(name, title, "no scale", plan), (),
                 (*frame_items(paper), *block, *page.items), stamp.theme, alt=alt, notes=tuple(notes))  # fmt: skip


_SHARES = {"Plants": (0.06, 0.34, 0.36, 0.11, 0.13), "Beds": (0.12, 0.34, 0.16, 0.2, 0.18)}
_COLUMNS = {"Plants": ("", "plant", "botanical name", "number", "apart"),
            "Beds": ("bed", "light", "sun", "ground", "plants")}  # fmt: skip


def _heads(page: Page, group: str, box: tuple[float, float, float]) -> float:
    left, y, right = box
    page.text((left, y + 7.0), group, 3.5, weight="bold")
    _row(page, _COLUMNS[group], (left, y + 12.0, right), _SHARES[group], h=2.2, role="mid")
    page.rule((left, y + 13.0), (right, y + 13.0))
    return y + 13.0


def _row(page: Page, cells: Cells, box: tuple[float, float, float], shares: tuple[float, ...], **look: Any) -> None:
    """The first three cells of a plant and two of a bed from the left, figures at the right of their columns."""
    left, y, right = box
    x, plain = left, 3 if len(shares) == 5 and shares[0] < 0.1 else 2
    for n, (cell, share) in enumerate(zip(cells, shares, strict=True)):
        wide = share * (right - left)
        said: dict[str, Any] = {"h": 2.5, "weight": "bold" if n == 0 else "regular"} | look
        if cell:
            page.text((x, y) if n < plain else (x + wide, y), cell, room=wide - 1.5,
                      anchor="l" if n < plain else "r", **said)  # fmt: skip
        x += wide
    if not look:
        page.rule((left, y + 1.2), (right, y + 1.2), pen="hair")
