"""Notes of a wall sheet for which the strip has no room: beside and under the pictures, where the paper is free."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

from lynchet.drawings.letters import PITCH_LIST, printable, wrap
from lynchet.drawings.model import Fields, Item, Text
from lynchet.drawings.paper import Box, Paper
from lynchet.drawings.strip import Content, Note, Rows, spare_of

_WIDE_MM, _OFF_MM = 80.0, 5.0
"""Of a note, and from what it stands beside."""
_H, _HEAD_H = 2.5, 2.8
_HEAD_MM, _END_MM = 5.5, 1.0

Moved = tuple[Content, tuple[Item, ...]]


def beside_pictures(paper: Paper, fields: Fields, content: Content, taken: Sequence[Box]) -> Moved:
    """The strip's content without the notes that stand in free parts of the field, and these.

    Notes go there only where the strip is too short for all, and no more than it takes: the last first, which are the
    same on every sheet. Where that is not enough, the others first, so that what is this wall's own is never cut
    before what is the same everywhere.

    Args:
        paper: of the sheet.
        fields: of its title block.
        content: of its strip.
        taken: paper on which something is drawn, mm.
    """
    notes = [part for part in content.parts if isinstance(part, Note) and not part.warn]
    for some in (notes[::-1], notes):
        found = _moved(paper, fields, content, (taken, some))
        if spare_of(paper, fields, found[0]) >= 0.0:
            break
    return found


def _moved(paper: Paper, fields: Fields, content: Content, given: tuple[Sequence[Box], Sequence[Note]]) -> Moved:
    """As many of the notes as it takes, in their order, each where it finds room."""
    taken, items = list(given[0]), list[Item]()
    left, top, right, bottom = paper.field
    field = left + 6.5, top + 4.5, right - 4.5, bottom - 4.5
    for note in given[1]:
        if spare_of(paper, fields, content) >= 0.0:
            break
        box = _room(_high(note), field, taken)
        if box is not None:
            taken.append(box)
            items += _items(note, box)
            content = replace(content, parts=_without(content.parts, note))
    return content, tuple(items)


def _without(parts: tuple[Note | Rows, ...], note: Note) -> tuple[Note | Rows, ...]:
    return tuple(part for part in parts if part is not note)


def _room(high: float, field: Box, taken: Sequence[Box]) -> Box | None:
    """The lowest free place of a height, of several the one furthest left; None where there is none."""
    left, top, right, bottom = field
    xs = {left, right - _WIDE_MM, *(box[2] + _OFF_MM for box in taken)}
    ys = {top, *(box[3] + _OFF_MM for box in taken)}
    for y, x in sorted(product(ys, xs), key=lambda at: (-at[0], at[1])):
        box = x, y, x + _WIDE_MM, y + high
        inside = x >= left and y >= top and box[2] <= right + 1e-6 and box[3] <= bottom
        if inside and not any(_meets(box, one) for one in taken):
            return box
    return None


def _meets(one: Box, other: Box) -> bool:
    """Whether two boxes come nearer to each other than notes may."""
    near = _OFF_MM - 1e-6
    return (one[0] < other[2] + near and other[0] < one[2] + near
            and one[1] < other[3] + near and other[1] < one[3] + near)  # fmt: skip


def _lines(note: Note) -> tuple[str, ...]:
    return wrap(printable(note.text), _WIDE_MM, _H)


def _high(note: Note) -> float:
    return _HEAD_MM + len(_lines(note)) * _H * PITCH_LIST + _END_MM


def _items(note: Note, box: Box) -> Iterator[Item]:
    x, y = box[:2]
    name = f"note-{note.title.lower().replace(' ', '-')}"
    yield Text(id=f"{name}-head", layer="labels", at=(x, y + 3.0), text=note.title.upper(), h=_HEAD_H, weight="bold")
    for n, line in enumerate(_lines(note)):
        yield Text(id=f"{name}-{n:02d}", layer="labels", at=(x, y + _HEAD_MM + (n + 0.6) * _H * PITCH_LIST), text=line)
