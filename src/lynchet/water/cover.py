"""Whether every held metre that needs a pipe has one close by, and where stone is dug outside the outline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import NDArray

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.keys_build import MOST_STONE_M
from lynchet.terraces.model import OUTSIDE
from lynchet.units.format import length as length_text
from lynchet.units.format import small as small_text
from lynchet.walls.seen import FROM_LEFT
from lynchet.water.model import Drain, Stone, WaterLevel
from lynchet.water.pockets import Piece, Stretch
from lynchet.water.yard import Yard

FloatArray = NDArray[np.float64]
Numbers = NDArray[np.intp]
NEAR_M = 0.75
CORNER_M = 1.0
_STEP_M = 0.25
_FINE_M = 0.01
_OFF_M = 0.02
_SHORT_M = 1.0


@dataclass(frozen=True)
class FarPlace:
    """Held ground that needs a pipe and has none close by."""

    leg: str
    station_m: float
    away_m: float
    held_m: float


def far_places(stretches: Sequence[Stretch], drains: Sequence[Drain], least_m: float) -> list[FarPlace]:
    """Places of held ground over the least height with no pipe within the distance allowed.

    Looked at every quarter metre, and every centimetre where a pipe within the limit of a neighbour could be further
    off between them: along a wall the distance never changes by more than the way gone.

    Args:
        stretches: all held ground.
        drains: all perforated pipe.
        least_m: held height up to which no pipe is needed.
    """
    lines = _parts_of(drains)
    pieces = [(stretch, piece) for stretch in stretches for piece in stretch.pieces]
    if not pieces:
        return []
    ends = np.array([(piece.start_m, piece.end_m) for _, piece in pieces])
    number, at = _every(ends, _STEP_M)
    away = _away(pieces, number, at, lines)
    low, high = np.minimum(away[:-1], away[1:]), np.maximum(away[:-1], away[1:])
    between = (low + high + np.diff(at)) / 2 > NEAR_M
    spans = np.flatnonzero(between & (low <= NEAR_M) & (number[:-1] == number[1:]))
    span, fine = _every(np.column_stack([at[spans], at[spans + 1]]), _FINE_M)
    within = number[spans][span]
    number, at = np.concatenate([number, within]), np.concatenate([at, fine])
    away = np.concatenate([away, _away(pieces, within, fine, lines)])
    found = []
    for n, station, metres in zip(
        *(column[away > NEAR_M + 1e-9].tolist() for column in (number, at, away)), strict=True
    ):
        stretch, piece = pieces[n]
        low_m, high_m = piece.levels_at(station)
        if high_m - low_m > least_m + 1e-6:
            found.append(FarPlace(stretch.leg.id, station, metres, high_m - low_m))
    return found


def _every(ends_m: FloatArray, step_m: float) -> tuple[Numbers, FloatArray]:
    """Stations from one end to another, evenly about so far apart, with the row of ``ends_m`` each belongs to."""
    start, end = ends_m.reshape(-1, 2).T
    parts = np.maximum(((end - start) / step_m).astype(np.intp), 1)
    row = np.repeat(np.arange(len(parts)), parts + 1)
    last = np.cumsum(parts + 1) - 1
    along = np.arange(len(row)) - (last - parts)[row]
    at = along * ((end - start) / parts)[row] + start[row]
    at[last] = end
    return row, at


def _parts_of(drains: Sequence[Drain]) -> FloatArray:
    """(4, n) start (x, y) of every straight part of all pipes, and the way to its end."""
    parts = [(*a, b[0] - a[0], b[1] - a[1]) for drain in drains for a, b in pairwise(drain.points_m)]
    return np.array(parts, dtype=float).reshape(-1, 4).T.copy()


def _away(pieces: Sequence[tuple[Stretch, Piece]], number: Numbers, at_m: FloatArray, parts: FloatArray) -> FloatArray:
    """From the timber's face at a station of each piece to the nearest part; infinite where there is none."""
    starts = np.array([stretch.leg.point_at(0.0, stretch.face_m) for stretch, _ in pieces])
    ways = np.array([stretch.leg.direction for stretch, _ in pieces])
    places = starts[number] + at_m[:, None] * ways[number]
    x, y, along_x, along_y = parts
    apart_x, apart_y = places[:, :1] - x, places[:, 1:] - y
    square = np.maximum(along_x**2 + along_y**2, 1e-30)
    share = np.minimum(np.maximum((apart_x * along_x + apart_y * along_y) / square, 0.0), 1.0)
    away = (apart_x - share * along_x) ** 2 + (apart_y - share * along_y) ** 2
    return np.asarray(np.sqrt(away.min(axis=1, initial=np.inf)))


def cover_findings(
    yard: Yard,
    stretches: Sequence[Stretch],
    drains: Sequence[Drain],
    refused: set[tuple[str, int]],
    levels: Sequence[WaterLevel],
) -> list[Finding]:
    """Held ground without a pipe close by, one finding per leg; legs of refused chains have theirs already.

    A tight corner, or a short low end at a house or a root, is a ``watch``: stone alone drains it.
    """
    mine = [s for s in stretches if (s.leg.id, s.held) not in refused]
    by_leg: dict[str, list[FarPlace]] = {}
    for place in far_places(mine, drains, yard.settings.stone_only_m):
        by_leg.setdefault(place.leg, []).append(place)
    found = []
    for leg, places in by_leg.items():
        worst = max(places, key=lambda p: (p.away_m, p.held_m))
        at = f"{length_text(yard.seen[leg].along(worst.station_m), yard.project.units)} {FROM_LEFT}"
        length = max(p.station_m for p in places) - min(p.station_m for p in places)
        low = length <= _SHORT_M and all(p.held_m <= yard.settings.stone_short_m for p in places)
        if low or all(p.away_m <= CORNER_M for p in places):
            how = "stone alone drains a short tight place."
            if any(r.leg == leg and r.drained == "none" and r.start_m <= worst.station_m <= r.end_m for r in levels):
                how = "neither pipe nor stone has room; the wall is checked as if water stood to the top there."
            text = f"Behind wall {leg}, {at}, {how}"
            found.append(Finding("water.corner", Verdict.WATCH, text, leg, source="PRACTICE"))
            continue
        text, cures = _no_room(yard, f"Behind wall {leg}, {at}, no drain pipe can lie")
        found.append(
            Finding("water.undrained", Verdict.STOP, text, leg, source="PRACTICE", cures=cures, withholds=("all",))
        )
    return found


def _no_room(yard: Yard, where: str) -> tuple[str, tuple[Cure, ...]]:
    """Why no pipe lies at a place, and what would make room."""
    settings, units = yard.settings, yard.project.units
    step = 0.0127 if units == "us" else 0.01
    need_m = ceil((settings.outside_m + 2.0 * settings.clear_m) / step - 1e-9) * step
    if settings.stone_width_m < settings.outside_m + 2.0 * settings.clear_m - 1e-9:
        pipe, stone, wide = (small_text(one, units) for one in (settings.outside_m, settings.stone_width_m, need_m))
        why = f"in drain stone {stone} wide a pipe of {pipe} outside lies too near to the timber"
        cure = Cure("wider-stone", f"drain stone {wide} wide (`stone` under [drain])", (("drain.stone", wide),))
        if need_m > MOST_STONE_M + 1e-9:
            cure = Cure("thinner-pipe", "a thinner pipe (`pipe` and `outside` under [drain])")
        return f"{where}: {why}.", (cure,)
    why = "something that stays, a house or other timber is in the way"
    return f"{where}: {why}.", (Cure("move-wall", "move the wall away from what stays, or end it there"),)


def dig_findings(yard: Yard, stones: Sequence[Stone], faces: dict[str, str]) -> list[Finding]:
    """Drain stone of a bank lies outside the outline: a stop beyond a lot line, a question where digging is limited.

    Args:
        yard: the earlier results.
        stones: all drain stone.
        faces: high face of each chain.
    """
    limits = {line.id: line.dig_beyond_m for line in yard.terraces.lines}
    found: dict[str, Finding] = {}
    for stone in stones:
        if faces.get(stone.chain) != OUTSIDE or stone.leg in found:
            continue
        width = length_text(stone.width_m, yard.project.units)
        if _over_lot_line(yard, stone):
            text = f"The drain stone behind wall {stone.leg} ({width} wide) would lie across the lot line."
            found[stone.leg] = _dig(stone.leg, text, Verdict.STOP)
            continue
        limit = limits.get(stone.leg)
        if not yard.project.drain.dig_outside or (limit is not None and limit < stone.width_m - 1e-9):
            text = (
                f"The drain stone behind wall {stone.leg} is dug {width} outside the outline, where digging is limited."
            )
            found[stone.leg] = _dig(stone.leg, text, Verdict.ASK)
    return list(found.values())


def _over_lot_line(yard: Yard, stone: Stone) -> bool:
    """Whether drain stone lies across a lot line or beyond one."""
    import shapely

    if yard.lot_lines.is_empty:
        return False
    if yard.lot_lines.intersects(shapely.Polygon(stone.outline_m).buffer(-_OFF_M)):
        return True
    inside = yard.outline.buffer(-0.05)
    return bool(shapely.shortest_line(shapely.Point(stone.start_m), inside).crosses(yard.lot_lines))


def _dig(leg: str, text: str, verdict: Verdict) -> Finding:
    cure = Cure("wall-further-in", "move the edge of the area in by the width of the stone")
    stop = verdict is Verdict.STOP
    return Finding(
        "water.dig_beyond", verdict, text, leg, source="PRACTICE", cures=(cure,), withholds=("all",) if stop else (),
        ask="" if stop else "neighbour",
    )  # fmt: skip
