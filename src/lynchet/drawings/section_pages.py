"""The smaller sections laid out: as many rows to a sheet as it holds, up to three to a row where short.

Rows are counted at the scale of their kind; the paper left over is shared out, and what then has room is drawn larger.
A last sheet of a few sections is spared where they stand side by side under the section along the fall.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import LEAST_MM, RESERVE, width
from lynchet.drawings.paper import Box, Paper, paper_of
from lynchet.drawings.section_along import free_under
from lynchet.drawings.section_cells import LARGEST, Ready, ready, title_of
from lynchet.drawings.section_places import section_places
from lynchet.drawings.source import Planned

_GAP_MM = 5.0
_EDGE_MM = 4.5
_MOST_BESIDE = 3
Row = tuple[Ready, ...]


def section_pages(plan: Planned) -> tuple[list[list[Row]], Row]:
    """Rows by sheet, and the sections that stand on the sheet of the section along the fall."""
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    rows: list[Row] = []
    for one in (ready(plan, place) for place in section_places(plan, figures)):
        beside = (*rows[-1], one) if rows else (one,)
        scale = LARGEST[figures.system]
        if 1 < len(beside) <= _MOST_BESIDE and all(_short(other, paper, scale, len(beside)) for other in beside):
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
    last = tuple(one for row in pages[-1] for one in row) if pages else ()
    stopped = any("all" in finding.withholds for finding in plan.findings)
    box = free_under(plan) if 0 < len(last) <= _MOST_BESIDE and not stopped else None
    if box is None or not _under(last, box, paper, figures):
        return pages, ()
    return pages[:-1], last


def _under(row: Row, box: Box, paper: Paper, figures: Figures) -> bool:
    """Whether sections find room side by side in a box at the scale of their kind."""
    scale = LARGEST[figures.system]
    return all(_short(one, paper, scale, len(row)) and one.high_mm(scale) <= box[3] - box[1] for one in row)


def _high(row: Row, figures: Figures) -> float:
    return max(one.high_mm(LARGEST[figures.system]) for one in row)


def _short(one: Ready, paper: Paper, scale: int, beside: int) -> bool:
    """Whether so many like it stand side by side at a scale, their titles too."""
    wide = _wide(paper.field[0] + _EDGE_MM, paper.field[2] - _EDGE_MM, beside)
    words = width(title_of(one.place), 3.5, "bold") * RESERVE + 3.0
    # Not cut: in the least letters there may be.
    words = max(words, *(width(line, LEAST_MM) + 4.0 for line in one.place.under), 0.0)
    return max(words, one.place.cut.length_m * 1000.0 / scale + one.side_mm) <= wide


def _wide(x0: float, x1: float, beside: int) -> float:
    return (x1 - x0 - _GAP_MM * (beside - 1)) / beside


def in_a_row(row: Row, box: Box) -> Iterator[tuple[Ready, Box]]:
    """Sections side by side in a box."""
    wide = _wide(box[0], box[2], len(row))
    for k, one in enumerate(row):
        x = box[0] + k * (wide + _GAP_MM)
        yield one, (x, box[1], x + wide, box[3])


def on_a_sheet(rows: Sequence[Row], paper: Paper, figures: Figures) -> Iterator[tuple[Ready, Box]]:
    """Each section with its box: a row as high as it needs, and an equal share of what is left over."""
    left, top, right, bottom = paper.field
    x0, x1, y, y1 = left + _EDGE_MM, right - _EDGE_MM, top + _EDGE_MM, bottom - _EDGE_MM
    needs = [_high(row, figures) for row in rows]
    spare = max(0.0, y1 - y - sum(needs) - _GAP_MM * (len(rows) - 1)) / len(rows)
    for row, need in zip(rows, needs, strict=True):
        yield from in_a_row(row, (x0, y, x1, min(y1, y + need + spare)))
        y += need + spare + _GAP_MM


def letters_joined(letters: Sequence[str]) -> str:
    """ "B", "B and C", "B to G"."""
    if len(letters) < 2:
        return "".join(letters)
    return f"{letters[0]} {'and' if len(letters) == 2 else 'to'} {letters[-1]}"
