"""One detail laid out in its cell: title, scale and places, pictures side by side, steps and caution at the foot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from lynchet.drawings.detail_model import Detail, Picture, in_window
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import PITCH_LIST, fit, printable, wrap
from lynchet.drawings.model import Item, Text, View
from lynchet.drawings.paper import Box, scale_words, scales

_H = 2.5
_LINE = _H * PITCH_LIST
_GAP_MM = 4.0
_MOST_USED = 2
_MOST_COLUMNS_OVER = 2
"""Up to so many columns the words stand under the pictures, unless beside them lets them be larger."""
_BESIDE = 0.28
"""Share of the width that words beside the pictures of a narrower detail take."""
COLUMN_GAP_MM = 6.0
LARGEST = {"metric": 5, "us": 4}


@dataclass(frozen=True)
class Cell:
    """Views and texts of one detail."""

    views: tuple[View, ...]
    texts: tuple[Item, ...]


def cell(detail: Detail, box: Box, figures: Figures) -> Cell:
    """A detail in a box of the sheet, at the largest scale that holds all its pictures.

    The words stand under the pictures; beside them where that is the detail's way, or lets it be drawn larger.
    """
    used = [printable(line) for line in wrap(detail.used, box[2] - box[0], _H)][:_MOST_USED]
    top = box[1] + 9.5 + _LINE * len(used) + 1.5
    ways = [_way(detail, (box[0], top, box[2], box[3]), beside, figures) for beside in (False, True)]
    if detail.columns > _MOST_COLUMNS_OVER:
        ways = ways[1:]
    elif detail.columns < _MOST_COLUMNS_OVER:
        ways = ways[:1]
    way = min(ways, key=lambda one: (not one.fits, one.scale))
    views = tuple(_view(detail, n, way.scale, way.boxes[n]) for n in range(len(way.boxes)))
    heads = _heads(detail, box, used, scale_words(way.scale, figures.system))
    return Cell(views, (*heads, *_words(detail, way.at, way.steps, way.caution)))


@dataclass(frozen=True)
class _Way:
    """One way to set a detail: its words, and what they leave to the pictures."""

    at: tuple[float, float]
    steps: list[tuple[float, str]]
    caution: tuple[str, ...]
    scale: int
    boxes: list[tuple[Picture, Box]]
    fits: bool


def _way(detail: Detail, room: Box, beside: bool, figures: Figures) -> _Way:
    """Words beside or under the pictures of a detail.

    Args:
        detail: what is shown.
        room: of the cell under its title.
        beside: whether the words stand at the right of the pictures.
        figures: for the scale.
    """
    left, top, right, bottom = room
    whole = right - left
    share = 1 / 3 if detail.columns > _MOST_COLUMNS_OVER else _BESIDE
    column = (whole - 2 * COLUMN_GAP_MM) * share if beside else whole
    steps = [line for words in detail.words for line in _step(printable(words), column)]
    caution = wrap(printable(detail.caution), column, _H) if detail.caution else ()
    foot = bottom - (len(steps) + len(caution)) * _LINE - (1.0 if caution else 0.0)
    inner = (left, top, right - column - COLUMN_GAP_MM, bottom) if beside else (left, top, right, foot - 2.0)
    scale, boxes = _placed(detail.pictures, inner, figures)
    at = (right - column, top + 12.0) if beside else (left, foot)
    return _Way(at, steps, caution, scale, boxes, len(boxes) == len(detail.pictures) and foot >= top + 12.0)


def _step(words: str, room: float) -> list[tuple[float, str]]:
    """Lines of one step; the first is marked by 0, where its number stands."""
    lines = wrap(words, room - 4.5, _H)
    return [(0.0 if n == 0 else 4.5, line) for n, line in enumerate(lines)]


def _heads(detail: Detail, box: Box, used: list[str], scale: str) -> Iterable[Item]:
    x, name = box[0], detail.id
    title, h = fit(detail.title, box[2] - box[0], 3.5, "bold")
    yield Text(id=f"head-{name}", layer="labels", at=(x, box[1] + 4.0), text=title, h=h, weight="bold")
    yield Text(id=f"scale-{name}", layer="labels", at=(x, box[1] + 8.5), text=scale, weight="semibold")
    for n, line in enumerate(used):
        yield Text(id=f"used-{name}-{n}", layer="labels", at=(x, box[1] + 8.5 + _LINE * (n + 1)), text=line)


def _words(
    detail: Detail, at: tuple[float, float], steps: list[tuple[float, str]], caution: tuple[str, ...]
) -> Iterable[Item]:
    """Numbered steps from a point down, then the caution."""
    (x, y), name, number = at, detail.id, 0
    for n, (indent, line) in enumerate(steps):
        if not indent:
            number += 1
            yield Text(id=f"number-{name}-{number:02d}", layer="labels", at=(x, y + _H), text=str(number),
                       weight="semibold")  # fmt: skip
        yield Text(id=f"step-{name}-{n:02d}", layer="labels", at=(x + 4.5, y + _H), text=line)
        y += _LINE
    for n, line in enumerate(caution):
        yield Text(id=f"caution-{name}-{n}", layer="labels", at=(x, y + _H + 1.0), text=line, role="warn",
                   weight="semibold")  # fmt: skip
        y += _LINE


def _placed(pictures: tuple[Picture, ...], room: Box, figures: Figures) -> tuple[int, list[tuple[Picture, Box]]]:
    """The scale, and a box for each picture, beside or under each other, whichever lets them be larger."""
    allowed = [n for n in scales(figures.system) if n >= LARGEST[figures.system]]
    wide, high = room[2] - room[0], room[3] - room[1]
    for scale in allowed:
        sizes = [_size(picture, scale) for picture in pictures]
        gaps = _GAP_MM * (len(sizes) - 1)
        if sum(w for w, _ in sizes) + gaps <= wide and max(h for _, h in sizes) <= high:
            x = room[0] + (wide - sum(w for w, _ in sizes) - gaps) / 2
            boxes = []
            for picture, (w, _) in zip(pictures, sizes, strict=True):
                boxes.append((picture, (x, room[1], x + w, room[3])))
                x += w + _GAP_MM
            return scale, boxes
        if max(w for w, _ in sizes) <= wide and sum(h for _, h in sizes) + gaps <= high:
            y, boxes = room[1], []
            for picture, (_, h) in zip(pictures, sizes, strict=True):
                boxes.append((picture, (room[0], y, room[2], y + h)))
                y += h + _GAP_MM
            return scale, boxes
    return allowed[-1], [(pictures[0], room)]


def _size(picture: Picture, scale: int) -> tuple[float, float]:
    left, top, right, foot = picture.around_mm
    x0, y0, x1, y1 = picture.window
    k = 1000.0 / scale
    return (x1 - x0) * k + left + right, (y1 - y0) * k + top + foot + _LINE * len(picture.captions)


def _view(detail: Detail, n: int, scale: int, placed: tuple[Picture, Box]) -> View:
    picture, box = placed
    left, top, right, foot = picture.around_mm
    x0, y0, x1, y1 = picture.window
    k = 1000.0 / scale
    spare = (box[2] - box[0] - (x1 - x0) * k - left - right) / 2
    at = (box[0] + left + spare, box[1] + top + _LINE * len(picture.captions) + (y1 - y0) * k)
    items = [*in_window(picture.draw(scale), picture.window), *_captions(picture, n, scale, at)]
    region = (box[0], box[1] + _LINE * len(picture.captions), box[2], min(box[3], at[1] + foot))
    return View(f"{detail.id}-{n + 1}", "detail", scale, tuple(items), region, detail.title, (x0, y0), at,
                alt=detail.title)  # fmt: skip


def _captions(picture: Picture, n: int, scale: int, at: tuple[float, float]) -> Iterable[Item]:
    x0, _, x1, y1 = picture.window
    for k, line in enumerate(picture.captions):
        up = picture.around_mm[1] + _LINE * (len(picture.captions) - k) - _H
        yield Text(id=f"caption-{n}-{k}", layer="labels", at=((x0 + x1) / 2, y1), text=printable(line), anchor="c",
                   role="mid", shift_mm=(0.0, -up))  # fmt: skip
