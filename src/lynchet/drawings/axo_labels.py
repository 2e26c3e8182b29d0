"""Labels of a picture in one column, their leaders straight and never crossing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.drawings.letters import PITCH_LIST, wrap
from lynchet.drawings.model import Item, Leader, Text, View
from lynchet.drawings.paper import Box

Point = tuple[float, float]
MOST = 8
_GAP_MM = 2.0


@dataclass(frozen=True)
class Wish:
    """A label: what it says, where it points (picture metres), and how much it matters."""

    id: str
    words: str
    at: Point
    strong: bool = True


def column(wishes: Sequence[Wish], view: View, box: Box, h: float = 2.5) -> list[Item]:
    """Texts one under the other in a box, each with its leader.

    Args:
        wishes: at most ``MOST`` are taken, the first ones.
        view: whose scale turns picture metres to paper.
        box: the column, paper mm.
        h: height of the letters.
    """
    left, top, right, bottom = box
    chosen = list(wishes[:MOST])
    lines = {wish.id: wrap(wish.words, right - left, h) for wish in chosen}
    pitch = h * PITCH_LIST
    high = [pitch * len(lines[wish.id]) + _GAP_MM for wish in chosen]
    while chosen and sum(high) > bottom - top:
        chosen.pop()
        high.pop()
    targets = {wish.id: view.paper(wish.at) for wish in chosen}
    order = _uncrossed(sorted(chosen, key=lambda wish: (targets[wish.id][1], wish.id)), targets, lines, (box, pitch))
    items: list[Item] = []
    for wish, y in zip(order, _heights(order, targets, lines, (box, pitch)), strict=True):
        first = y + h
        for n, line in enumerate(lines[wish.id]):
            items.append(Text(id=f"label-{wish.id}-{n}", layer="labels", at=on_picture(view, (left, first + n * pitch)),
                              text=line, h=h, weight="semibold" if wish.strong else "regular", halo=""))  # fmt: skip
        start = (left - 1.0, y + h / 2.0)
        items.append(Leader(id=f"leader-{wish.id}", layer="labels", start=on_picture(view, start), end=wish.at,
                            role="ink" if wish.strong else "mid"))  # fmt: skip
    return items


def on_picture(view: View, paper: Point) -> Point:
    """A paper point in picture metres."""
    k = view.scale / 1000.0
    return view.at_world[0] + (paper[0] - view.at_paper[0]) * k, view.at_world[1] - (paper[1] - view.at_paper[1]) * k


def _heights(order: Sequence[Wish], targets: dict[str, Point], lines: dict[str, tuple[str, ...]],
             room: tuple[Box, float]) -> list[float]:  # fmt: skip
    """Tops of the texts: as near the height of their targets as may be, none over another, none beyond the box."""
    (_, top, _, bottom), pitch = room
    high = [pitch * len(lines[wish.id]) + _GAP_MM for wish in order]
    found: list[float] = []
    at = top
    for wish, size in zip(order, high, strict=True):
        at = max(at, targets[wish.id][1] - size / 2.0)
        found.append(at)
        at += size
    limit = bottom
    for n in range(len(order) - 1, -1, -1):
        found[n] = min(found[n], limit - high[n])
        limit = found[n]
    return found


def _uncrossed(order: list[Wish], targets: dict[str, Point], lines: dict[str, tuple[str, ...]],
               room: tuple[Box, float]) -> list[Wish]:  # fmt: skip
    """An order in which no two leaders cross: as long as two do, their texts change places.

    Changing the places of two whose leaders cross makes the sum of the lengths shorter, so this comes to an end; texts
    of unlike height could keep it going, hence the bound.
    """
    left = room[0][0]
    for _ in range(4 * MOST * MOST):
        tops = _heights(order, targets, lines, room)
        ends = [((left - 1.0, y + 1.25), targets[wish.id]) for wish, y in zip(order, tops, strict=True)]
        pair = next(((i, j) for i in range(len(ends)) for j in range(i) if _cross(ends[i], ends[j])), None)
        if pair is None:
            break
        i, j = pair
        order[i], order[j] = order[j], order[i]
    return order


def _cross(one: tuple[Point, Point], two: tuple[Point, Point]) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (a, b), (c, d) = one, two
    return side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0
