"""What faces hide of one another, by overlaps of polygons: exact, without compiled code.

Over the picture the nearness of a plane is a straight-line function (``axo_camera``). Where two faces overlap, the one
is in front on one side of a straight line, the other beyond it; so what a face hides of another is an overlap of
polygons cut by a line, and what is seen of a face is itself less all that is hidden. Faces that go through one another
or overlap in a ring are no special case.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.axo_sampled import nearest_somewhere
from lynchet.drawings.axo_turned import SLIVER_M2, Turned

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Whole = NDArray[np.intp]
_TOUCH_M = 2e-5
_OVERLAP = "T********"
"""Insides that meet, in the words of shapely's relations."""


def all_shown(turned: Turned, same: float, light: Mask) -> dict[int, Any]:
    """What every face shows.

    Most faces are wholly hidden. So those that are nearest at points of a lattice are worked out among themselves, and
    the others are then held to what these show; the few that are seen all the same come in, until none is left out.
    """
    front = ~light
    front[~light] = nearest_somewhere(turned.shapes[~light], turned.planes[~light], 2.0 * same)
    shown = shown_of(turned, same, (front | light, front), {})
    missed = _beside(turned, front, ~(light | front))
    known = front.copy()
    while True:
        rest = ~(light | front)
        missed |= _before(turned, same, {n: shape for n, shape in shown.items() if known[n]}, rest & ~missed)
        if not missed.any():
            return shown
        left = np.zeros(len(light), dtype=bool)
        left[list(shown)] = True
        front |= missed
        shown = shown_of(turned, same, (left, missed), shown) | shown_of(turned, same, (missed, front), {})
        known, missed = missed, np.zeros(len(light), dtype=bool)


def shown_of(turned: Turned, same: float, which: tuple[Mask, Mask], before: Mapping[int, Any]) -> dict[int, Any]:
    """What the first faces show where the second hide, of what they showed before (else of all of them)."""
    import shapely

    asked, hiding = which
    pairs = _pairs(turned, same, asked, hiding)
    covered = _covered(turned, pairs)
    kept = asked & ~covered
    hiders = _hiders(turned, pairs, kept, covered)
    live = np.flatnonzero(kept)
    shapes = turned.shapes[live]
    for k, n in enumerate(live.tolist() if before else ()):
        shapes[k] = before.get(n, shapes[k])
    many = np.array([len(hiders[n]) for n in live.tolist()], dtype=np.intp)
    alone = np.flatnonzero(many == 1)
    only = np.array([hiders[n][0] for n in live[alone].tolist()], dtype=object)
    shapes[alone] = shapely.difference(shapes[alone], only)
    for k in np.flatnonzero(many > 1).tolist():
        shapes[k] = _less(shapes[k], hiders[live[k]])
    plain = _plain(shapes)
    found: dict[int, Any] = {}
    for k, (n, shape) in enumerate(zip(live.tolist(), shapes.tolist(), strict=True)):
        kept_whole = plain[k] or (n in before and not many[k])
        whole = shape if kept_whole else whole_parts(shape)
        if whole is not None:
            found[n] = whole
    return found


def _less(shape: Any, hiders: list[Any]) -> Any:
    """A shape less all that hides it: the largest first, as most of what is hidden at all is hidden by one."""
    import shapely

    if len(hiders) > 3:
        areas = shapely.area(np.array(hiders, dtype=object))
        order = np.argsort(-areas, kind="stable")
        for n in order[:2].tolist():
            shape = shapely.difference(shape, hiders[n])
            if shape.area < SLIVER_M2:
                return shape
        rest = np.array([hiders[n] for n in order[2:].tolist()], dtype=object)
        rest = rest[shapely.intersects(rest, shape)]
        hiders = list(rest)
    if not hiders:
        return shape
    return shapely.difference(shape, shapely.union_all(hiders) if len(hiders) > 1 else hiders[0])


def _plain(shapes: Any) -> Mask:
    """Which shapes are single polygons that are no slivers, as ``whole_parts`` leaves them."""
    import shapely

    areas = shapely.area(shapes)
    wide = (areas > SLIVER_M2) & (areas > 1e-5 * shapely.length(shapes))
    return np.asarray(wide & (shapely.get_type_id(shapes) == shapely.GeometryType.POLYGON), dtype=np.bool_)


def whole_parts(shape: Any) -> Any:
    """The polygons of a shape without slivers; None where none is left."""
    from shapely.geometry import MultiPolygon

    parts = [part for part in getattr(shape, "geoms", [shape]) if part.geom_type == "Polygon"]
    # A sliver is thin whatever its length: rounding leaves such along shared edges.
    parts = [part for part in parts if part.area > SLIVER_M2 and part.area > 1e-5 * part.length]
    if not parts:
        return None
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Pairs of faces that overlap in the picture, the second in front of the first somewhere."""

    one: NDArray[np.intp]
    two: NDArray[np.intp]
    always: NDArray[np.bool_]
    """The second is in front wherever they overlap."""
    lines: Array
    """(n, 3): nearness of the second less that of the first, ranks taken into account."""


def _pairs(turned: Turned, same: float, asked: Mask, hiding: Mask) -> _Pairs:
    """Pairs of a face that is asked for and one that may hide some of it."""
    import shapely

    first, second = np.flatnonzero(asked), np.flatnonzero(hiding)
    one, two = shapely.STRtree(turned.shapes[second]).query(turned.shapes[first])
    one, two = first[one], second[two]
    keep = one != two
    one, two = one[keep], two[keep]
    order = np.lexsort((two, one))
    one, two = one[order], two[order]
    lines = _nearer(turned, one, two, same)
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
    flat = shapely.area(parts) < SLIVER_M2 / 10.0
    near[open_[flat | (high <= 0)]] = False
    always[open_[low >= 0]] = True
    return _Pairs(one[near], two[near], always[near], lines[near])


def _nearer(turned: Turned, one: Whole, two: Whole, same: float) -> Array:
    """(n, 3): by how much the second of each pair is nearer than the first, over the picture.

    Of faces in one place the higher rank is in front: it is thought nearer by the tolerance, all others farther.
    """
    rank = np.array([face.rank for face in turned.faces])
    lines: Array = turned.planes[two] - turned.planes[one]
    lines[:, 2] += np.where(rank[two] > rank[one], same, -same)
    return lines


def _before(turned: Turned, same: float, shown: Mapping[int, Any], rest: Mask) -> Mask:
    """Faces of the rest that lie somewhere before what others show."""
    import shapely

    found = np.zeros(len(turned.faces), dtype=bool)
    known = np.array(list(shown), dtype=np.intp)
    if not rest.any() or not len(known):
        return found
    first = np.flatnonzero(rest)
    shapes = np.array(list(shown.values()), dtype=object)
    one, at = shapely.STRtree(shapes).query(turned.shapes[first])
    one, two = first[one], known[at]
    lines = _nearer(turned, two, one, same)
    may = _range(shapely.bounds(turned.shapes), (one, two), lines)[1] > 0
    one, two, at, lines = one[may], two[may], at[may], lines[may]
    may = (_at_corners(turned.shapes[one], lines)[1] > 0) & (_at_corners(turned.shapes[two], lines)[1] > 0)
    one, at, lines = one[may], at[may], lines[may]
    may = shapely.relate_pattern(turned.shapes[one], shapes[at], _OVERLAP)
    one, at, lines = one[may], at[may], lines[may]
    parts = shapely.intersection(turned.shapes[one], shapes[at])
    parts = shapely.intersection(parts, _fronts(shapely.bounds(turned.shapes[one]), lines))
    found[one[shapely.area(parts) > SLIVER_M2]] = True
    return found


def _beside(turned: Turned, front: Mask, rest: Mask) -> Mask:
    """Faces of the rest that reach beyond the outline of all that is in front."""
    import shapely

    found = rest.copy()
    if rest.any() and front.any():
        outline = shapely.union_all(turned.shapes[front])
        shapely.prepare(outline)
        open_ = np.flatnonzero(rest & ~shapely.covers(outline, turned.shapes))
        found[:] = False
        found[open_] = shapely.area(shapely.difference(turned.shapes[open_], outline)) > SLIVER_M2
    return found


def _covered(turned: Turned, pairs: _Pairs) -> NDArray[np.bool_]:
    """Faces hidden by a single other one: they are not seen, and what they hide that other one hides too."""
    import shapely

    found = np.zeros(len(turned.faces), dtype=bool)
    area = shapely.area(turned.shapes)
    may = np.flatnonzero(pairs.always & (area[pairs.two] >= area[pairs.one]))
    one, two = turned.shapes[pairs.one[may]], turned.shapes[pairs.two[may]]
    inner, outer = shapely.bounds(one), shapely.bounds(two)
    within = ((inner[:, :2] >= outer[:, :2] - _TOUCH_M) & (inner[:, 2:] <= outer[:, 2:] + _TOUCH_M)).all(axis=1)
    may, one, two = may[within], one[within], two[within]
    found[pairs.one[may[shapely.covers(two, one)]]] = True
    return found


def _hiders(turned: Turned, pairs: _Pairs, kept: Mask, hidden: Mask) -> list[list[Any]]:
    """For every face, the shapes that hide some of it."""
    import shapely

    found: list[list[Any]] = [[] for _ in turned.faces]
    live = np.flatnonzero(kept[pairs.one] & ~hidden[pairs.two])
    shapes = turned.shapes[pairs.two[live]]
    cut = np.flatnonzero(~pairs.always[live])
    if len(cut):
        shapes[cut] = shapely.intersection(shapes[cut], _fronts(shapely.bounds(shapes[cut]), pairs.lines[live[cut]]))
    over = shapely.relate_pattern(turned.shapes[pairs.one[live]], shapes, _OVERLAP)
    for n in np.flatnonzero(over).tolist():
        found[pairs.one[live[n]]].append(shapes[n])
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
