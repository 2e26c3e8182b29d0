"""Held ground beside which no pipe lies: stone is laid there where it has room, else the water stands to the surface.

Two kinds: a whole stretch too short for a pipe, and the ends of stretches at which the pipe is drawn back from other
timber, a house or roots. What is reckoned as drained has stone; what has none counts as undrained.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import dist
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.changed import changed
from lynchet.core.outlines import polygons_of
from lynchet.water.chains import SHORT_M, pocket_chain
from lynchet.water.model import Chain, Fabric, Point, Stone, WaterLevel
from lynchet.water.pockets import Stretch
from lynchet.water.settings import Settings
from lynchet.water.soil_levels import row_of
from lynchet.water.stone import FABRIC_M, back_of, outline_of, stone_of
from lynchet.water.yard import Yard

_LEAST_AREA_M2 = 0.002
"""A scrap of stone less than this is none: what is held there lies against timber or other stone."""
_SCRAP_M2 = 0.09
"""Less than this beside ground that counts as undrained, a spade's width each way, is not worth its stone. OWN."""
_REACH_M = 0.5
"""Ground this far beside drain stone still drains into it. PRACTICE."""
_LEAST_SHARE = 0.05
_GRID = 1e-5
_CLEAR_M = 2 * _GRID
"""Farther apart than this, laying shapes on the grid moves none of them onto the other."""
_SAME_M = 1e-6


@dataclass(frozen=True)
class Gap:
    """Part of a stretch along which no edge of a chain runs."""

    stretch: Stretch
    start_m: float
    end_m: float
    beside: WaterLevel | None
    """The row next to it; None where the whole stretch has none."""


@dataclass(frozen=True)
class Filled:
    """What lies and stands beside no pipe, with all rows of the yard."""

    chains: tuple[Chain, ...]
    """Pockets of stone alone that belong to no other chain."""
    stones: tuple[Stone, ...]
    fabrics: tuple[Fabric, ...]
    levels: tuple[WaterLevel, ...]


def filled_out(
    yard: Yard, rows: Sequence[WaterLevel], stretches: Sequence[Stretch], chains: Mapping[str, Chain],
    stones: Sequence[Stone],
) -> Filled:  # fmt: skip
    """Stone where no chain runs, and the rows carried on over it.

    Args:
        yard: the earlier results.
        rows: of the edges of all chains.
        stretches: all held ground.
        chains: by id.
        stones: laid along them, clear of timber.
    """
    kept = list(rows)
    lies, deep_m = polygons_of(stone.outline_m for stone in stones), [stone.bottom_m for stone in stones]
    pockets: list[Chain] = []
    laid: list[Stone] = []
    wraps: list[Fabric] = []
    for gap in _gaps(rows, stretches):
        beside = gap.beside
        if beside is not None and beside.drained == "none":
            kept.append(changed(beside, start_m=gap.start_m, end_m=gap.end_m))
            continue
        chain = _chain_of(gap, chains, pockets, yard.settings)
        owner = chains.get(chain.id)
        made, parts, taken_m2 = _stone_in(yard, gap, chain, owner, (lies, np.array(deep_m)))
        if taken_m2 > _REACH_M * yard.settings.stone_width_m and sum(part.area for part in parts) < _SCRAP_M2:
            made, parts = [], []
        if beside is None:
            most_m2 = _REACH_M * yard.settings.stone_width_m if made else _LEAST_AREA_M2
            by_stone = taken_m2 < most_m2  # without stone of its own, other timber or other stone lies there
            kept.append(_own_row(gap, chain.id if made else "", by_stone, yard.settings))
        elif taken_m2 > _REACH_M * yard.settings.stone_width_m:
            kept.append(_undrained(gap))
        else:
            kept.append(changed(beside, start_m=gap.start_m, end_m=gap.end_m))
        if made and beside is None:
            pockets.append(chain)
        if owner is not None:
            made = [_renamed(one, owner, gap, [*stones, *laid]) for one in made]
        laid += [one for one in made if isinstance(one, Stone)]
        deep_m += [one.bottom_m for one in made if isinstance(one, Stone)]
        wraps += [one for one in made if isinstance(one, Fabric)]
        lies = np.append(lies, parts)
    levels = [row for row in kept if row.end_m - row.start_m > _SAME_M]
    levels.sort(key=lambda r: (r.leg, r.start_m, r.end_m))
    return Filled(tuple(pockets), tuple(laid), tuple(wraps), tuple(levels))


def _gaps(rows: Sequence[WaterLevel], stretches: Sequence[Stretch]) -> list[Gap]:
    """Parts of stretches that no row covers, in their order."""
    found = []
    for stretch in stretches:
        own = sorted(
            (r for r in rows if r.leg == stretch.leg.id and r.held == stretch.held and _inside(r, stretch)),
            key=lambda r: r.start_m,
        )
        at, last = stretch.start_m, None
        for row in own:
            if row.start_m > at + _SAME_M:
                found.append(Gap(stretch, at, row.start_m, row))
            at, last = max(at, row.end_m), row
        if stretch.end_m > at + _SAME_M:
            found.append(Gap(stretch, at, stretch.end_m, last))
    return found


def _inside(row: WaterLevel, stretch: Stretch) -> bool:
    middle = (row.start_m + row.end_m) / 2
    return stretch.start_m - _SAME_M <= middle <= stretch.end_m + _SAME_M


def _chain_of(gap: Gap, chains: Mapping[str, Chain], pockets: Sequence[Chain], settings: Settings) -> Chain:
    """The line of a gap: carried on under the name of the chain beside it, or a pocket of its own.

    A pocket is never shorter than a spade's work: a stretch of an inch gets a foot of stone. Under steps it grows
    uphill alone, where the next box stands higher.
    """
    leg = gap.stretch.leg
    start, end = gap.start_m, gap.end_m
    if gap.beside is not None:
        return replace(pocket_chain(gap.stretch, (start, end), settings), id=gap.beside.chain)
    more = max(0.0, SHORT_M - (end - start)) / 2
    uphill = gap.stretch.uphill
    start, end = max(0.0, start - (1 - uphill) * more), min(leg.length_m, end + (1 + uphill) * more)
    chain = pocket_chain(gap.stretch, (start, end), settings)
    first, number = f"{chain.high_face}/{leg.id}", 1
    name, taken = first, {*chains, *(pocket.id for pocket in pockets)}
    while name in taken:
        number += 1
        name = f"{first}.{number}"
    return replace(chain, id=name, nodes=tuple(changed(n, id=f"{name}/n{i}") for i, n in enumerate(chain.nodes)))


def _stone_in(
    yard: Yard, gap: Gap, chain: Chain, owner: Chain | None, lies: tuple[Any, NDArray[np.float64]]
) -> tuple[list[Stone | Fabric], list[Any], float]:
    """Stone and fabric of a gap clear of timber and of other stone as deep, and the plan area where none may lie.

    None at a corner, where the strips of both walls meet; none on what stays, on a lot line, outside the bed. Between
    the two the plan shapes of the stone.
    """
    import shapely

    if owner is not None and _turns(gap, owner):
        return [], [], 0.0
    settings = changed(yard.settings, cover_m=yard.settings.cover_m + gap.stretch.box_m)
    stones, fabrics = stone_of(chain, (gap.stretch,) * len(chain.edges), [], settings)
    made: list[Stone | Fabric] = []
    parts: list[Any] = []
    taken_m2 = 0.0
    for stone, fabric in zip(stones, fabrics, strict=True):
        top = max(stone.top_start_m, stone.top_end_m)
        others = lies[0][lies[1] < stone.bottom_m + _SAME_M]
        part, share, barred_m2 = _room(yard, chain.high_face, stone.outline_m, (stone.bottom_m, top), others)
        taken_m2 += barred_m2
        if part is None:
            continue
        parts.append(part)
        made.append(changed(stone, outline_m=outline_of(part), volume_m3=stone.volume_m3 * share))
        if barred_m2 > _LEAST_AREA_M2 and yard.bars_stone.intersects(shapely.polygons(stone.outline_m)):
            made.append(_round_cut(fabric, part, gap.stretch, settings.stone_width_m))
            continue
        back, of_back, _ = _room(yard, chain.high_face, fabric.outline_m, (fabric.bottom_m, fabric.top_m), others[:0])
        behind = outline_of(back) if of_back >= share * (1.0 - _LEAST_SHARE) else _back(part, gap.stretch)
        made.append(changed(fabric, outline_m=behind, length_m=fabric.length_m * share))
    return made, parts, taken_m2


def _round_cut(fabric: Fabric, part: Any, stretch: Stretch, wide_m: float) -> Fabric:
    """Fabric round stone that something behind it narrows: along its own back, as much less wide as it is narrower.

    It is drawn in the stone: behind that may stand the timber that narrows it.
    """
    import shapely

    leg, behind = stretch.leg, _back(part, stretch)
    ring = shapely.get_coordinates(part)
    stations = (ring - leg.point_at(0.0, 0.0)) @ np.subtract(leg.point_at(1.0, 0.0), leg.point_at(0.0, 0.0))
    long = float(stations.max() - stations.min())
    developed = fabric.developed_width_m - 2.0 * (wide_m - float(part.area) / long)
    return replace(fabric, outline_m=behind, length_m=long, developed_width_m=developed)


def _back(part: Any, stretch: Stretch) -> tuple[Point, ...]:
    return back_of(part, np.multiply(stretch.leg.normal, -stretch.held * FABRIC_M))


def _renamed(one: Stone | Fabric, owner: Chain, gap: Gap, others: Sequence[Stone]) -> Stone | Fabric:
    """Under the name of the nearest edge of the chain that it carries on: "B2/W2/stone/3.2"."""
    kind = "stone" if isinstance(one, Stone) else "fabric"
    edge = _edge_beside(owner, gap.stretch.leg.id, gap)
    first = f"{owner.id}/stone/{edge + 1}."
    number = 2 + one.edge + sum(other.id.startswith(first) for other in others)
    return replace(one, id=f"{owner.id}/{kind}/{edge + 1}.{number}", edge=edge)


def _room(
    yard: Yard, face: str, outline_m: Sequence[Point], levels_m: tuple[float, float], others: Any
) -> tuple[Any, float, float]:
    """What of a strip may lie there (None: too little), its share of the strip, the area of what something bars."""
    import shapely

    strip: Any = shapely.polygons(outline_m)
    timber = yard.timber_shapes_near(strip, *levels_m, 0.0)
    near = others[shapely.intersects(others, strip)]
    taken = [*timber, *near]
    whole = taken[0] if len(taken) == 1 else shapely.union_all(taken, grid_size=_GRID)
    parts = _polygons(shapely.difference(strip, whole, grid_size=_GRID))
    free_m2 = sum(part.area for part in parts)
    parts = _allowed(yard, face, parts) if parts else parts
    barred_m2 = float(free_m2 - sum(part.area for part in parts))
    best = max((part for part in parts if not part.interiors), key=lambda p: p.area, default=None)
    if best is None or best.area < min(_LEAST_AREA_M2, _LEAST_SHARE * strip.area):
        return None, 0.0, barred_m2
    part = shapely.orient_polygons(best)
    return part, float(part.area) / float(strip.area), barred_m2


def _allowed(yard: Yard, face: str, parts: list[Any]) -> list[Any]:
    """What of polygons on the grid nothing bars and the bed has room for.

    Those that keep well clear of an edge lie wholly on one side of it and are kept as they are, without an overlay: but
    for the corner at which each begins, which each overlay moves on by one.
    """
    import shapely

    room, bars, further = yard.bed_room(face), yard.bars_stone, 0
    if _keeps_off(parts, bars):
        further = 1
    else:
        parts = _polygons(shapely.difference(_together(parts), bars, grid_size=_GRID))
    if room is None or not parts:
        return _begun(parts, further)
    if _keeps_off(parts, yard.bed_rim(face)) and all(room.intersects(part) for part in parts):
        return _begun(parts, further + 1)
    within = shapely.intersection(_together(_begun(parts, further)), room, grid_size=_GRID)
    return _polygons(within)


def _keeps_off(parts: list[Any], other: Any) -> bool:
    """Whether polygons have no holes, and keep well clear of one another and of another shape, prepared."""
    import shapely

    if any(part.interiors for part in parts) or shapely.dwithin(other, parts, _CLEAR_M).any():
        return False
    return not any(shapely.dwithin(a, b, _CLEAR_M) for a, b in combinations(parts, 2))


def _begun(parts: list[Any], further: int) -> list[Any]:
    """Polygons without holes, each begun so many corners further on."""
    import shapely

    if not further:
        return parts
    found = []
    for part in parts:
        ring = shapely.get_coordinates(part)
        count = len(ring) - 1
        found.append(shapely.polygons(ring[np.arange(further, further + count + 1) % count]))
    return found


def _polygons(shape: Any) -> list[Any]:
    """What of a shape has area: overlays leave lines where outlines touch."""
    return [part for part in getattr(shape, "geoms", [shape]) if part.geom_type == "Polygon" and not part.is_empty]


def _together(parts: list[Any]) -> Any:
    """Polygons as one shape."""
    import shapely

    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _turns(gap: Gap, chain: Chain) -> bool:
    """Whether the chain turns a corner where the gap begins or ends."""
    ends = [gap.stretch.pipe_at(station) for station in (gap.start_m, gap.end_m)]
    return any(node.kind == "corner" and min(dist(node.point_m, end) for end in ends) < 1e-3 for node in chain.nodes)


def _edge_beside(chain: Chain, leg: str, gap: Gap) -> int:
    """The edge of a chain nearest to a gap on its leg."""
    middle = (gap.start_m + gap.end_m) / 2
    away = {
        number: abs((edge.start_station_m + edge.end_station_m) / 2 - middle) - edge.length_m / 2
        for number, edge in enumerate(chain.edges)
        if edge.leg == leg
    }
    return min(away, key=lambda number: (away[number], number))


def _own_row(gap: Gap, chain: str, by_stone: bool, settings: Settings) -> WaterLevel:
    """A stretch with stone alone: half the held height wet, where stone alone may drain it; full when shut."""
    pieces = gap.stretch.pieces
    height = max(max(p.high0_m - p.low0_m, p.high1_m - p.low1_m) for p in pieces)
    if not by_stone:
        return _undrained(gap)
    surface = max(max(p.high0_m, p.high1_m) for p in pieces)
    low = surface
    if height <= settings.stone_only_m + 1e-9:
        low = min(surface, max(max(p.low0_m, p.low1_m) for p in pieces) + height / 2)
    return row_of(gap.stretch, (gap.start_m, gap.end_m), chain, "stone", (low, surface, surface))


def _undrained(gap: Gap) -> WaterLevel:
    """Water to the surface in every case."""
    near = [p for p in gap.stretch.pieces if p.start_m < gap.end_m and p.end_m > gap.start_m]
    surface = max(max(p.high0_m, p.high1_m) for p in near or gap.stretch.pieces)
    return row_of(gap.stretch, (gap.start_m, gap.end_m), "", "none", (surface, surface, surface))
