"""The frame, the centring ticks and the title block of a sheet: who, where, what, scale, units, date, issue, number.

Fields after ISO 7200; "Checked: not yet" stands until somebody signs, so that no empty box passes for an approval.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from lynchet.drawings.letters import LEAST_MM, RESERVE, fit, printable, shorten, width, wrap
from lynchet.drawings.model import Fields, Image, Item, Line, Text
from lynchet.drawings.paper import BLOCK_MM, FOOT_MM, STRIP_MM, Box, Paper
from lynchet.project.firm import Logo

_ROWS = (9.4, 9.4, 12.4, 9.4, 9.4)
_LOGO_MM = 24.0
_STATUS_MM = 24.0
_TWO_LINES_MM = 27.5
"""Of a status in two lines."""
Cell = tuple[str, str, float]
"""Name, value and width of a field."""


@dataclass
class _Pen:
    """Collects the items of a block, and the full texts of what was cut."""

    items: list[Item] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def rule(self, a: tuple[float, float], b: tuple[float, float], pen: str = "thin") -> None:
        self.items.append(Line(id=f"rule-{len(self.items):03d}", layer="title", pts=(a, b), pen=pen))  # type: ignore[arg-type]

    def line(self, at: tuple[float, float], room: float, name: str, value: str, h: float, **look: Any) -> None:
        """A value without a name over it; cut and noted where it is too long."""
        said, height = fit(printable(value), room, h, look.get("weight", "regular"))
        if said.endswith("…"):
            self.notes.append(f"{name}: {printable(value)}")
        self.items.append(Text(id=f"line-{name}", layer="title", at=at, text=said, h=height, **look))

    def field(self, at: tuple[float, float], room: float, name: str, value: str, h: float = 2.6) -> None:
        """A field's name, small and grey, over its value; a long value shrinks, then is cut and noted."""
        x, y = at
        self.items.append(Text(id=f"name-{name}", layer="title", at=(x, y + 3.3), text=name, h=LEAST_MM, role="mid"))
        said, height = fit(printable(value) or "–", room, h, "semibold")
        if said.endswith("…"):
            self.notes.append(f"{name}: {printable(value)}")
        drop = 4.7 + height
        self.items.append(
            Text(id=f"value-{name}", layer="title", at=(x, y + drop), text=said, h=height, weight="semibold")
        )


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
    return _corner(paper, fields) if paper.wide else _foot(paper, fields)


def corner_block(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    """The whole block in the lower right corner of any sheet; and what was cut."""
    _, _, right, bottom = paper.frame
    items, notes = _corner(paper, fields)
    side = ((right - STRIP_MM, bottom - BLOCK_MM), (right - STRIP_MM, bottom))
    return [*items, Line(id="block-side", layer="title", pts=side, pen="outline")], notes


def _issue(fields: Fields) -> str:
    return f"{fields.date}, {fields.issue}" if fields.date else fields.issue


def _corner(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    _, _, right, bottom = paper.frame
    left, pen = right - STRIP_MM, _Pen()
    y = bottom - BLOCK_MM
    pen.rule((left, y), (right, y), "outline")
    _firm(pen, fields, (left + 1.6, y, right - 1.4, y + _ROWS[0]))
    y = _next(pen, left, right, y + _ROWS[0])
    own = (("Job no.", fields.job_number, 24.0),) if fields.job_number else ()
    _job(pen, fields, (left, y, y + _ROWS[1]), _shared(("Job and place", fields.job), own))
    y = _next(pen, left, right, y + _ROWS[1])
    _sheet(pen, fields, (left, y, y + _ROWS[2]))
    y = _next(pen, left, right, y + _ROWS[2])
    _cells(pen, (left, y, y + _ROWS[3]), (("Scale", fields.scale, 30.0), ("Paper", paper.name, 15.0),
                                          ("Units, zero", fields.units, 43.0)))  # fmt: skip
    y = _next(pen, left, right, y + _ROWS[3])
    number = f"{fields.number} of {fields.of}"
    _cells(pen, (left, y, y + _ROWS[4]), (
        ("Drawn", fields.drawn, 21.0), ("Checked", fields.checked, 20.0), ("Date, issue", _issue(fields), 26.0),
        ("Sheet no.", number, 21.0),
    ))  # fmt: skip
    return pen.items, pen.notes


def _job(pen: _Pen, fields: Fields, place: tuple[float, float, float], cells: tuple[Cell, ...]) -> None:
    """The job over its place, where the file says one; its number beside it."""
    if not fields.place:
        _cells(pen, place, cells)
        return
    left, top, bottom = place
    room = cells[0][2] - 3.0
    pen.line((left + 1.6, top + 4.0), room, "Job", fields.job, 2.6, weight="semibold")
    pen.line((left + 1.6, bottom - 1.4), room, "Place", fields.place, LEAST_MM)
    if len(cells) > 1:
        x = left + cells[0][2]
        pen.rule((x, top), (x, bottom))
        _cells(pen, (x, top, bottom), cells[1:])


def _sheet(pen: _Pen, fields: Fields, place: tuple[float, float, float]) -> None:
    """The sheet's title and, where there is one, its status beside it: in two lines where one would be cut."""
    rows = wrap(printable(fields.status), _TWO_LINES_MM - 3.0, LEAST_MM, "semibold")
    if width(printable(fields.status), LEAST_MM, "semibold") <= _STATUS_MM - 3.0 or len(rows) != 2:
        own = (("Status", fields.status, _STATUS_MM),) if fields.status else ()
        _cells(pen, place, _shared(("Sheet", fields.title), own), first=4.4)
        return
    left, top, bottom = place
    _cells(pen, place, (("Sheet", fields.title, STRIP_MM - _TWO_LINES_MM),), first=4.4)
    x = left + STRIP_MM - _TWO_LINES_MM
    pen.rule((x, top), (x, bottom))
    pen.items.append(
        Text(id="name-Status", layer="title", at=(x + 1.6, top + 3.3), text="Status", h=LEAST_MM, role="mid")
    )
    for n, row in enumerate(rows):
        at = (x + 1.6, bottom - 5.0 + 3.4 * n)
        pen.line(at, _TWO_LINES_MM - 2.0, f"Status, line {n + 1}", row, LEAST_MM, weight="semibold", role="warn")


def _shared(main: tuple[str, str], own: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """A field and, where there is one, a second beside it."""
    return ((*main, STRIP_MM - sum(cell[2] for cell in own)), *own)


def _firm(pen: _Pen, fields: Fields, box: Box) -> None:
    """Name over address and telephone, the logo at the right; the name of the field where nothing is said."""
    left, top, right, bottom = box
    if fields.logo is not None:
        right = _logo(pen, fields.logo, box) - 1.5
    line = " · ".join(part for part in (fields.address, fields.phone) if part)
    if not line:
        pen.field((left, top), right - left, "Firm", fields.firm or "your firm here")
        return
    pen.line((left, top + 4.2), right - left, "Firm", fields.firm, 2.8, weight="bold")
    pen.line((left, bottom - 1.4), right - left, "Address", line, LEAST_MM)


def _logo(pen: _Pen, logo: Logo, box: Box) -> float:
    """The logo in the right part of a box, its sides as they are; gives its left edge."""
    _, top, right, bottom = box
    high = bottom - top - 1.6
    wide = min(_LOGO_MM, high * logo.width / logo.height)
    high = wide * logo.height / logo.width
    middle = (top + bottom) / 2
    place = (right - wide, middle - high / 2, right, middle + high / 2)
    pen.items.append(Image(id="logo", layer="title", box=place, logo=logo, alt="the firm's sign"))
    return right - wide


def _next(pen: _Pen, left: float, right: float, y: float) -> float:
    pen.rule((left, y), (right, y))
    return y


def _cells(pen: _Pen, place: tuple[float, float, float], cells: tuple[Cell, ...], first: float = 2.6) -> None:
    x, top, bottom = place
    for n, (name, value, wide) in enumerate(cells):
        if n:
            pen.rule((x, top), (x, bottom))
        pen.field((x + 1.6, top), wide - 3.0, name, value, 2.6 if n else first)
        x += wide


def _foot(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    """One line of fields; under them, small, what else the file says."""
    left, _, right, bottom = paper.frame
    pen = _Pen()
    top = bottom - FOOT_MM
    pen.rule((left, top), (right, top), "outline")
    wide = right - left
    number = f"{fields.number} of {fields.of}"
    job, status = ", ".join(part for part in (fields.job_number, fields.place) if part), fields.status
    if width(status, LEAST_MM) * RESERVE > 0.16 * wide - 3.0:  # the wider field takes the longer of the two
        job, status = status, job
    rows = (
        ("Firm", fields.firm or "your firm here", 0.21, fields.phone),
        ("Job and place", fields.job, 0.265, job),
        ("Sheet", fields.title, 0.16, status),
        ("Scale", fields.scale, 0.115, f"drawn {fields.drawn}" if fields.drawn else ""),
        ("Date, issue", _issue(fields), 0.15, f"checked: {fields.checked}"),
        ("Sheet no.", number, 0.10, ""),
    )  # fmt: skip
    cells = tuple((name, value, share * wide) for name, value, share, _ in rows)
    _cells(pen, (left, top, bottom), cells)
    x = left
    for name, _, share, more in rows:
        if more:
            pen.line((x + 1.6, bottom - 1.4), share * wide - 3.0, f"{name}, second line", more, LEAST_MM)
        x += share * wide
    return pen.items, pen.notes


def heading(text: str, at: tuple[float, float], room: float) -> Text:
    """The sheet's title in capitals at the head of the strip, made smaller where it is long."""
    said = printable(text).upper()
    h = min(5.0, room / max(width(said, 1.0, "bold"), 0.1))
    h = max(3.0, h)
    return Text(id="heading", layer="key", at=at, text=shorten(said, room, h, "bold"), h=h, weight="bold")
