"""The frame, the centring ticks and the title block of a sheet: who, where, what, scale, units, date, issue, number.

Fields after ISO 7200; "Checked: not yet" stands until somebody signs, so that no empty box passes for an approval.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from lynchet.drawings.block_cells import HIGH, SIDE_MM, Cell, Filled, Part, filled
from lynchet.drawings.block_foot import LIMITS, FootWords, foot_cells
from lynchet.drawings.letters import ASCENT, LEAST_MM, printable, shorten, width
from lynchet.drawings.model import Fields, Image, Item, Line, Text
from lynchet.drawings.paper import BLOCK_MM, STRIP_MM, Box, Paper
from lynchet.project.firm import Logo

_LOGO_MM = 24.0
_LOGO_ROW_MM = 7.8
_MORE_MM = 25.0
"""How much higher the block may grow for long words."""
_TITLE_MM = 10.6
Edges = tuple[float, float, float]
"""Left, top and foot of a row of cells."""


@dataclass
class _Pen:
    """Collects the items of a block, and the full texts of what was cut."""

    items: list[Item] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def rule(self, a: tuple[float, float], b: tuple[float, float], pen: str = "thin") -> None:
        self.items.append(Line(id=f"rule-{len(self.items):03d}", layer="title", pts=(a, b), pen=pen))  # type: ignore[arg-type]

    def cells(self, place: Edges, cells: Sequence[Filled]) -> None:
        """Cells side by side, the lines of each spread over the height."""
        x, top, foot = place
        for n, cell in enumerate(cells):
            if n:
                self.rule((x, top), (x, foot))
            air = min(1.2, max(0.0, foot - top - sum(row.h for row in cell.rows) * HIGH) / (len(cell.rows) + 1))
            y = top + air
            for row in cell.rows:
                at = (x + SIDE_MM, y + row.h * ASCENT)
                self.items.append(Text(id=f"text-{len(self.items):03d}", layer="title", at=at, text=row.text, h=row.h,
                                       weight=row.weight, role=row.role))  # fmt: skip
                y += row.h * HIGH + air
            self.notes += cell.cut
            x += cell.wide_mm


def frame_items(paper: Paper) -> list[Item]:
    """The frame in cut pen and its centring ticks."""
    left, top, right, bottom = paper.frame
    ring = ((left, top), (right, top), (right, bottom), (left, bottom))
    w, h = paper.width_mm, paper.height_mm
    mx, my = w / 2, h / 2
    ticks = (((mx, 0), (mx, 5)), ((mx, h), (mx, h - 5)), ((0, my), (5, my)), ((w, my), (w - 5, my)))
    lines: list[Item] = [Line(id="frame", layer="title", pts=ring, closed=True, pen="cut")]
    lines += [Line(id=f"tick-{n}", layer="title", pts=tick, pen="visible") for n, tick in enumerate(ticks)]
    if paper.wide:
        x = right - STRIP_MM
        lines.append(Line(id="strip", layer="title", pts=((x, top), (x, bottom)), pen="visible"))
    return lines


def title_block(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    """The block at the foot of the strip (wide sheets), or the line at the foot (tall ones); and what was cut."""
    return _corner(paper, fields, block_mm(paper, fields)) if paper.wide else _foot(paper, fields)


def corner_block(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    """The whole block in the lower right corner of any sheet; and what was cut."""
    _, _, right, bottom = paper.frame
    items, notes = _corner(paper, fields, paper.block_mm)
    side = ((right - STRIP_MM, bottom - paper.block_mm), (right - STRIP_MM, bottom))
    return [*items, Line(id="block-side", layer="title", pts=side, pen="outline")], notes


def block_mm(paper: Paper, fields: Fields) -> float:
    """Height of the block of a wide sheet: higher than usual where words are long and the paper has room."""
    if paper.small:
        return BLOCK_MM
    return min(BLOCK_MM + _MORE_MM, max(BLOCK_MM, sum(_heights(_rows(paper.name, fields, LIMITS[0])))))


def _issue(fields: Fields) -> str:
    return f"{fields.date}, {fields.issue}" if fields.date else fields.issue


@lru_cache(maxsize=256)
def _rows(paper: str, fields: Fields, limit: int) -> tuple[tuple[Filled, ...], ...]:
    """The rows of the block from above: firm, job, sheet, scale, who and when."""
    logo, wide = fields.logo, STRIP_MM
    firm = Cell("", _firm(fields), wide - (_logo_mm(logo) + 1.5 if logo else 0.0))
    if not firm.parts:
        firm = replace(firm, head="Firm", parts=(Part("Firm", fields.firm or "your firm here"),))
    own = 24.0 if fields.job_number else 0.0
    job = (Part("Job", fields.job), *((Part("Place", fields.place, LEAST_MM, "regular", 2),) if fields.place else ()))
    jobs = [Cell("" if fields.place else "Job and place", job, wide - own)]
    jobs += [Cell("Job no.", (Part("Job no.", fields.job_number),), own)] if own else []
    stop = "warn" if "DO NOT" in fields.status or "STOP" in fields.status else "ink"
    state = 27.5 if fields.status else 0.0
    sheet = [Cell("Sheet", (Part("Sheet", fields.title, 4.4, most=2),), wide - state)]
    sheet += [Cell("Status", (Part("Status", fields.status, role=stop),), state)] if state else []
    scale = (("Scale", fields.scale, 30.0), ("Paper", paper, 15.0), ("Units, zero", fields.units, 43.0))
    made = (("Drawn", fields.drawn, 21.0), ("Checked", fields.checked, 20.0), ("Date, issue", _issue(fields), 26.0),
            ("Sheet no.", f"{fields.number} of {fields.of}", 21.0))  # fmt: skip
    plain = [[Cell(name, (Part(name, said),), broad) for name, said, broad in row] for row in (scale, made)]
    return tuple(filled(row, limit) for row in ([firm], jobs, sheet, *plain))


def _heights(rows: Sequence[Sequence[Filled]]) -> list[float]:
    """What each row needs; that of the sheet's title never less than for large letters."""
    return [max(_TITLE_MM if n == 2 else 0.0, *(cell.high_mm for cell in row)) for n, row in enumerate(rows)]


def _corner(paper: Paper, fields: Fields, high: float) -> tuple[list[Item], list[str]]:
    _, _, right, bottom = paper.frame
    left, y, pen = right - STRIP_MM, bottom - high, _Pen()
    tried = (_rows(paper.name, fields, limit) for limit in LIMITS)
    rows = next((rows for rows in tried if sum(_heights(rows)) <= high + 1e-6), _rows(paper.name, fields, LIMITS[-1]))
    heights = _heights(rows)
    air = (high - sum(heights)) / len(rows)
    pen.rule((left, y), (right, y), "outline")
    for n, (row, need) in enumerate(zip(rows, heights, strict=True)):
        if n:
            pen.rule((left, y), (right, y))
        pen.cells((left, y, y + need + air), row)
        if n == 0 and fields.logo is not None:
            _logo(pen, fields.logo, (left, y, right - 1.4, y + need + air))
        y += need + air
    return pen.items, pen.notes


def _firm(fields: Fields) -> tuple[Part, ...]:
    """Name over address and telephone; nothing where the file says neither of these."""
    line = " · ".join(part for part in (fields.address, fields.phone) if part)
    if not line:
        return ()
    name = (Part("Firm", fields.firm, 2.8, "bold", 2),) if fields.firm else ()
    return (*name, Part("Address", line, LEAST_MM, "regular"))


def _logo_mm(logo: Logo) -> float:
    """Its width in a row of the usual height."""
    return min(_LOGO_MM, _LOGO_ROW_MM * logo.width / logo.height)


def _logo(pen: _Pen, logo: Logo, box: Box) -> None:
    """The logo in the right part of a box, its sides as they are."""
    _, top, right, bottom = box
    wide = _logo_mm(logo)
    high = wide * logo.height / logo.width
    middle = (top + bottom) / 2
    place = (right - wide, middle - high / 2, right, middle + high / 2)
    pen.items.append(Image(id="logo", layer="title", box=place, logo=logo, alt="the firm's sign"))


def _foot(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    """One line of cells: firm, job, sheet, scale, date, number; under each, small, what else the file says."""
    left, _, right, bottom = paper.frame
    pen, top = _Pen(), bottom - paper.foot_mm
    pen.rule((left, top), (right, top), "outline")
    words = FootWords(
        fields.firm, fields.phone, fields.job, ", ".join(part for part in (fields.job_number, fields.place) if part),
        fields.title, fields.status, fields.scale, fields.drawn, _issue(fields), fields.checked,
        f"{fields.number} of {fields.of}",
    )  # fmt: skip
    tried = (foot_cells(right - left, words, limit) for limit in LIMITS)
    fits = (cells for cells in tried if max(cell.high_mm for cell in cells) <= paper.foot_mm + 1e-6)
    pen.cells((left, top, bottom), next(fits, foot_cells(right - left, words, LIMITS[-1])))
    return pen.items, pen.notes


def heading(text: str, at: tuple[float, float], room: float) -> Text:
    """The sheet's title in capitals at the head of the strip, made smaller where it is long."""
    said = printable(text).upper()
    if width(said, 3.0, "bold") > room:
        said = re.sub(r" \(\d+ OF \d+\)", "", said)  # the block in the corner has it in full
    h = min(5.0, room / max(width(said, 1.0, "bold"), 0.1))
    h = max(3.0, h)
    return Text(id="heading", layer="key", at=at, text=_whole_words(said, room, h), h=h, weight="bold")


def _whole_words(said: str, room: float, h: float) -> str:
    """The text, or as many of its whole words as have room."""
    if width(said, h, "bold") <= room:
        return said
    words = said.split(" ")
    for count in range(len(words) - 1, 0, -1):
        tried = " ".join(words[:count]).rstrip(",") + " …"
        if width(tried, h, "bold") <= room:
            return tried
    return shorten(said, room, h, "bold")
