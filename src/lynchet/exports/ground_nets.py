"""The ground before and after as nets of triangles, in the file's coordinates.

After: beds flat at their levels, banks sloped where they meet the ground, all else as it was; upright where it steps
and no timber stands. Under flights the net has a hole: their boxes are placed things.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import numpy as np

from lynchet.core.frame import Frame
from lynchet.core.slivers import areas_of
from lynchet.earth.finishes import BANK, Finish, finishes_of
from lynchet.earth.solids import Owners
from lynchet.exports.flat_nets import flat_triangles
from lynchet.exports.ground_steps import Corner, Part, Plane, upright_faces
from lynchet.exports.solids import Mesh
from lynchet.ground.model import Surface
from lynchet.plan.model import Plan

_NO_AREA_M2 = 1e-9


def ground_before(plan: Plan) -> Mesh:
    """The measured ground."""
    surface = plan.ground.surface
    return _upward(_outward(surface.points, plan.project.frame), surface.triangles)


def ground_after(plan: Plan) -> Mesh:
    """The finished ground."""
    import shapely

    surface, faces = plan.ground.surface, plan.terraces.faces
    ends = list(_end_parts(plan))
    over = shapely.union_all([polygon for polygon, _ in ends])
    flat: list[Part] = [(bed.polygon.difference(over), (0.0, 0.0, bed.level_m)) for bed in plan.terraces.beds]
    taken = [*(polygon for polygon, _ in flat), *(face.polygon for face in faces if face.kind == "flight")]
    known = shapely.union_all(
        [*(face.polygon for face in faces), *(_polygon(h.outline_m) for h in plan.project.houses), over]
    )
    owners = Owners(plan.terraces, plan.walls, plan.water)
    banks = [f for f in finishes_of(plan.project, plan.terraces, owners, plan.walls.banks) if f.kind == BANK]
    sloped = [*ends, *_bank_parts(banks, known, surface)]
    taken += [polygon for polygon, _ in sloped]
    left = surface.polygons
    if taken:
        left = shapely.difference(surface.polygons, shapely.union_all(taken))
    rest = zip(left, surface.planes.tolist(), strict=True)
    parts = [(areas_of(polygon), plane) for polygon, plane in (*flat, *sloped, *((one, tuple(to)) for one, to in rest))]
    parts = [(polygon, plane) for polygon, plane in parts if polygon.area > _NO_AREA_M2]
    timber = shapely.union_all([_polygon(run.outline_m) for run in plan.walls.runs])
    return _net(parts, list(upright_faces(parts, timber)), plan.project.frame)


def _polygon(ring: Sequence[tuple[float, float]]) -> Any:
    from shapely.geometry import Polygon

    return Polygon(ring)


def _end_parts(plan: Plan) -> Iterator[Part]:
    """Soil round the ends of fronts, on measured ground: the highest first, once each place."""
    import shapely

    if not plan.walls.bank_ends:
        return
    rest = shapely.union_all(plan.ground.surface.polygons)
    for end in reversed(plan.walls.bank_ends):
        for ring, plane in end.facets:
            part = areas_of(shapely.intersection(_polygon(ring), rest))
            if part.area > _NO_AREA_M2:
                yield part, plane
        rest = shapely.difference(rest, end.polygon)


def _bank_parts(banks: Iterable[Finish], known: Any, surface: Surface) -> Iterator[Part]:
    """Triangle by triangle where a bank's plane lies over the ground (raised 1) or under it (-1), once each place."""
    import shapely

    done = known
    for bank in banks:
        ring = shapely.difference(_polygon(bank.rings[0]), done)
        for at in surface.tree.query(ring, predicate="intersects"):
            a, b, c = (p - q for p, q in zip(bank.level, surface.planes[at].tolist(), strict=True))
            corners = [(float(x), float(y)) for x, y in surface.points[surface.triangles[at], :2]]
            kept = _where(corners, (bank.raised * a, bank.raised * b, bank.raised * c))
            part = shapely.intersection(_polygon(kept), ring) if len(kept) > 2 else None
            if part is not None and part.area > _NO_AREA_M2:
                done = shapely.union(done, part)
                yield part, bank.level


def _where(corners: list[tuple[float, float]], plane: Plane) -> list[tuple[float, float]]:
    """The part of a convex polygon where a x + b y + c is above nothing."""
    found = []
    values = [plane[0] * x + plane[1] * y + plane[2] for x, y in corners]
    for i, (point, value) in enumerate(zip(corners, values, strict=True)):
        before, other = corners[i - 1], values[i - 1]
        if (value > 0) != (other > 0):
            share = other / (other - value)
            found.append((before[0] + share * (point[0] - before[0]), before[1] + share * (point[1] - before[1])))
        if value > 0:
            found.append(point)
    return found


def _net(parts: Iterable[Part], upright: Iterable[Sequence[Corner]], frame: Frame) -> Mesh:
    points: list[tuple[float, float, float]] = []
    triangles: list[tuple[int, int, int]] = []
    for polygon, (a, b, c) in parts:
        corners, found = flat_triangles(polygon)
        start = len(points)
        points += [(x, y, a * x + b * y + c) for x, y in corners]
        triangles += [(start + i, start + j, start + k) for i, j, k in found]
    for face in upright:
        triangles.append((len(points), len(points) + 1, len(points) + 2))
        points += face
    return _upward(_outward(np.array(points).reshape(-1, 3), frame), np.array(triangles, dtype=np.intp).reshape(-1, 3))


def _outward(points: Any, frame: Frame) -> Any:
    return np.array([(*frame.outward((x, y)), z) for x, y, z in points.tolist()]).reshape(-1, 3)


def _upward(points: Any, triangles: Any) -> Mesh:
    """Anticlockwise seen from above, also where the frame is mirrored."""
    a, b, c = points[triangles][:, :, :2].transpose(1, 0, 2)
    down = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0] < 0
    turned = triangles.copy()
    turned[down] = triangles[down][:, [0, 2, 1]]
    return Mesh(points, turned)
