"""Whose rain a chain drains, and what runs off on top of each bench."""

from __future__ import annotations

from lynchet.terraces.model import OUTSIDE, Face, Level
from lynchet.walls.model import Leg, Span
from lynchet.water.beside import Catchment, TopWater
from lynchet.water.chains import DrawnChain
from lynchet.water.runoff import rational_flow_m3_s
from lynchet.water.yard import Yard

_STEP_M = 1.0
_FAR_M = 10.0
"""A bank is followed uphill this far; beyond the readings it is taken to go on so far. PRACTICE."""
_STEPS_M = [i * _STEP_M for i in range(int(_FAR_M / _STEP_M) + 1)]


def flow_l_s(yard: Yard, area_m2: float) -> float:
    """Design flow of an area by the rational method."""
    rain = yard.project.rain
    return 1000.0 * float(rational_flow_m3_s(rain.runoff_coefficient, rain.intensity_mm_h, area_m2))


def catchments_of(yard: Yard, chains: list[DrawnChain]) -> list[Catchment]:
    """Area and flow of every chain: a bed's area is shared by its chains by length, a bank's is followed uphill.

    Args:
        yard: the earlier results.
        chains: all of them.
    """
    length: dict[str, float] = {}
    for drawn in chains:
        length[drawn.chain.high_face] = length.get(drawn.chain.high_face, 0.0) + drawn.chain.length_m
    found = []
    for drawn in chains:
        face = yard.terraces.face(drawn.chain.high_face)
        if face is None:
            area, kind = _bank_area(yard, drawn), "bank"
        else:
            whole = face.area_m2 or float(face.polygon.area)
            area = whole * drawn.chain.length_m / length[face.id]
            kind = {"bed": "bed", "flight": "flight"}.get(face.kind, "kept")
        name = drawn.chain.id
        found.append(Catchment(f"{name}/catchment", name, kind, area, flow_l_s(yard, area)))  # type: ignore[arg-type]
    return found


def _bank_area(yard: Yard, drawn: DrawnChain) -> float:
    """Ground above a bank: from each edge square to the wall as far as it rises."""
    edges = drawn.chain.edges
    points = [
        stretch.leg.point_at((edge.start_station_m + edge.end_station_m) / 2, stretch.pipe_m + stretch.held * step)
        for edge, stretch in zip(edges, drawn.stretches, strict=True)
        for step in _STEPS_M
    ]
    levels = yard.level_at(points).reshape(len(edges), len(_STEPS_M))
    return sum(edge.length_m * _run_up(row) for edge, row in zip(edges, levels.tolist(), strict=True))


def _run_up(levels: list[float]) -> float:
    for i in range(1, len(levels)):
        if levels[i] != levels[i]:
            return _FAR_M
        if levels[i] < levels[i - 1] - 0.01:
            return _STEPS_M[i]
    return _FAR_M


def top_water(yard: Yard) -> list[TopWater]:
    """Where each bench spills when the ground is full or its drain is shut: over its lowest rim."""
    found = []
    for bed in yard.terraces.beds:
        rim = _lowest_rim(yard, bed)
        flow = flow_l_s(yard, bed.area_m2)
        leg, station, level, onto = rim or ("", 0.0, bed.level_m, OUTSIDE)
        found.append(TopWater(bed.id, bed.area_m2, flow, leg, station, level, onto))
    return found


def _lowest_rim(yard: Yard, bed: Face) -> tuple[str, float, float, str] | None:
    """(leg, station, level, face beyond) of the lowest edge of a bench: wall top, or the ground beside it."""
    best: tuple[str, float, float, str] | None = None
    for leg in yard.walls.legs:
        for span in leg.spans:
            if bed.id not in (span.left, span.right):
                continue
            beyond = span.right if span.left == bed.id else span.left
            for station in (span.start_m, span.end_m):
                other = span.levels_at(station)[span.left == bed.id]
                if best is not None and other >= best[2] - 1e-9:
                    continue  # the rim is no lower than the ground beyond it
                level = _rim_at(yard, leg, span, station, (bed, other))
                if level is not None and (best is None or level < best[2] - 1e-9):
                    best = (leg.id, station, level, beyond)
    return best


def _rim_at(yard: Yard, leg: Leg, span: Span, station: float, sides: tuple[Face, float]) -> float | None:
    """Level at which water leaves a bench here, given with the level beyond; None where a house stands."""
    bed, other = sides
    assert isinstance(bed.finish, Level)
    if "house" in (span.left, span.right):
        return None
    middle = min(max(station, span.start_m + 1e-6), span.end_m - 1e-6)
    segment = leg.segment_at(middle)
    if segment is None:
        return max(other, bed.finish.level_m)
    runs = yard.walls.runs_of(leg.id, segment.top)
    top = max((run.top_m for run in runs), default=bed.finish.level_m)
    return max(top, other)
