"""Banks on a plan: where each meets the ground, and ticks down its slope."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import dist
from typing import Any

from lynchet.core.plane import between
from lynchet.drawings.model import Item, Line, View
from lynchet.drawings.source import Planned
from lynchet.walls.bank import Bank
from lynchet.walls.bank_end import BankEnd
from lynchet.walls.model import Walls

Point = tuple[float, float]
_TICK_MM = 2.4
"""Between ticks, on paper."""
_LEAST_MM = 0.8
"""A shorter tick is a blot."""
_OFF_TOP = 0.3
_RIM_M = 0.002


def bank_items(plan: Planned, view: View) -> Iterable[Item]:
    """Banks as drawn: the line where they meet the ground, long and short ticks from the top down."""
    m_per_mm = view.scale / 1000.0
    for name, points in toe_lines(plan.walls):
        yield Line(id=f"bank-{name}-toe", layer="bank", pts=points, pen="fine", role="earth", key="bank",
                   of=name.partition("-")[0])  # fmt: skip
    ends = plan.walls.bank_ends
    over = _over(ends)
    for number, bank in enumerate(plan.walls.banks):
        ticks = [part for ends_m in _ticks(bank, m_per_mm) for part in _clear(ends_m, over, _LEAST_MM * m_per_mm)]
        yield from _drawn(ticks, f"bank-{bank.line}-{number}", bank.line)
    for number, end in enumerate(ends):
        later = _over(ends[number + 1 :])
        ticks = [part for ends_m in _round_ticks(end, m_per_mm)
                 for part in _clear(ends_m, later, _LEAST_MM * m_per_mm)]  # fmt: skip
        yield from _drawn(ticks, f"bank-{end.line}-end-{number}", end.line)


def _drawn(ticks: Iterable[tuple[Point, ...]], name: str, line: str) -> Iterable[Item]:
    for n, ends in enumerate(ticks):
        yield Line(id=f"{name}-tick-{n:03d}", layer="bank", pts=ends, pen="hair", role="earth", of=line,
                   gives_way=True)  # fmt: skip


def toe_lines(walls: Walls) -> Iterable[tuple[str, tuple[Point, ...]]]:
    """Names and points of the lines where banks, and their ends round fronts, come down, as far as no later end lies
    over them."""
    for number, bank in enumerate(walls.shaped):
        later = walls.bank_ends[max(0, number + 1 - len(walls.banks)) :]
        for n, part in enumerate(_clear(bank.toe_m, _over(later), 0.0)):
            yield f"{bank.line}-{number}{'' if n == 0 else f'-{n}'}", part


def _over(ends: Sequence[BankEnd]) -> Any:
    """What ends cover."""
    import shapely

    return shapely.union_all([end.polygon for end in ends]) if ends else None


def _clear(points: tuple[Point, ...], over: Any, least_m: float) -> Iterable[tuple[Point, ...]]:
    """The parts of a line that nothing lies over."""
    import shapely

    if over is None or over.is_empty:
        yield points
        return
    parts = shapely.line_merge(shapely.difference(shapely.LineString(points), over.buffer(-_RIM_M)))
    for part in shapely.get_parts(parts):
        if part.geom_type == "LineString" and part.length > max(least_m, _RIM_M):
            yield tuple(_point(at) for at in part.coords)


def _round_ticks(end: BankEnd, m_per_mm: float) -> Iterable[tuple[Point, Point]]:
    """Down the slope round a front, all the way and half of it in turn, clear of the one point they come from."""
    turn = 0
    for i, (low, other) in enumerate(pairwise(end.toe_m)):
        count = max(1, round(dist(low, other) / (_TICK_MM * m_per_mm)))
        for n in range(count):
            toe = between(low, other, (n + 0.5) / count)
            top = between(between(end.edge_m[i], end.edge_m[i + 1], (n + 0.5) / count), toe, _OFF_TOP)
            if dist(top, toe) > _LEAST_MM * m_per_mm:
                yield top, between(top, toe, 1.0 if turn % 2 == 0 else 0.5)
            turn += 1


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
