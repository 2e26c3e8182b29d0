"""Banks on a plan: where each meets the ground, and ticks down its slope."""

from __future__ import annotations

from collections.abc import Iterable
from math import dist
from typing import Any

from lynchet.core.plane import between
from lynchet.drawings.model import Item, Line, View
from lynchet.drawings.source import Planned
from lynchet.walls.bank import Bank

Point = tuple[float, float]
_TICK_MM = 2.4
"""Between ticks, on paper."""
_LEAST_MM = 0.8
"""A shorter tick is a blot."""


def bank_items(plan: Planned, view: View) -> Iterable[Item]:
    """Banks as drawn: the line where they meet the ground, long and short ticks from the top down."""
    for number, bank in enumerate(plan.walls.banks):
        name = f"bank-{bank.line}-{number}"
        yield Line(id=f"{name}-toe", layer="bank", pts=bank.toe_m, pen="fine", role="earth", key="bank",
                   of=bank.line)  # fmt: skip
        for n, ends in enumerate(_ticks(bank, view.scale / 1000.0)):
            yield Line(id=f"{name}-tick-{n:03d}", layer="bank", pts=ends, pen="hair", role="earth", of=bank.line,
                       gives_way=True)  # fmt: skip


def _ticks(bank: Bank, m_per_mm: float) -> Iterable[tuple[Point, Point]]:
    """From its top down, square to its edge: all the way, and half of it, in turn."""
    import shapely

    (ax, ay), (bx, by) = bank.edge_m[0], bank.edge_m[-1]
    long = dist((ax, ay), (bx, by))
    ux, uy = (bx - ax) / long, (by - ay) / long
    along = [(x - ax) * ux + (y - ay) * uy for x, y in (*bank.toe_m, *bank.edge_m)]
    count = max(1, int((max(along) - min(along)) / (_TICK_MM * m_per_mm)))
    reach = bank.wide_m + 1.0
    outline: Any = shapely.Polygon(bank.outline_m).buffer(0)
    for n in range(count):
        at = min(along) + (n + 0.5) / count * (max(along) - min(along))
        x, y = ax + at * ux, ay + at * uy
        cut = shapely.intersection(outline, shapely.LineString([(x, y), (x + reach * uy, y - reach * ux)]))
        if cut.geom_type != "LineString" or cut.length < _LEAST_MM * m_per_mm:
            continue
        ends = sorted((_point(end) for end in cut.coords), key=lambda end: (end[0] - x) * uy - (end[1] - y) * ux)
        top, low = (ends[0], ends[-1]) if bank.raised > 0 else (ends[-1], ends[0])
        yield top, between(top, low, 1.0 if n % 2 == 0 else 0.5)


def _point(end: Any) -> Point:
    return float(end[0]), float(end[1])
