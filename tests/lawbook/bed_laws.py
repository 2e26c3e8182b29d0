"""Soil and mulch of beds, worked out again from what is written of a plan."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import ceil, dist, isclose, pi
from typing import Any, NamedTuple

import numpy as np
import shapely

from lawbook.drained import Data
from lynchet.project.model import Project

BED_M = 0.15
"""Stone under the timber (6 in). PRACTICE."""
GRID_M = 1e-5
SLAB_M = 0.0005
"""Levels of things in the ground are taken to this: most of the stone of a wall ends at one level, so that half a step
of it is lost or won over all of its ground."""
FALL_M = 0.02
OVERHANG_M = 0.02
"""Half of what a course of a leaning wall may be set back: what lies over the course below by no more stands on soil or
drain stone, not on tamped stone."""


class Room(NamedTuple):
    """What one bed has room for."""

    bed: Data
    """The bed as written of."""
    whole_m2: float
    open_m2: float
    """For mulch: the ground of the bed to which nothing comes up."""
    soil_m3: float


def rooms_of(data: Data, project: Project) -> Iterator[Room]:
    """Bed by bed, of the geometry alone."""
    depth = project.bed_soil_m
    low = max(0.0, project.planting.mulch_m - project.brief.freeboard_m)
    ends = [
        thing["outline_m"]
        for flight in data["terraces"]["flights"]
        for thing in (*flight["landings"], *flight["treads"])
    ]
    ends += [[*one["toe_m"], *reversed(one["edge_m"])] for one in data["walls"]["bank_ends"]]  # soil round fronts
    faces = {face["id"]: face for face in data["terraces"]["faces"]}
    tops = [faces[bed["face"]]["finish"]["level_m"] - low for bed in data["earth"]["beds"]]
    solids = list(_in_the_ground(data, [(top - depth, top) for top in tops]))
    shapes = np.array([shapely.Polygon(ring) for ring, *_ in solids], dtype=object)
    levels = np.array([span for _, *span in solids], dtype=float).reshape(-1, 2)  # none where no wall is needed
    for bed, top in zip(data["earth"]["beds"], tops, strict=True):
        face = faces[bed["face"]]
        shapes_over = [shapely.make_valid(shapely.Polygon(ring)) for ring in (*face["strip_m"], *ends)]
        over = shapely.union_all(shapes_over, grid_size=GRID_M)
        whole = shapely.Polygon(face["outline_m"], face["holes_m"])
        ground = _less(whole, over)
        near = shapely.intersects(shapes, ground)
        within = near & (np.minimum(levels[:, 1], top) - np.maximum(levels[:, 0], top - depth) > 1e-6)
        soil = ground.area * depth - _filled_m3(ground, shapes[within], levels[within], (top - depth, top))
        stands = shapely.union_all(shapes[near & (levels[:, 1] > top - 1e-6)], grid_size=GRID_M)
        yield Room(bed, whole.area, _less(ground, stands).area, soil)


def beds_have_their_soil(data: Data, project: Project) -> list[str]:
    """Soil of every bed fills the depth the file asks for under the bed, without path strips, landings and steps, soil
    round the ends of fronts, and without what lies in it: timber, stone under it and behind it, pipes, ties. Mulch lies
    as deep as the file says on all of that ground to which no timber, stone or pipe comes up. Near 1 % of the whole
    bed's layer: rows are 0.2 m apart."""
    out, depth, mulch = [], project.bed_soil_m, project.planting.mulch_m
    for bed, whole, bare, soil in rooms_of(data, project):
        if abs(bed["planted_m2"] - bare) > 0.01 * bare + 0.03:
            out.append(f"{bed['face']}: {bed['planted_m2']:.3f} m2 mulched, {bare:.3f} open")
        if abs(bed["soil_m3"] - soil) > 0.01 * depth * whole + 0.005:
            out.append(f"{bed['face']}: {bed['soil_m3']:.3f} m3 of soil, room for {soil:.3f}")
        if not isclose(bed["mulch_m3"], bed["planted_m2"] * mulch, rel_tol=1e-6, abs_tol=1e-9):
            out.append(f"{bed['face']}: {bed['mulch_m3']:.4f} m3 of mulch on {bed['planted_m2']:.3f} m2")
    return out


def _filled_m3(ground: Any, shapes: Any, levels: Any, span: tuple[float, float]) -> float:
    """What things take of a layer of ground, slab by slab, where several lie in one place once."""
    cuts = np.unique(np.round(np.clip(levels, *span).ravel() / SLAB_M) * SLAB_M)
    found = 0.0
    for low, high in pairwise([float(span[0]), *cuts.tolist(), float(span[1])]):
        within = (levels[:, 0] < (low + high) / 2.0) & (levels[:, 1] > (low + high) / 2.0)
        if high - low > 1e-4 and within.any():
            left = _less(ground, shapely.union_all(shapes[within], grid_size=GRID_M))
            found += (ground.area - left.area) * (high - low)
    return found


def _less(shape: Any, other: Any) -> Any:
    """Polygons left of a shape, without lines and points."""
    left = shapely.difference(shape, other, grid_size=GRID_M)
    return shapely.MultiPolygon([part for part in getattr(left, "geoms", [left]) if part.geom_type == "Polygon"])


def _in_the_ground(data: Data, layers: list[tuple[float, float]]) -> Iterator[tuple[Any, float, float]]:
    """Outlines of what takes the place of soil, with lowest and highest level; tamped stone under timber in the layers
    alone."""
    runs = data["walls"]["runs"]
    by_course: dict[tuple[str, int], list[Any]] = {}
    for run in runs:
        by_course.setdefault((run["leg"], run["course"]), []).append(shapely.Polygon(run["outline_m"]))
    for run in runs:
        yield run["outline_m"], run["bottom_m"], run["top_m"]
        if not any(low < run["bottom_m"] and run["bottom_m"] - BED_M < high for low, high in layers):
            continue
        below = shapely.union_all(by_course.get((run["leg"], run["course"] - 1), []))
        free = _less(shapely.Polygon(run["outline_m"]), below).buffer(-OVERHANG_M, join_style="mitre")
        for part in getattr(free, "geoms", [free]):
            bed = part.buffer(OVERHANG_M, join_style="mitre")
            if bed.area > 1e-3:
                yield list(bed.exterior.coords), run["bottom_m"] - BED_M, run["bottom_m"]
    for stone in data["water"]["stone"]:
        yield stone["outline_m"], stone["bottom_m"], (stone["top_start_m"] + stone["top_end_m"]) / 2.0
    for body in data["water"]["bodies"]:
        if body["kind"] not in ("stone", "fabric"):
            yield from _body(body)
    for tie in data["stability"]["ties"]:
        yield tie["outline_m"], tie["bottom_m"], tie["top_m"]
        yield tie["cross_outline_m"], tie["bottom_m"], tie["top_m"]


def _body(body: Data) -> Iterator[tuple[Any, float, float]]:
    """Stone apart from walls; a cleanout, which is round and upright; a pipe in parts that fall by no more than
    ``FALL_M``, each as high as makes its square as large as the round."""
    bottoms, tops = (np.array([body[f"{end}_{at}_m"] for at in ("start", "end")]) for end in ("bottom", "top"))
    if body["kind"] in ("soakaway", "cut-off stone", "outlet"):
        yield body["outline_m"], float(bottoms.mean()), float(tops.mean())
        return
    if body["kind"] == "fitting":
        ring = np.array(body["outline_m"])
        round_m = dist(ring[0], ring[1]) / 2.0
        yield list(shapely.Point(ring.mean(axis=0)).buffer(round_m).exterior.coords), float(bottoms[0]), float(tops[0])
        return
    start, end = np.array(body["start_m"]), np.array(body["end_m"])
    half = float(tops[0] - bottoms[0]) / 2.0
    middles = (bottoms + tops) / 2.0
    cuts = np.linspace(0.0, 1.0, 1 + max(1, ceil(abs(middles[1] - middles[0]) / FALL_M)))
    for before, after in pairwise(cuts):
        line = shapely.LineString([start + before * (end - start), start + after * (end - start)])
        middle = float(middles[0] + (before + after) / 2.0 * (middles[1] - middles[0]))
        outline = line.buffer(half, cap_style="flat").exterior.coords
        yield list(outline), middle - half * pi / 4.0, middle + half * pi / 4.0
