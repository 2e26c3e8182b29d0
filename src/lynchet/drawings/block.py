"""The frame, the centring ticks and the title block of a sheet: who, where, what, scale, units, date, issue, number.

Fields after ISO 7200; "Checked: not yet" stands until somebody signs, so that no empty box passes for an approval.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lynchet.drawings.letters import LEAST_MM, fit, printable, shorten, width
from lynchet.drawings.model import Fields, Item, Line, Text
from lynchet.drawings.paper import BLOCK_MM, STRIP_MM, Paper

_ROWS = (9.4, 9.4, 12.4, 9.4, 9.4)


@dataclass
class _Pen:
    """Collects the items of a block, and the full texts of what was cut."""

    items: list[Item] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def rule(self, a: tuple[float, float], b: tuple[float, float], pen: str = "thin") -> None:
        self.items.append(Line(id=f"rule-{len(self.items):03d}", layer="title", pts=(a, b), pen=pen))  # type: ignore[arg-type]

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


def _corner(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    _, _, right, bottom = paper.frame
    left, pen = right - STRIP_MM, _Pen()
    y, room = bottom - BLOCK_MM, STRIP_MM - 3.0
    pen.rule((left, y), (right, y), "outline")
    pen.field((left + 1.6, y), room, "Firm", fields.firm or "your firm here")
    y = _next(pen, left, right, y + _ROWS[0])
    pen.field((left + 1.6, y), room, "Job and place", fields.job)
    y = _next(pen, left, right, y + _ROWS[1])
    pen.field((left + 1.6, y), room, "Sheet", fields.title, 4.4)
    y = _next(pen, left, right, y + _ROWS[2])
    _cells(pen, (left, y, y + _ROWS[3]), (("Scale", fields.scale, 30.0), ("Paper", paper.name, 15.0),
                                          ("Units, zero", fields.units, 43.0)))  # fmt: skip
    y = _next(pen, left, right, y + _ROWS[3])
    issue = f"{fields.date}, {fields.issue}" if fields.date else fields.issue
    number = f"{fields.number} of {fields.of}"
    _cells(pen, (left, y, y + _ROWS[4]), (("Drawn", fields.drawn, 21.0), ("Checked", fields.checked, 20.0),
                                          ("Date, issue", issue, 26.0), ("Sheet no.", number, 21.0)))  # fmt: skip
    return pen.items, pen.notes


def _next(pen: _Pen, left: float, right: float, y: float) -> float:
    pen.rule((left, y), (right, y))
    return y


def _cells(pen: _Pen, place: tuple[float, float, float], cells: tuple[tuple[str, str, float], ...]) -> None:
    x, top, bottom = place
    for n, (name, value, wide) in enumerate(cells):
        if n:
            pen.rule((x, top), (x, bottom))
        pen.field((x + 1.6, top), wide - 3.0, name, value)
        x += wide


def _foot(paper: Paper, fields: Fields) -> tuple[list[Item], list[str]]:
    left, _, right, bottom = paper.frame
    pen = _Pen()
    pen.rule((left, bottom - 12.0), (right, bottom - 12.0), "outline")
    wide = right - left
    cells = (
        ("Firm", fields.firm or "your firm here", 0.19 * wide), ("Job and place", fields.job, 0.26 * wide),
        ("Sheet", fields.title, 0.18 * wide), ("Scale", fields.scale, 0.12 * wide),
        ("Date, issue", f"{fields.date}, {fields.issue}" if fields.date else fields.issue, 0.15 * wide),
        ("Sheet no.", f"{fields.number} of {fields.of}", 0.10 * wide),
    )  # fmt: skip
    _cells(pen, (left, bottom - 12.0, bottom), cells)
    return pen.items, pen.notes


def heading(text: str, at: tuple[float, float], room: float) -> Text:
    """The sheet's title in capitals at the head of the strip, made smaller where it is long."""
    said = printable(text).upper()
    h = min(5.0, room / max(width(said, 1.0, "bold"), 0.1))
    h = max(3.0, h)
    return Text(id="heading", layer="key", at=at, text=shorten(said, room, h, "bold"), h=h, weight="bold")
