"""Which part of every face is seen: exact, face against face, without any order of painting.

Where numba is there, the edges of all faces and the lines on which they go through one another make a net, and the
nearest face is asked for in every cell of it (``axo_cells``); else polygons are taken from one another
(``axo_overlaps``): two ways to one law. Faces turned away from the viewer cannot be seen and hide nothing that the
faces before them do not.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.axo_camera import Camera
from lynchet.drawings.axo_faces import Face
from lynchet.drawings.axo_overlaps import all_shown, shown_of, whole_parts
from lynchet.drawings.axo_shown import by_cells
from lynchet.drawings.axo_turned import Turned, turned_of

Mask = NDArray[np.bool_]
Whole = NDArray[np.intp]
_SAME = 2e-5
"""Faces nearer together than this, in the measure of nearness, lie in one place: their ranks decide."""
_GRID_M = 1e-6


@dataclass(frozen=True, eq=False)
class Seen:
    """A face turned to the viewer, and what is seen of it and of those it belongs with."""

    face: Face
    """The first of those that are seen."""
    shape: Any
    """Shapely polygon or multipolygon in picture coordinates; not empty."""


@dataclass(frozen=True, eq=False)
class Picture:
    """What is seen of faces."""

    seen: tuple[Seen, ...]
    """In the order of the faces; those of which nothing is seen are left out."""
    before: tuple[Face, ...]
    """Faces that hide others, as far as anything is seen of them."""


def picture_of(
    faces: Sequence[Face],
    camera: Camera,
    same: float = _SAME,
    groups: Sequence[Hashable] = (),
    *,
    compiled: bool = True,
) -> Picture:
    """What is seen of every face.

    Of faces that hide nothing (``Face.hides``), only what the others leave of them is taken off; drawn last, the nearer
    over the farther, they too show what is seen.

    Args:
        faces: of closed bodies, or single sheets turned to the viewer.
        camera: how one looks.
        same: difference of nearness below which faces lie in one place.
        groups: of every face what it belongs to: what is seen of one group is one shape; none = each face alone.
            Faces that hide nothing are always alone.
        compiled: by compiled code where numba is there; else by polygons.
    """
    turned = turned_of(faces, camera)
    own = dict(zip(map(id, faces), groups, strict=True)) if groups else {}
    names = [own[id(face)] if own and face.hides else n for n, face in enumerate(turned.faces)]
    light = np.array([not face.hides for face in turned.faces], dtype=bool)
    solid = np.flatnonzero(~light)
    shown: dict[int, Any] = {}
    front = np.empty(0, dtype=np.intp)
    if len(solid):
        found, front = _solid(turned.part(solid), same, [names[n] for n in solid.tolist()], compiled)
        shown, front = {int(solid[n]): shape for n, shape in found.items()}, solid[front]
    if light.any():
        # Hidden faces are left out of it: most are.
        asked = np.flatnonzero(light | _mask(front, len(light)))
        found = shown_of(turned.part(asked), same, (light[asked], ~light[asked]), {})
        shown |= {int(asked[n]): shape for n, shape in found.items()}
    return Picture(tuple(Seen(turned.faces[n], shown[n]) for n in sorted(shown)),
                   tuple(turned.faces[n] for n in front.tolist()))  # fmt: skip


def seen_of(faces: Sequence[Face], camera: Camera, same: float = _SAME, groups: Sequence[Hashable] = ()) -> list[Seen]:
    """The seen parts of ``picture_of``."""
    return list(picture_of(faces, camera, same, groups).seen)


def seen_before(light: Sequence[Face], hiding: Sequence[Face], camera: Camera, same: float = _SAME) -> list[Seen]:
    """What some faces that hide nothing show before and behind others, which are not given again.

    Args:
        light: of which hidden parts are taken off.
        hiding: what hides them.
        camera: how one looks.
        same: difference of nearness below which faces lie in one place.
    """
    turned = turned_of([*hiding, *light], camera)
    asked = np.array([not face.hides for face in turned.faces], dtype=bool)
    shown = shown_of(turned, same, (asked, ~asked), {})
    return [Seen(turned.faces[n], shown[n]) for n in sorted(shown)]


def _mask(which: Whole, many: int) -> Mask:
    found = np.zeros(many, dtype=bool)
    found[which] = True
    return found


def _solid(turned: Turned, same: float, names: list[Hashable], compiled: bool) -> tuple[dict[int, Any], Whole]:
    """The shape of every group by its first face that is seen, and the faces of which anything is seen."""
    numbers: dict[Hashable, int] = {}
    groups = np.array([numbers.setdefault(name, len(numbers)) for name in names], dtype=np.intp)
    found = by_cells(turned, same, groups) if compiled else None
    return _by_overlaps(turned, same, groups) if found is None else found


def _by_overlaps(turned: Turned, same: float, groups: Whole) -> tuple[dict[int, Any], Whole]:
    """Without compiled code: face by face, those of one group put together."""
    import shapely

    shown = all_shown(turned, same, np.zeros(len(groups), dtype=bool))
    members: dict[int, list[int]] = {}
    for n in sorted(shown):
        members.setdefault(int(groups[n]), []).append(n)
    found: dict[int, Any] = {}
    for own in members.values():
        shape = shown[own[0]]
        if len(own) > 1:
            shape = whole_parts(shapely.union_all([shown[n] for n in own], grid_size=_GRID_M))
        if shape is not None:
            found[own[0]] = shape
    return found, np.array(sorted(shown), dtype=np.intp)


__all__ = ["Picture", "Seen", "picture_of", "seen_before", "seen_of", "whole_parts"]
