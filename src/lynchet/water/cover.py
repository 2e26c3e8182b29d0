"""Whether every held metre that needs a pipe has one close by, and where stone is dug outside the outline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.terraces.model import OUTSIDE
from lynchet.units.format import length as length_text
from lynchet.water.model import Drain, Point, Stone
from lynchet.water.pockets import Stretch
from lynchet.water.yard import Yard

NEAR_M = 0.75
CORNER_M = 1.0
_STEP_M = 0.25
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
    """Places of held ground over the least height with no pipe within the distance allowed, every quarter metre.

    Args:
        stretches: all held ground.
        drains: all perforated pipe.
        least_m: held height up to which no pipe is needed.
    """
    import shapely

    lines = shapely.MultiLineString([drain.points_m for drain in drains])
    places: list[tuple[str, float, float, Point]] = []
    for stretch in stretches:
        for piece in stretch.pieces:
            count = max(1, int((piece.end_m - piece.start_m) / _STEP_M))
            for i in range(count + 1):
                station = piece.start_m + (piece.end_m - piece.start_m) * i / count
                held = piece.high_at(station) - piece.low_at(station)
                if held > least_m + 1e-6:
                    places.append((stretch.leg.id, station, held, stretch.leg.point_at(station, stretch.face_m)))
    if not places:
        return []
    away = shapely.distance(shapely.points([p[3] for p in places]), lines)
    away[away != away] = float("inf")
    return [
        FarPlace(leg, at, float(d), held)
        for (leg, at, held, _), d in zip(places, away, strict=True)
        if d > NEAR_M + 1e-9
    ]


def cover_findings(
    yard: Yard, stretches: Sequence[Stretch], drains: Sequence[Drain], refused: set[tuple[str, int]]
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
        at = length_text(worst.station_m, yard.project.units)
        length = max(p.station_m for p in places) - min(p.station_m for p in places)
        low = length <= _SHORT_M and all(p.held_m <= yard.settings.stone_short_m for p in places)
        if low or all(p.away_m <= CORNER_M for p in places):
            text = f"Behind wall {leg}, {at} along it, stone alone drains a short tight place."
            found.append(Finding("water.corner", Verdict.WATCH, text, leg, source="PRACTICE"))
            continue
        text = (
            f"Behind wall {leg}, {at} along it, no drain pipe can lie: something that stays, a house or other timber "
            "is in the way."
        )
        cures = (Cure("move-wall", "move the wall away from what stays, or end it there"),)
        found.append(
            Finding("water.undrained", Verdict.STOP, text, leg, source="PRACTICE", cures=cures, withholds=("all",))
        )
    return found


def dig_findings(yard: Yard, stones: Sequence[Stone], faces: dict[str, str]) -> list[Finding]:
    """Drain stone of a bank lies outside the outline: a stop beyond a lot line, a question where digging is limited.

    Args:
        yard: the earlier results.
        stones: all drain stone.
        faces: high face of each chain.
    """
    import shapely

    limits = {line.id: line.dig_beyond_m for line in yard.terraces.lines}
    found: dict[str, Finding] = {}
    for stone in stones:
        if faces.get(stone.chain) != OUTSIDE or stone.leg in found:
            continue
        strip = shapely.Polygon(stone.outline_m)
        width = length_text(stone.width_m, yard.project.units)
        if yard.lot_lines.intersects(strip.buffer(-_OFF_M)) or _beyond(yard, stone.start_m):
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


def _beyond(yard: Yard, point: Point) -> bool:
    import shapely

    if yard.lot_lines.is_empty:
        return False
    return bool(shapely.shortest_line(shapely.Point(point), yard.outline.buffer(-0.05)).crosses(yard.lot_lines))


def _dig(leg: str, text: str, verdict: Verdict) -> Finding:
    cure = Cure("wall-further-in", "move the edge of the area in by the width of the stone")
    stop = verdict is Verdict.STOP
    return Finding(
        "water.dig_beyond", verdict, text, leg, source="PRACTICE", cures=(cure,), withholds=("all",) if stop else (),
        ask="" if stop else "neighbour",
    )  # fmt: skip
