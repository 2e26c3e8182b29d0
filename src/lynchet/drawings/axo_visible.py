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
    planes: Array
    """(n, 3)."""


def seen_of(faces: Sequence[Face], camera: Camera, same: float = _SAME, *, only_light: bool = False) -> list[Seen]:
    """What is seen of every face, in the order of the faces; faces of which nothing is seen are left out.

    Of faces that hide nothing (``Face.hides``), only what the others leave of them is taken off; drawn last, the nearer
    over the farther, they too show what is seen.

    Args:
        faces: of closed bodies, or single sheets turned to the viewer.
        camera: how one looks.
        same: difference of nearness below which faces lie in one place.
        only_light: give the faces that hide nothing alone.
    """
    turned = _turned(faces, camera)
    if not turned.faces:
        return []
    light = np.array([not face.hides for face in turned.faces])
    pairs = _pairs(turned, same, light if only_light else np.ones(len(light), dtype=bool))
    kept = ~_covered(turned, pairs)
    hiders = _hiders(turned, pairs, kept)
    found: list[Seen] = []
    for n in np.flatnonzero(kept & (light | (not only_light))).tolist():
        shape = turned.shapes[n]
        if hiders[n]:
            shape = _less(shape, hiders[n])
        shape = whole_parts(shape)
        if shape is not None:
            found.append(Seen(turned.faces[n], shape))
    return found


def _less(shape: Any, hiders: list[Any]) -> Any:
    """A shape less all that hides it: the largest first, as most of what is hidden at all is hidden by one."""
    import shapely

    if len(hiders) > 3:
        areas = shapely.area(np.array(hiders, dtype=object))
        order = np.argsort(-areas, kind="stable")
        for n in order[:2].tolist():
            shape = shapely.difference(shape, hiders[n])
            if shape.area < _SLIVER_M2:
                return shape
        rest = np.array([hiders[n] for n in order[2:].tolist()], dtype=object)
        rest = rest[shapely.intersects(rest, shape)]
        hiders = list(rest)
    if not hiders:
        return shape
    return shapely.difference(shape, shapely.union_all(hiders) if len(hiders) > 1 else hiders[0])


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
    """The faces turned to the viewer, projected; those edge on are left out."""
    import shapely

    kept: list[Face] = []
    planes: list[Array] = []
    for face in faces:
        plane = camera.plane(face.outward(), face.rings[0][0])
        if plane is not None:
            kept.append(face)
            planes.append(plane)
    if not kept:
        return _Turned([], np.empty(0, dtype=object), np.empty((0, 3)))
    every = [ring for face in kept for ring in face.rings]
    counts = np.array([len(ring) for ring in every])
    flat = camera.project(np.concatenate(every))[:, :2]
    rings: Any = shapely.linearrings(flat, indices=np.repeat(np.arange(len(every)), counts))
    first = np.cumsum([0, *(len(face.rings) for face in kept)])
    outer = first[:-1]
    shapes: Any = shapely.polygons(rings[outer])
    for n in np.flatnonzero(np.diff(first) > 1).tolist():
        shapes[n] = shapely.polygons(rings[first[n]], holes=list(rings[first[n] + 1 : first[n + 1]]))
    wrong = ~shapely.is_valid(shapes)
    if wrong.any():
        shapes[wrong] = shapely.make_valid(shapes[wrong])
    large = np.flatnonzero(shapely.area(shapes) > _SLIVER_M2)
    return _Turned([kept[n] for n in large], shapes[large], np.array(planes)[large])


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Pairs of faces that overlap in the picture, the second in front of the first somewhere."""

    one: NDArray[np.intp]
    two: NDArray[np.intp]
    always: NDArray[np.bool_]
    """The second is in front wherever they overlap."""
    lines: Array
    """(n, 3): nearness of the second less that of the first, ranks taken into account."""


def _pairs(turned: _Turned, same: float, asked: NDArray[np.bool_]) -> _Pairs:
    """Pairs whose first face is asked for."""
    import shapely

    tree = shapely.STRtree(turned.shapes)
    one, two = tree.query(turned.shapes)
    # What is drawn over the rest takes nothing away from it, so its pairs need not be looked at.
    keep = (one != two) & asked[one] & np.array([face.hides for face in turned.faces])[two]
    one, two = one[keep], two[keep]
    order = np.lexsort((two, one))
    one, two = one[order], two[order]
    # Of faces in one place the higher rank is in front: it is thought nearer by the tolerance, all others farther.
    rank = np.array([face.rank for face in turned.faces])
    lines = turned.planes[two] - turned.planes[one]
    lines[:, 2] += np.where(rank[two] > rank[one], same, -same)
    least, most = _range(shapely.bounds(turned.shapes), (one, two), lines)
    near, always = most > 0, least >= 0
    # Where the boxes do not tell, the corners of either face may; where these do not, the overlap itself does.
    open_ = np.flatnonzero(near & ~always)
    for which in (one, two):
        low, high = _at_corners(turned.shapes[which[open_]], lines[open_])
        near[open_[high <= 0]] = False
        always[open_[low >= 0]] = True
    open_ = np.flatnonzero(near & ~always)
    parts = shapely.intersection(turned.shapes[one[open_]], turned.shapes[two[open_]])
    low, high = _at_corners(parts, lines[open_])
    flat = shapely.area(parts) < _SLIVER_M2 / 10.0
    near[open_[flat | (high <= 0)]] = False
    always[open_[low >= 0]] = True
    return _Pairs(one[near], two[near], always[near], lines[near])


def _covered(turned: _Turned, pairs: _Pairs) -> NDArray[np.bool_]:
    """Faces hidden by a single other one: they are not seen, and what they hide that other one hides too."""
    import shapely

    found = np.zeros(len(turned.faces), dtype=bool)
    area = shapely.area(turned.shapes)
    may = np.flatnonzero(pairs.always & (area[pairs.two] >= area[pairs.one]))
    one, two = turned.shapes[pairs.one[may]], turned.shapes[pairs.two[may]]
    inner, outer = shapely.bounds(one), shapely.bounds(two)
    within = ((inner[:, :2] >= outer[:, :2] - _SAME) & (inner[:, 2:] <= outer[:, 2:] + _SAME)).all(axis=1)
    may, one, two = may[within], one[within], two[within]
    found[pairs.one[may[shapely.covers(two, one)]]] = True
    return found


def _hiders(turned: _Turned, pairs: _Pairs, kept: NDArray[np.bool_]) -> list[list[Any]]:
    """For every face, the shapes that hide some of it."""
    import shapely

    found: list[list[Any]] = [[] for _ in turned.faces]
    live = kept[pairs.one] & kept[pairs.two]
    for n in np.flatnonzero(live & pairs.always).tolist():
        found[pairs.one[n]].append(turned.shapes[pairs.two[n]])
    cut = np.flatnonzero(live & ~pairs.always)
    if len(cut):
        halves = _fronts(shapely.bounds(turned.shapes[pairs.two[cut]]), pairs.lines[cut])
        parts = shapely.intersection(turned.shapes[pairs.two[cut]], halves)
        for n, part in zip(cut.tolist(), parts, strict=True):
            if part.area > 0:
                found[pairs.one[n]].append(part)
    return found


def _at_corners(shapes: Any, lines: Array) -> tuple[Array, Array]:
    """Least and greatest of a u + b v + c over the corners of each shape, each with its own line."""
    import shapely

    points, owner = shapely.get_coordinates(shapes, return_index=True)
    values = np.einsum("ij,ij->i", lines[owner, :2], points) + lines[owner, 2]
    low, high = np.full(len(shapes), np.inf), np.full(len(shapes), -np.inf)
    np.minimum.at(low, owner, values)
    np.maximum.at(high, owner, values)
    return low, high


def _range(bounds: Array, pairs: tuple[NDArray[np.intp], NDArray[np.intp]], lines: Array) -> tuple[Array, Array]:
    """Least and greatest of a u + b v + c over the box in which the boxes of two faces overlap, for many pairs."""
    one, two = bounds[pairs[0]], bounds[pairs[1]]
    low, high = np.maximum(one[:, :2], two[:, :2]), np.minimum(one[:, 2:], two[:, 2:])
    middle, half = 0.5 * (low + high), 0.5 * np.maximum(high - low, 0.0)
    at = np.einsum("ij,ij->i", lines[:, :2], middle) + lines[:, 2]
    reach = np.einsum("ij,ij->i", np.abs(lines[:, :2]), half)
    return at - reach, at + reach


def _fronts(bounds: Array, lines: Array) -> Any:
    """Round boxes, the part of the picture where a line's function is above nothing: one polygon each."""
    import shapely

    middle = 0.5 * (bounds[:, :2] + bounds[:, 2:])
    wide = (bounds[:, 2:] - bounds[:, :2]).sum(axis=1) + 1.0
    size = np.hypot(lines[:, 0], lines[:, 1])
    size[size < 1e-12] = 1e-12
    across = lines[:, :2] / size[:, None]
    along = np.column_stack([-across[:, 1], across[:, 0]])
    # The line of equal nearness, seen from the middle of the box; far off it hides all or nothing.
    off = -(np.einsum("ij,ij->i", lines[:, :2], middle) + lines[:, 2]) / size
    off = np.clip(off, -wide, wide)
    start = middle + across * off[:, None]
    side, deep = along * wide[:, None], across * (2.0 * wide)[:, None]
    return shapely.polygons(np.stack([start - side, start - side + deep, start + side + deep, start + side], axis=1))
