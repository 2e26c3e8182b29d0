"""Faces turned to the viewer, as they lie in the picture: their edges one after the other, and how near they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.axo_camera import Camera
from lynchet.drawings.axo_faces import Face, outwards

Array = NDArray[np.float64]
Whole = NDArray[np.intp]
SLIVER_M2 = 2e-6
"""Parts smaller than this are left out."""


@dataclass(frozen=True, eq=False)
class Turned:
    """Faces turned to the viewer, projected."""

    faces: list[Face]
    points: Array
    """(m, 2): corners of every ring of every face, picture metres."""
    rings: Whole
    """(k + 1,): first corner of each ring, and their number."""
    first: Whole
    """(n + 1,): first ring of each face, and their number."""
    planes: Array
    """(n, 3): nearness of each as a u + b v + c."""

    @cached_property
    def after(self) -> Whole:
        """(m,): number of the corner that follows in the same ring."""
        found = np.arange(1, len(self.points) + 1)
        found[self.rings[1:] - 1] = self.rings[:-1]
        return found

    @cached_property
    def starts(self) -> Whole:
        """(n + 1,): first corner of each face, and their number."""
        return self.rings[self.first]

    @cached_property
    def shapes(self) -> NDArray[np.object_]:
        """(n,) shapely polygons, picture metres."""
        import shapely

        count = len(self.rings) - 1
        rings: Any = shapely.linearrings(self.points, indices=np.repeat(np.arange(count), np.diff(self.rings)))
        shapes: Any = shapely.polygons(rings, indices=np.repeat(np.arange(len(self.faces)), np.diff(self.first)))
        wrong = ~shapely.is_valid(shapes)
        if wrong.any():
            shapes[wrong] = shapely.make_valid(shapes[wrong])
        return np.asarray(shapes)

    def part(self, which: Whole) -> Turned:
        """Some of the faces, by their numbers."""
        rings = _runs(self.first, which)
        points = self.points[_runs(self.rings, rings)]
        return Turned([self.faces[n] for n in which.tolist()], points, _ends(np.diff(self.rings)[rings]),
                      _ends(np.diff(self.first)[which]), self.planes[which])  # fmt: skip


def _ends(counts: Whole) -> Whole:
    return np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)


def _runs(starts: Whole, which: Whole) -> Whole:
    """Numbers of all that some of many runs hold."""
    counts = np.diff(starts)[which]
    before = np.cumsum(counts) - counts
    return np.asarray(np.repeat(starts[which] - before, counts) + np.arange(counts.sum()), dtype=np.intp)


def turned_of(faces: Sequence[Face], camera: Camera) -> Turned:
    """The faces turned to the viewer, projected; those edge on, or too small to be seen, are left out."""
    if not faces:
        return Turned([], np.empty((0, 2)), np.zeros(1, dtype=np.intp), np.zeros(1, dtype=np.intp), np.empty((0, 3)))
    normals = outwards(faces)
    planes = camera.planes(normals, np.array([face.rings[0][0] for face in faces]))
    ahead = np.flatnonzero(~np.isnan(planes[:, 0]))
    kept = [faces[n] for n in ahead.tolist()]
    every = [ring for face in kept for ring in face.rings]
    rings = _ends(np.array([len(ring) for ring in every], dtype=np.intp))
    first = _ends(np.array([len(face.rings) for face in kept], dtype=np.intp))
    points = camera.project(np.concatenate(every))[:, :2] if every else np.empty((0, 2))
    turned = Turned(kept, np.ascontiguousarray(points), rings, first, planes[ahead])
    return turned.part(np.flatnonzero(areas_of(turned) > SLIVER_M2))


def areas_of(turned: Turned) -> Array:
    """(n,) m2 of the picture, holes taken off; rings of a face run one way round, its holes the other."""
    if not turned.faces:
        return np.empty(0)
    return np.asarray(np.abs(np.add.reduceat(_twice(turned), turned.starts[:-1])) / 2.0)


def _twice(turned: Turned) -> Array:
    x, y = turned.points.T
    # Taken from each ring's first corner, so that far from the origin nothing is lost.
    home = np.repeat(turned.rings[:-1], np.diff(turned.rings))
    x, y = x - x[home], y - y[home]
    return np.asarray(x * y[turned.after] - x[turned.after] * y)


def convex_of(turned: Turned) -> Whole:
    """(n,): 1 for one convex ring run anticlockwise in the picture, -1 clockwise, 0 for any other shape."""
    way = turned.points[turned.after] - turned.points
    turns = way[:, 0] * way[turned.after, 1] - way[:, 1] * way[turned.after, 0]
    least, most = (sign.reduceat(turns, turned.starts[:-1]) for sign in (np.minimum, np.maximum))
    alone = np.diff(turned.first) == 1
    # A ring that goes round more than once turns one way only too: its area tells.
    side = np.where(least >= 0.0, 1, np.where(most <= 0.0, -1, 0)) * alone
    around = np.add.reduceat(np.arctan2(turns, np.einsum("ij,ij->i", way, way[turned.after])), turned.starts[:-1])
    return np.where(np.abs(around) < 7.0, side, 0).astype(np.intp)
