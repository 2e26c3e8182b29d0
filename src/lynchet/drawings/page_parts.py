"""Parts of a tall page set by measure: heads, tables, paragraphs, the key. Each gives the height below it."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.drawings.letters import LEAST_MM, PITCH_LIST, PITCH_NOTE, RESERVE, fit, printable, width, wrap
from lynchet.drawings.page import Page
from lynchet.drawings.strip import Column, KeyEntry, shared_out

Side = tuple[float, float]
"""Left and right edge of what is written, mm."""
_Row = tuple[tuple[str, ...], tuple[str, ...], float, bool]
"""Cells but the first, lines of the first, base line, whether it is a total."""
_PAD = 5.0
ROW_MM = 4.9
_MORE = 4.0
_HEAD = 3.4
_AFTER = 2.5
_SAMPLE = 20.0
_NOTE = 2.5


def section(page: Page, side: Side, y: float, title: str) -> float:
    """A rule from edge to edge and a head."""
    page.rule((side[0] - _PAD, y), (side[1] + _PAD, y), layer="title")
    page.text((side[0], y + 6.0), title.upper(), 3.2, weight="bold")
    return y + 9.5


def para(page: Page, side: Side, y: float, said: str, role: str = "ink") -> float:
    """A paragraph, wrapped to the width."""
    for line in wrap(printable(said), side[1] - side[0], _NOTE):
        page.text((side[0], y + _NOTE), line, _NOTE, role=role)
        y += _NOTE * PITCH_NOTE
    return y + 1.0


def para_height(side: Side, said: str) -> float:
    """What ``para`` takes."""
    return len(wrap(printable(said), side[1] - side[0], _NOTE)) * _NOTE * PITCH_NOTE + 1.0


def table(page: Page, place: tuple[Side, float], columns: Sequence[Column], rows: Sequence[Sequence[str]],
          strong: int | None = None) -> float:  # fmt: skip
    """A table; long texts of the first column are wrapped, those of the others shortened.

    Args:
        page: takes the items.
        place: left and right edge, and the height of its top.
        columns: heads, shares of the width, sides.
        rows: cells.
        strong: number of the row that is a total.
    """
    side, y = place
    heads = tuple(column.head for column in columns)
    _cells(page, side, columns, (heads[1:], (heads[0],), y + 2.2, False), h=2.2, role="mid")
    y += _HEAD
    page.rule((side[0], y), (side[1], y))
    for n, row in enumerate(rows):
        lines = _first(side, columns, row)
        _cells(page, side, columns, (tuple(row[1:]), lines, y + ROW_MM - 1.3, n == strong))
        y += ROW_MM + (len(lines) - 1) * _MORE
        page.rule((side[0], y), (side[1], y), pen="hair")
    return y + _AFTER


def fitted(side: Side, columns: tuple[Column, ...], rows: Sequence[Sequence[str]]) -> tuple[Column, ...]:
    """Columns of a table in which no cell but those of the first is cut, where the others have the room to spare.

    Args:
        side: left and right edge of the table.
        columns: with their shares.
        rows: cells; the first of each is wrapped at its words.
    """
    if not rows:
        return columns
    heads = [width(column.head, 2.2) for column in columns]
    first = max(width(word, _NOTE, "semibold") * RESERVE for row in rows for word in printable(row[0]).split())
    others = [max(width(printable(row[n]), LEAST_MM, "semibold") for row in rows) for n in range(1, len(columns))]
    needs = [max(head, cell) + 2.1 for head, cell in zip(heads, (first, *others), strict=True)]
    return shared_out(columns, needs, side[1] - side[0])


def table_height(side: Side, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> float:
    """What ``table`` takes."""
    more = sum(len(_first(side, columns, row)) - 1 for row in rows)
    return _HEAD + len(rows) * ROW_MM + more * _MORE + _AFTER


def _first(side: Side, columns: Sequence[Column], row: Sequence[str]) -> tuple[str, ...]:
    """The lines of the first cell."""
    return wrap(printable(row[0]), columns[0].share * (side[1] - side[0]) - 2.0, _NOTE, "semibold")


def _cells(page: Page, side: Side, columns: Sequence[Column], row: _Row, h: float = _NOTE, role: str = "ink") -> None:
    cells, first, y, strong = row
    x = side[0]
    for n, column in enumerate(columns):
        wide = column.share * (side[1] - side[0])
        bold = role == "ink" and (strong or n == 0)
        look = {"role": role, "anchor": column.align, "weight": "semibold" if bold else "regular"}
        at = x if column.align == "l" else x + wide
        for k, said in enumerate(first if n == 0 else (cells[n - 1],)):
            page.text((at, y + k * _MORE), said, h, wide - 2.0, **look)
        x += wide


def key_columns(page: Page, side: Side, y: float, entries: Sequence[KeyEntry], count: int = 2) -> float:
    """The key, its entries side by side in columns."""
    wide = (side[1] - side[0]) / count
    rows = [entries[n : n + count] for n in range(0, len(entries), count)]
    for row in rows:
        texts = [wrap(entry.words, wide - _SAMPLE - 6.0, 2.2) for entry in row]
        high = _key_row(row, texts)
        for n, (entry, words) in enumerate(zip(row, texts, strict=True)):
            x, middle = side[0] + n * wide, y + high / 2
            page.items.extend(entry.sample(x + _SAMPLE / 2, middle))
            first = middle - (len(words) - 1) * 2.2 * PITCH_LIST / 2 + 1.1
            for k, line in enumerate(words):
                page.text((x + _SAMPLE + 3.0, first + k * 2.2 * PITCH_LIST), line, 2.2, layer="key")
        y += high
    return y + 1.5


def key_height(side: Side, entries: Sequence[KeyEntry], count: int = 2) -> float:
    """What ``key_columns`` takes."""
    wide = (side[1] - side[0]) / count
    rows = [entries[n : n + count] for n in range(0, len(entries), count)]
    return 1.5 + sum(_key_row(row, [wrap(one.words, wide - _SAMPLE - 6.0, 2.2) for one in row]) for row in rows)


def _key_row(row: Sequence[KeyEntry], texts: Sequence[tuple[str, ...]]) -> float:
    lines = max(len(words) for words in texts) * 2.2 * PITCH_LIST
    return max(lines, *(entry.high_mm for entry in row)) + 0.8


def headline(page: Page, side: Side, top: float, title: str, under: str) -> float:
    """The title of a page and a line under it."""
    said, h = fit(printable(title).upper(), side[1] - side[0], 5.0, "bold")
    page.text((side[0], top + 10.0), said, h, weight="bold")
    page.text((side[0], top + 15.5), under, _NOTE, side[1] - side[0])
    return top + 18.0
