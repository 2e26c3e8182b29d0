"""Cells of a title block: long words take more lines, then narrower neighbours; cut only beyond the most lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from lynchet.drawings.letters import ASCENT, DESCENT, LEAST_MM, printable, shorten, width, wrap
from lynchet.drawings.roles import Role, Weight

HIGH = ASCENT + DESCENT
"""Height of a line over its capitals."""
SIDE_MM = 1.6
_ROOM_MM = 3.0
_PAD_MM = 1.2
"""Free over the first line and under the last, together."""
_STEP_MM = 0.5


@dataclass(frozen=True)
class Part:
    """One thing a cell says."""

    name: str
    """Of the field, for the note that holds what was cut."""
    text: str
    h: float = 2.6
    """Of its capitals where it stands in one line; else 2.2 mm."""
    weight: Weight = "semibold"
    most: int = 3
    """Lines it may take."""
    role: Role = "ink"


@dataclass(frozen=True)
class Cell:
    """A cell: the name of its field over what it says."""

    head: str
    """Empty: no name is printed."""
    parts: tuple[Part, ...]
    wide_mm: float
    """Its width where nothing is too long."""


@dataclass(frozen=True)
class Row:
    """One line of a cell as it is printed."""

    text: str
    h: float
    weight: Weight = "regular"
    role: Role = "ink"


@dataclass(frozen=True)
class Filled:
    """A cell with its width, its lines and what was cut of it."""

    wide_mm: float
    rows: tuple[Row, ...]
    cut: tuple[str, ...]

    @property
    def high_mm(self) -> float:
        """The least it needs."""
        return _PAD_MM + sum(row.h for row in self.rows) * HIGH


def filled(cells: Sequence[Cell], limit: int) -> tuple[Filled, ...]:
    """Cells side by side, none of whose parts takes more lines than a limit.

    Args:
        cells: with the widths they have where nothing is too long; these add up to the whole.
        limit: most lines of one part, whatever the part itself may take.
    """
    return tuple(_fill(cell, wide, limit) for cell, wide in zip(cells, _widths(tuple(cells), limit), strict=True))


def _widths(cells: tuple[Cell, ...], limit: int) -> tuple[float, ...]:
    """As wished where all stand in single lines; else so that the fewest lines hold all, the rest shared out."""
    wished, total = tuple(cell.wide_mm for cell in cells), sum(cell.wide_mm for cell in cells)
    for lines in range(1, limit + 1):
        if all(_narrowest(cell, lines) <= cell.wide_mm for cell in cells):
            return wished
        least = [_narrowest(cell, lines) for cell in cells]
        if sum(least) <= total:
            more = [max(0.0, wish - need) for wish, need in zip(wished, least, strict=True)]
            share = (total - sum(least)) / (sum(more) or 1.0)
            return tuple(need + share * one for need, one in zip(least, more, strict=True))
    return wished


@lru_cache(maxsize=1 << 10)
def _narrowest(cell: Cell, lines: int) -> float:
    """The least width in which each part stands in so many lines, or in as many as it may take."""
    wide = _ROOM_MM + max(width(cell.head, LEAST_MM), 4.0)
    for part in cell.parts:
        text, most = printable(part.text), min(lines, part.most)
        one = width(text, LEAST_MM, part.weight) + _ROOM_MM
        low = max(wide, (one - _ROOM_MM) / most * 0.9 + _ROOM_MM)
        while most > 1 and low < one and not _holds(text, low - _ROOM_MM, part.weight, most):
            low += _STEP_MM
        wide = max(wide, one if most == 1 else min(low, one))
    return wide


def _holds(text: str, room: float, weight: Weight, most: int) -> bool:
    """Whether a text stands in so many lines, no word of it broken."""
    return (
        len(wrap(text, room, LEAST_MM, weight)) <= most
        and max(width(word, LEAST_MM, weight) for word in text.split(" ")) <= room * 0.98
    )


def _fill(cell: Cell, wide: float, limit: int) -> Filled:
    room, rows, cut = wide - _ROOM_MM + 1e-6, [Row(cell.head, LEAST_MM, role="mid")] if cell.head else [], []
    for part in cell.parts:
        text = printable(part.text)
        needed = width(text, 1.0, part.weight)
        if needed * LEAST_MM <= room:
            h = part.h if needed * part.h <= room else max(LEAST_MM, room / needed)
            rows.append(Row(text or "–", h, part.weight, part.role))
            continue
        lines, most = list(wrap(text, room, LEAST_MM, part.weight)), min(part.most, limit)
        if len(lines) > most:
            cut.append(f"{part.name}: {text}")
            lines[most - 1 :] = [shorten(" ".join(lines[most - 1 :]), room, LEAST_MM, part.weight)]
        rows += [Row(line, LEAST_MM, part.weight, part.role) for line in lines]
    return Filled(wide, tuple(rows), tuple(cut))
