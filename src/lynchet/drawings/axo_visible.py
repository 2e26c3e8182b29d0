"""Which part of every face is seen: exact, face against face, without any order of painting.

Over the picture the nearness of a plane is a straight-line function (``axo_camera``). Where two faces overlap, the one
is in front on one side of a straight line, the other beyond it; so what a face hides of another is an overlap of
polygons cut by a line, and what is seen of a face is itself less all that is hidden. Faces that go through one another
or overlap in a ring are no special case. Faces turned away from the viewer cannot be seen and hide nothing that the
faces before them do not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.axo_camera import Camera
from lynchet.drawings.axo_faces import Face

Array = NDArray[np.float64]
_SAME = 2e-5
"""Faces nearer together than this, in the measure of nearness, lie in one place: their ranks decide."""
_SLIVER_M2 = 2e-6
_FAR = 1e4


@dataclass(frozen=True, eq=False)
class Seen:
    """A face turned to the viewer, and what is seen of it."""

    face: Face
    shape: Any
    """Shapely polygon or multipolygon in picture coordinates; not empty."""


@dataclass(frozen=True, eq=False)
class _Turned:
    """Faces turned to the viewer, projected."""

    faces: list[Face]
    shapes: NDArray[np.object_]
    rings: list[Array]
    """Outer rings: u, v."""
    planes: Array
    """(n, 3)."""


def seen_of(faces: Sequence[Face], camera: Camera, same: float = _SAME) -> list[Seen]:
    """What is seen of every face, in the order of the faces; faces of which nothing is seen are left out.

    Args:
        faces: of closed bodies, or single sheets turned to the viewer.
        camera: how one looks.
        same: difference of nearness below which faces lie in one place.
    """
    import shapely

    turned = _turned(faces, camera)
    if not turned.faces:
        return []
    hidden = _hiders(turned, same)
    found: list[Seen] = []
    for n, face in enumerate(turned.faces):
        shape = turned.shapes[n]
        if hidden[n]:
            shape = shapely.difference(shape, shapely.union_all(hidden[n]))
        shape = whole_parts(shape)
        if shape is not None:
            found.append(Seen(face, shape))
    return found


def whole_parts(shape: Any) -> Any:
    """The polygons of a shape without slivers; None where none is left."""
    from shapely.geometry import MultiPolygon

    parts = [part for part in getattr(shape, "geoms", [shape]) if part.geom_type == "Polygon"]
    # A sliver is thin whatever its length: rounding leaves such along shared edges.
    parts = [part for part in parts if part.area > _SLIVER_M2 and part.area > 1e-5 * part.length]
    if not parts:
        return None
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _turned(faces: Sequence[Face], camera: Camera) -> _Turned:
    import shapely

    kept: list[Face] = []
    rings: list[Array] = []
    shapes: list[Any] = []
    planes: list[Array] = []
    for face in faces:
        plane = camera.plane(face.outward(), face.rings[0][0])
        if plane is None:
            continue
        flat = [camera.project(ring)[:, :2] for ring in face.rings]
        shape: Any = shapely.polygons(flat[0], holes=flat[1:]) if len(flat) > 1 else shapely.polygons(flat[0])
        if shape.area < _SLIVER_M2:
            continue
        kept.append(face)
        rings.append(flat[0])
        shapes.append(shape if shape.is_valid else shapely.make_valid(shape))
        planes.append(plane)
    return _Turned(kept, np.array(shapes, dtype=object), rings, np.array(planes).reshape(-1, 3))


def _hiders(turned: _Turned, same: float) -> list[list[Any]]:
    """For every face, the shapes that hide some of it."""
    import shapely

    tree = shapely.STRtree(turned.shapes)
    one, two = tree.query(turned.shapes)
    keep = one != two
    one, two = one[keep], two[keep]
    # Of faces in one place the higher rank is in front: it is thought nearer by twice the tolerance.
    rank = np.array([face.rank for face in turned.faces])
    bias = np.where(rank[two] > rank[one], same, -same)
    least0, most0 = _range(turned, one, turned.planes[two] - turned.planes[one], bias)
    least1, most1 = _range(turned, two, turned.planes[two] - turned.planes[one], bias)
    never = (most0 <= 0) | (most1 <= 0)
    always = ~never & ((least0 >= 0) | (least1 >= 0))
    found: list[list[Any]] = [[] for _ in turned.faces]
    for n in np.flatnonzero(always).tolist():
        found[one[n]].append(turned.shapes[two[n]])
    for n in np.flatnonzero(~never & ~always).tolist():
        line = turned.planes[two[n]] - turned.planes[one[n]]
        part = shapely.intersection(turned.shapes[two[n]], _front(turned.rings[two[n]], line, float(bias[n])))
        if part.area > 0:
            found[one[n]].append(part)
    return found


def _range(turned: _Turned, which: NDArray[np.intp], lines: Array, bias: Array) -> tuple[Array, Array]:
    """Least and greatest of a u + b v + c + bias over the outer ring of a face, for many pairs."""
    least, most = np.empty(len(which)), np.empty(len(which))
    order = np.argsort(which, kind="stable")
    starts = np.searchsorted(which[order], np.arange(len(turned.faces) + 1))
    for n, ring in enumerate(turned.rings):
        rows = order[starts[n] : starts[n + 1]]
        if len(rows):
            values = lines[rows, :2] @ ring.T + (lines[rows, 2] + bias[rows])[:, None]
            least[rows], most[rows] = values.min(axis=1), values.max(axis=1)
    return least, most


def _front(ring: Array, line: Array, bias: float) -> Any:
    """Round a face, the part of the picture where a line's function is above nothing."""
    import shapely

    middle = ring.mean(axis=0)
    wide = 2.0 * float(np.abs(ring - middle).max()) + 1.0
    a, b = line[:2]
    size = float(np.hypot(a, b))
    over = float(a * middle[0] + b * middle[1] + line[2] + bias)
    along, across = np.array([-b, a]) / size, np.array([a, b]) / size
    # The line of equal nearness, seen from the middle of the face; far off it hides all or nothing.
    off = max(-_FAR, min(_FAR, -over / size))
    start = middle + across * off
    deep = wide + abs(off) + 1.0
    corners = [start - along * deep, start + along * deep, start + along * deep + across * deep,
               start - along * deep + across * deep]  # fmt: skip
    return shapely.polygons(np.array(corners)[::-1])
