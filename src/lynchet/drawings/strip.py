"""The strip at the right of a wide sheet: title, key, cautions, tables, notes, scale bars; stacked by measure.

Nothing is placed by guess: every part knows its height. Where the strip is short, the key closes up first, then long
tables are cut with a line that says how many rows are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from lynchet.drawings.block import block_mm, frame_items, heading, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import LEAST_MM, PITCH_LIST, fit, printable, width, wrap
from lynchet.drawings.model import Fields, Item, Line, ScaleBar, Text
from lynchet.drawings.paper import STRIP_MM, PageTooSmallError, Paper, scale_words

_PAD = 5.0
_WIDE = STRIP_MM - 2 * _PAD
_SAMPLE = 20.0
_NOTE_H = 2.5
_ROW = 4.3
_POINTER = 12.0
"""Room for the head of a table and the line that says where it stands, mm."""
_LEAST_ROW = 3.7
_TIGHT_ROW = 4.15


@dataclass(frozen=True)
class KeyEntry:
    """One line of the key: a sample drawn round a point, and its words."""

    name: str
    words: str
    sample: Callable[[float, float], list[Item]]
    high_mm: float = 4.3
    """Room the sample needs."""


@dataclass(frozen=True)
class Column:
    """A column of a table: head, width as a share of the strip, and which side its cells stand on."""

    head: str
    share: float
    align: str = "r"


@dataclass(frozen=True)
class Rows:
    """A table of the strip."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    more: str = "see the wall sheets"
    """Where rows stand that find no room here."""
    in_full: bool = False
    """Whether they stand on no other sheet, so that a note has to hold them."""

    @property
    def told(self) -> str:
        """All of it in words: "OUT1: inv +0.08, drop 50 mm"."""
        heads = [column.head for column in self.columns]
        rows = (", ".join(f"{h} {c}" for h, c in zip(heads, row, strict=True) if c) for row in self.rows)
        return "; ".join(rows)


@dataclass(frozen=True)
class Note:
    """A head and a paragraph; ``warn`` prints the head in the colour of warnings."""

    title: str
    text: str
    warn: bool = False


@dataclass(frozen=True)
class Content:
    """What a strip holds, in order: key, notes, tables; bars stand at its foot."""

    title: str
    key: tuple[KeyEntry, ...] = ()
    parts: tuple[Note | Rows, ...] = ()
    bars: tuple[int, ...] = ()


@dataclass
class _Stack:
    """Items from the top down."""

    left: float
    y: float
    foot: float
    note_h: float = _NOTE_H
    """Letters of key and notes; the least there may be on a small paper."""
    items: list[Item] = field(default_factory=list)
    dropped: list[str] = field(default_factory=list)

    @property
    def room(self) -> float:
        """What is left, mm."""
        return self.foot - self.y

    @property
    def line(self) -> float:
        """From line to line of a note, mm."""
        return self.note_h * PITCH_LIST

    def text(self, x: float, y: float, said: str, h: float = _NOTE_H, **more: object) -> None:
        self.items.append(Text(id=f"key-{len(self.items):03d}", layer="key", at=(x, y), text=said, h=h, **more))  # type: ignore[arg-type]

    def rule(self, y: float, pen: str = "thin", across: bool = False) -> None:
        left = self.left - _PAD if across else self.left
        right = self.left + _WIDE + (_PAD if across else 0.0)
        self.items.append(
            Line(id=f"rule-{len(self.items):03d}", layer="title", pts=((left, y), (right, y)), pen=pen)  # type: ignore[arg-type]
        )


def strip(paper: Paper, fields: Fields, content: Content, figures: Figures) -> tuple[tuple[Item, ...], tuple[str, ...]]:
    """Frame, title block and strip of a wide sheet, and the full texts of what had to be cut.

    Args:
        paper: a wide paper.
        fields: for the title block.
        content: what the strip holds.
        figures: for the scale bars.

    Raises:
        PageTooSmallError: key and caution find no room on a small paper.
    """
    stack = _stack(paper, fields)
    stack.items.append(heading(content.title, (stack.left, stack.y), _WIDE))
    stack.y += 4.0
    _bars(stack, content, figures)
    parts_room = sum(_height(stack, part) for part in content.parts)
    _key(stack, content.key, stack.room - parts_room)
    warned = sum(_height(stack, part) for part in content.parts if isinstance(part, Note) and part.warn)
    if content.key and paper.small and stack.room < warned:  # on a large one what finds no room stands in the notes
        raise PageTooSmallError(paper, "its key and its caution do not find room beside the drawing", fields.title)
    for n, part in enumerate(content.parts):
        later = sum(_least(stack, other) for other in content.parts[n + 1 :])
        _note(stack, part) if isinstance(part, Note) else _table(stack, part, later)
    block, notes = title_block(paper, fields)
    return (*frame_items(paper), *block, *stack.items), (*notes, *stack.dropped)


def spare_of(paper: Paper, fields: Fields, content: Content) -> float:
    """Height of the strip that stays free when key, notes and tables are set as close as they may be, mm."""
    stack = _stack(paper, fields)
    stack.y += 4.0
    key = 8.5 + sum(high + _least_air(stack) for high in _entry_heights(stack, content.key)) if content.key else 0.0
    return stack.room - 9.0 * len(content.bars) - key - sum(_least(stack, part) for part in content.parts)


def _stack(paper: Paper, fields: Fields) -> _Stack:
    _, top, right, bottom = paper.frame
    foot = bottom - block_mm(paper, fields) - 3.0
    return _Stack(right - STRIP_MM + _PAD, top + 9.0, foot, LEAST_MM if paper.small else _NOTE_H)


def _bars(stack: _Stack, content: Content, figures: Figures) -> None:
    for scale in reversed(content.bars):
        stack.foot -= 9.0
        y = stack.foot + 7.0
        stack.text(stack.left, y, scale_words(scale, figures.system), weight="semibold")
        step, steps, figs = figures.bar(scale)
        bar = ScaleBar(id=f"bar-{scale}", layer="key", at=(stack.left + 30.0, y - 1.4), scale=scale, step_m=step,
                       steps=steps, figures=figs)  # fmt: skip
        stack.items.append(bar)


def _wrapped(stack: _Stack, entry: KeyEntry) -> tuple[str, ...]:
    return wrap(entry.words, _WIDE - _SAMPLE - 3.0, stack.note_h)


def _key(stack: _Stack, entries: tuple[KeyEntry, ...], room: float) -> None:
    if not entries:
        return
    stack.text(stack.left, stack.y + 4.5, "KEY", 3.5, weight="bold")
    stack.y += 7.0
    texts = [_wrapped(stack, entry) for entry in entries]
    least = _entry_heights(stack, entries)
    air = max(_least_air(stack), min(3.6, (room - 9.0 - sum(least)) / len(entries)))
    for entry, words, need in zip(entries, texts, least, strict=True):
        high = need + air
        middle = stack.y + high / 2
        stack.items.extend(entry.sample(stack.left + _SAMPLE / 2, middle))
        first = middle - (len(words) - 1) * stack.line / 2 + stack.note_h / 2
        for n, line in enumerate(words):
            stack.text(stack.left + _SAMPLE + 3.0, first + n * stack.line, line, stack.note_h)
        stack.y += high
    stack.y += 1.5


def _least_air(stack: _Stack) -> float:
    return 0.1 if stack.note_h < _NOTE_H else 0.4


def _entry_heights(stack: _Stack, entries: tuple[KeyEntry, ...]) -> list[float]:
    """The room each entry of a key needs closed up: its words or its sample."""
    less = 0.6 if stack.note_h < _NOTE_H else 0.0
    return [max(len(_wrapped(stack, entry)) * stack.line, entry.high_mm - less) for entry in entries]


def _height(stack: _Stack, part: Note | Rows) -> float:
    if isinstance(part, Note):
        return 8.0 + len(wrap(part.text, _WIDE, stack.note_h)) * stack.line + 2.0
    return 13.0 + len(part.rows) * _ROW


def _least(stack: _Stack, part: Note | Rows) -> float:
    """The room a part takes closed up."""
    if isinstance(part, Note):
        return 9.0 + len(wrap(printable(part.text), _WIDE, stack.note_h)) * stack.line
    return 14.0 + len(part.rows) * _LEAST_ROW


def _note(stack: _Stack, part: Note) -> None:
    lines = wrap(printable(part.text), _WIDE, stack.note_h)
    fitting = max(0, int((stack.room - 9.0) / stack.line + 1e-6))
    if fitting < min(2, len(lines)):
        stack.dropped.append(f"{part.title}: {part.text}")
        return
    if fitting < len(lines):
        stack.dropped.append(f"{part.title}: {part.text}")
        lines = (*_whole(lines[: fitting - 1], stack.note_h), "… in full at the end of the book")
    stack.rule(stack.y, across=True)
    title, h = fit(part.title.upper(), _WIDE, 3.5, "bold")
    stack.text(stack.left, stack.y + 5.5, title, h, weight="bold", role="warn" if part.warn else "ink")
    for n, line in enumerate(lines):
        stack.text(stack.left, stack.y + 10.0 + n * stack.line, line, stack.note_h)
    stack.y += 10.0 + len(lines) * stack.line - 1.0


def _whole(lines: Sequence[str], h: float) -> tuple[str, ...]:
    """The first lines of a note without a sentence that breaks off; as they are where not one is whole."""
    said, end, _ = " ".join(lines).rpartition(". ")
    whole = " ".join(lines).endswith(".") or not said
    return tuple(lines) if whole else wrap(said + end.rstrip(), _WIDE, h)


def _table(stack: _Stack, part: Rows, later: float) -> None:
    """A table, closed up where the parts after it need the room."""
    rows = part.rows
    pitch = max(_LEAST_ROW, min(_ROW, (stack.room - later - 14.0) / max(1, len(rows))))
    fitting = max(0, int((stack.room - 11.5) / pitch + 1e-9))
    if not rows:
        return
    if part.in_full and fitting < len(rows):
        stack.dropped.append(f"{part.title}: {part.told}")
    if fitting < min(2, len(rows)):
        stack.dropped += [] if part.in_full else [f"{part.title}: {part.more}"]
        if stack.room >= later + _POINTER:  # the reader of this sheet is told where to look
            _table_head(stack, part)
            stack.text(stack.left, stack.y + 10.0, f"… all {len(rows)}: {part.more}", 2.2, role="mid")
            stack.y += 13.0
        return
    more = 0
    if len(rows) > fitting:
        more = len(rows) - fitting + 1
        rows = rows[: fitting - 1]
    _table_head(stack, part)
    y, heads = stack.y + 10.0, tuple(column.head for column in part.columns)
    columns = _widened(part.columns, (heads, *rows))
    _row(stack, columns, heads, (y, 2.2, "mid"))
    stack.rule(y + 1.0)
    for row in rows:
        y += pitch
        _row(stack, columns, row, (y, 2.6 if pitch > _TIGHT_ROW else LEAST_MM, "ink"))
        stack.rule(y + (0.95 if pitch > _TIGHT_ROW else 0.8), "hair")
    if more:
        y += pitch
        stack.text(stack.left, y, f"… and {more} more: {part.more}", 2.2, role="mid")
    stack.y = y + 4.0


def _table_head(stack: _Stack, part: Rows) -> None:
    stack.rule(stack.y, across=True)
    title, h = fit(part.title.upper(), _WIDE, 3.5, "bold")
    stack.text(stack.left, stack.y + 5.5, title, h, weight="bold")


def _widened(columns: tuple[Column, ...], rows: Sequence[tuple[str, ...]]) -> tuple[Column, ...]:
    """Columns in which no cell is cut, where the others have the room to spare: in the least letters there may be."""
    needs = [max(width(printable(row[n]), LEAST_MM, "regular" if n else "bold") for row in rows) + 1.1
             for n in range(len(columns))]  # fmt: skip
    return shared_out(columns, needs, _WIDE)


def shared_out(columns: tuple[Column, ...], needs: Sequence[float], wide_mm: float) -> tuple[Column, ...]:
    """Columns that take from each other what they need, as far as others have it to spare.

    Args:
        columns: with their shares.
        needs: least width of each, mm.
        wide_mm: of the whole table.
    """
    has = [column.share * wide_mm for column in columns]
    short = sum(max(0.0, need - wide) for need, wide in zip(needs, has, strict=True))
    spare = sum(max(0.0, wide - need) for need, wide in zip(needs, has, strict=True))
    if short <= 0 or spare <= 0:
        return columns
    given, taken = min(1.0, spare / short), min(1.0, short / spare)
    wides = [wide + (need - wide) * (given if need > wide else taken) for need, wide in zip(needs, has, strict=True)]
    return tuple(replace(column, share=wide / wide_mm) for column, wide in zip(columns, wides, strict=True))


def _row(stack: _Stack, columns: tuple[Column, ...], cells: tuple[str, ...], look: tuple[float, float, str]) -> None:
    y, h, role = look
    x = stack.left
    for n, (column, cell) in enumerate(zip(columns, cells, strict=True)):
        wide = column.share * _WIDE
        weight = "bold" if n == 0 and role == "ink" else "regular"
        said, size = fit(printable(cell), wide - 1.0, h, "bold" if weight == "bold" else "regular")
        at = x if column.align == "l" else x + wide
        x += wide
        if not said:
            continue
        stack.text(at, y, said, size, weight=weight, role=role, anchor=column.align)


def text_width(text: str, h: float = _NOTE_H) -> float:
    """Width of a note's line, mm."""
    return width(text, h)
