"""A detail: one real place of the plan drawn large, with the few words that tell the hand what to do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Literal

from lynchet.drawings.clipping import clip_area, clip_line
from lynchet.drawings.model import Area, Dim, Item, Label, Line, Symbol, Text

Point = tuple[float, float]
Window = tuple[float, float, float, float]
"""Left, low, right, high; metres of the picture."""
_DIM_M, _BESIDE_M = 0.03, 0.4


@dataclass(frozen=True)
class Picture:
    """One picture of a detail."""

    kind: Literal["plan", "section", "elevation"]
    window: Window
    draw: Callable[[int], Iterable[Item]]
    """What it shows, for a scale 1 : n."""
    captions: tuple[str, ...] = ()
    around_mm: tuple[float, float, float, float] = (16.0, 10.0, 6.0, 12.0)
    """Room for sizes and names at the left, top, right and foot."""


@dataclass(frozen=True)
class Detail:
    """One cell of the sheet."""

    id: str
    title: str
    used: str
    """Which place is shown, and where else it is used."""
    pictures: tuple[Picture, ...]
    words: tuple[str, ...]
    """Steps, a verb first."""
    caution: str = ""
    columns: int = 1
    """Columns of the sheet it takes; of three the last holds the words, else they stand at the foot."""


BESIDE = "floor-level"
"""Begins the names of labels that stand at a dimension beside the picture."""


def in_window(items: Iterable[Item], window: Window) -> Iterator[Item]:
    """Areas and lines cut at a window, their cut edges left open; signs and labels outside it left out.

    Dimensions whose ends are all in the picture are kept; they stand beside it, and so does what names their ends.
    """
    for item in items:
        if isinstance(item, Area):
            yield from _cut_area(item, window)
        elif isinstance(item, Line):
            pts = (*item.pts, item.pts[0]) if item.closed else item.pts
            parts = clip_line(pts, window)
            if parts == (pts,):
                yield item
            else:
                for n, part in enumerate(parts):
                    yield replace(item, id=f"{item.id}~{n}", pts=part, closed=False)
        elif isinstance(item, Symbol | Text):
            if _within(item.at, window):
                yield item
        elif isinstance(item, Label):
            beside = _BESIDE_M if item.id.startswith(BESIDE) else 0.0
            if any(_within(point, window, beside) for point in item.anchor):
                yield item
        elif not isinstance(item, Dim) or all(_within(point, window, _DIM_M) for point in item.pts):
            yield item


def _within(point: Point, window: Window, margin_m: float = 0.0) -> bool:
    left, low, right, high = window
    inside = left - margin_m <= point[0] <= right + margin_m
    return inside and low - margin_m <= point[1] <= high + margin_m


def _cut_area(item: Area, window: Window) -> Iterator[Item]:
    pieces = clip_area(item.rings, window)
    if pieces == (item.rings,):
        yield item
        return
    for n, rings in enumerate(pieces):
        yield replace(item, id=f"{item.id}~{n}", rings=rings, pen=None)
    if item.pen:
        edges = [part for ring in item.rings for part in clip_line((*ring, ring[0]), window)]
        for n, part in enumerate(edges):
            yield Line(id=f"{item.id}~e{n}", layer=item.layer, z=item.z, of=item.of, pts=part, pen=item.pen,
                       dash=item.dash, role=item.role)  # fmt: skip


def bounds(points: Iterable[Point], margin: float = 0.0) -> Window:
    """The upright box round points."""
    left = low = inf
    right = high = -inf
    for x, y in points:
        left, low, right, high = min(left, x), min(low, y), max(right, x), max(high, y)
    return left - margin, low - margin, right + margin, high + margin


def also(shown: str, others: Sequence[str], most: int = 5) -> str:
    """ "Shown at A0. Also at A1, W2." with a count where there are many."""
    rest = [one for one in dict.fromkeys(others) if one != shown]
    if not rest:
        return f"Used at {shown} alone."
    said = ", ".join(rest[:most]) + (f" and {len(rest) - most} more" if len(rest) > most else "")
    return f"Shown at {shown}. Used at {said} too."
