"""The earth stage: benches, trenches and what timber and stone push out, in one account."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from lynchet.core.frame import Point
from lynchet.earth.bodies import Array, Bodies, dug_and_displaced
from lynchet.earth.model import BedSoil, Earth, SoilAccount
from lynchet.ground.earth_states import SOIL_FACTORS, whole_loads
from lynchet.ground.model import Ground
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.walls.bedding import STONE_BED_M
from lynchet.walls.model import Walls
from lynchet.water.model import Water

_SAMPLE_M = 0.5


@dataclass(frozen=True)
class _Prism:
    outline_m: tuple[Point, ...]
    bottom_m: float
    top_m: float


def earth(
    project: Project, ground: Ground, terraces: Terraces, walls: Walls, water: Water, stability: Stability
) -> Earth:
    """Cut and fill of every bed and the soil account of the job.

    Method: bench volumes are exact over the triangles of the ground; bodies are prisms sampled every 0.5 m along.
    """
    timber = [_Prism(run.outline_m, run.bottom_m, run.top_m) for run in walls.runs]
    timber += [_Prism(tie.outline_m, tie.bottom_m, tie.top_m) for tie in stability.ties]
    timber += [_Prism(tie.cross_outline_m, tie.bottom_m, tie.top_m) for tie in stability.ties]
    stone = _beds_of_stone(walls) + [
        _Prism(stone.outline_m, stone.bottom_m, 0.5 * (stone.top_start_m + stone.top_end_m)) for stone in water.stone
    ]
    dug, displaced = _volumes(ground, terraces, timber + stone)
    beds = tuple(BedSoil(face.id, face.cut_m3, face.fill_m3) for face in terraces.beds)
    cut, fill = sum(bed.cut_m3 for bed in beds), sum(bed.fill_m3 for bed in beds)
    return Earth(beds, _account(project, (cut, dug, fill, displaced), _volume(timber), _volume(stone)))


def _account(project: Project, volumes: tuple[float, float, float, float], timber: float, stone: float) -> SoilAccount:
    cut, dug, fill, displaced = volumes
    loose, compacted = SOIL_FACTORS[_soil(project)]
    placed = max(fill - displaced, 0.0)
    away = cut + dug - placed / compacted
    away_loose = away * loose
    access = project.access
    return SoilAccount(
        bench_cut_m3=cut,
        trench_m3=dug,
        fill_m3=placed,
        displaced_m3=min(displaced, fill),
        timber_m3=timber,
        stone_m3=stone,
        compacted_per_bank=compacted,
        loose_per_bank=loose,
        away_bank_m3=away,
        away_loose_m3=away_loose,
        barrows=int(whole_loads(abs(away_loose), access.barrow_m3)),
        loads=int(whole_loads(abs(away_loose), access.load_m3)),
    )


def _soil(project: Project) -> str:
    if project.soil.clay:
        return "clay"
    return "sand" if (project.soil.unified_class or "").upper() in ("SW", "SP") else "common_earth"


def _beds_of_stone(walls: Walls) -> list[_Prism]:
    """The stone bed under the lowest course of every segment."""
    found = []
    for leg in walls.legs:
        for segment in leg.segments:
            for run in walls.runs_of(leg.id, segment.base):
                found.append(_Prism(run.outline_m, run.bottom_m - STONE_BED_M, run.bottom_m))
    return found


def _volume(prisms: Iterable[_Prism]) -> float:
    return float(sum(shapely.Polygon(p.outline_m).area * (p.top_m - p.bottom_m) for p in prisms))


def _volumes(ground: Ground, terraces: Terraces, prisms: Sequence[_Prism]) -> tuple[float, float]:
    if not prisms:
        return 0.0, 0.0
    areas, bottoms, tops, points = [], [], [], []
    for prism in prisms:
        samples = _samples(prism.outline_m)
        share = shapely.Polygon(prism.outline_m).area / len(samples)
        for point in samples:
            areas.append(share)
            bottoms.append(prism.bottom_m)
            tops.append(prism.top_m)
            points.append(point)
    levels = level_at(ground.surface, points, reach_m=2.0)
    levels = np.where(np.isnan(levels), np.array(tops), levels)
    finish = _finish(terraces, points, levels)
    dug, displaced = dug_and_displaced(Bodies(np.array(areas), np.array(bottoms), np.array(tops), levels, finish))
    return float(dug.sum()), float(displaced.sum())


def _samples(outline_m: Sequence[Point]) -> list[Point]:
    """Points along the long middle line of a four-cornered outline; the middle of any other."""
    if len(outline_m) != 4:
        centre = shapely.Polygon(outline_m).centroid
        return [(float(centre.x), float(centre.y))]
    a, b, c, d = (np.array(point) for point in outline_m)
    start, end = ((a + d) / 2, (b + c) / 2) if np.hypot(*(b - a)) >= np.hypot(*(d - a)) else ((a + b) / 2, (c + d) / 2)
    count = max(1, int(np.ceil(np.hypot(*(end - start)) / _SAMPLE_M)))
    shares = (np.arange(count) + 0.5) / count
    return [(float(p[0]), float(p[1])) for p in start + shares[:, None] * (end - start)]


def _finish(terraces: Terraces, points: Sequence[Point], ground_m: Array) -> Array:
    """Finished level at each point: the bench's inside a bed, the ground before elsewhere."""
    finish = ground_m.copy()
    places: Any = shapely.points(np.array(points, dtype=float))
    for face in terraces.beds:
        inside = shapely.covers(face.polygon, places)
        finish[inside] = face.level_m
    return finish
