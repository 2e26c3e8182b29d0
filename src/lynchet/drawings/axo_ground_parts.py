"""Parts of the ground in plan: cut across, split where one plane passes through another, made sound."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.same import Same
from lynchet.drawings.axo_faces import Plane, levels
from lynchet.ground.model import Surface

_NO_AREA_M2 = 1e-6
_TOUCH_M = 1e-6
_LEVEL = 1e-9
"""Planes whose slopes differ by less are parallel."""


def existing(surface: Surface, shape: Any) -> tuple[tuple[Any, Plane], ...]:
    """The measured ground under a shape, triangle by triangle; beds as they are stay so from picture to picture."""
    return () if shape is None or shape.is_empty else _under(Same(surface), shape)


@lru_cache(maxsize=256)
def _under(ground: Same[Surface], shape: Any) -> tuple[tuple[Any, Plane], ...]:
    import shapely

    surface = ground.thing
    at = np.sort(surface.tree.query(shape, predicate="intersects"))
    parts = shapely.intersection(surface.polygons[at], shape)
    plain = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    large = shapely.area(parts) > _NO_AREA_M2
    found: list[tuple[Any, Plane]] = []
    for part, plane, is_plain, is_large in zip(
        parts.tolist(), surface.planes[at].tolist(), plain.tolist(), large.tolist(), strict=True
    ):
        a, b, c = plane
        found += [(one, (a, b, c)) for one in ((part,) * is_large if is_plain else polygons_of(part))]
    return tuple(found)


def over_plane(parts: Sequence[tuple[Any, Plane]], plane: Plane) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """How high each part, of a plane of its own, lies over another at the corners of its outer ring; whose each is."""
    import shapely

    rings = shapely.get_exterior_ring(np.array([part for part, _ in parts], dtype=object))
    points, owners = shapely.get_coordinates(rings, return_index=True)
    planes = (np.array([own for _, own in parts]) - plane).reshape(-1, 3)[owners]
    return levels(planes, points), owners


def split_all(
    parts: Sequence[tuple[Any, Plane]], two: Plane
) -> Iterator[tuple[tuple[tuple[Any, ...], tuple[Any, ...]], tuple[Any, Plane]]]:
    """Where the plane of each part is the higher, and where the second plane is; with the part itself."""
    if not parts:
        return
    values, owners = over_plane(parts, two)
    first = np.searchsorted(owners, np.arange(len(parts)))
    low, high = np.minimum.reduceat(values, first).tolist(), np.maximum.reduceat(values, first).tolist()
    for n, (shape, plane) in enumerate(parts):
        if low[n] > -_TOUCH_M:
            yield ((shape,), ()), parts[n]
        elif high[n] < _TOUCH_M:
            yield ((), (shape,)), parts[n]
        else:
            yield _split(shape, plane, two), parts[n]


@lru_cache(maxsize=256)
def _split(shape: Any, one: Plane, two: Plane) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """Where the first plane is the higher, and where the second is; both are somewhere."""
    import shapely

    a, b, c = (p - q for p, q in zip(one, two, strict=True))
    over = shapely.intersection(shape, _half(shape, (a, b, c)))
    return tuple(polygons_of(over)), tuple(polygons_of(shapely.difference(shape, over)))


def where_higher(shape: Any, one: Plane, two: Plane) -> tuple[Any, ...]:
    """Parts of a shape over which the first plane lies higher: cut once, so that no needle of the rest hangs on."""
    import shapely

    a, b, c = (p - q for p, q in zip(one, two, strict=True))
    if np.hypot(a, b) < _LEVEL:
        return tuple(polygons_of(shape)) if c > 0.0 else ()
    return tuple(polygons_of(shapely.intersection(shape, _half(shape, (a, b, c)))))


def _half(shape: Any, line: Plane) -> Any:
    """Round a shape, where a x + b y + c is over nothing."""
    import shapely

    a, b, c = line
    size = float(np.hypot(a, b))
    left, low, right, high = shape.bounds
    middle, wide = np.array([(left + right) / 2, (low + high) / 2]), right - left + high - low + 1.0
    across, along = np.array([a, b]) / size, np.array([-b, a]) / size
    start = middle - across * (a * middle[0] + b * middle[1] + c) / size
    deep = wide + float(np.hypot(*(start - middle)))
    corners = [start - along * deep, start - along * deep + across * deep, start + along * deep + across * deep,
               start + along * deep]  # fmt: skip
    return shapely.polygons(np.array(corners))


def share_of(shape: Any, along: tuple[float, float], share: float) -> tuple[Any, Any]:
    """A shape cut across: the part that is done, from one end on, and the part that is not."""
    from shapely.geometry import Polygon

    if share >= 1.0 or shape.is_empty:
        return shape, Polygon()
    if share <= 0.0:
        return Polygon(), shape
    ends = [x * along[0] + y * along[1] for part in polygons_of(shape) for x, y in part.exterior.coords]
    at = min(ends) + share * (max(ends) - min(ends)) if ends else 0.0
    half = _half(shape, (-along[0], -along[1], at))
    return areas(shape.intersection(half)), areas(shape.difference(half))


def areas(shape: Any) -> Any:
    """The polygons of a shape alone."""
    from shapely.geometry import MultiPolygon

    return shape if shape.geom_type in ("Polygon", "MultiPolygon") else MultiPolygon(list(polygons_of(shape)))


def sound(shape: Any) -> Any:
    """The polygons of a shape alone, made sound where an overlay off the grid left a hole past its rim."""
    import shapely

    return areas(shape if shapely.is_valid(shape) else shapely.make_valid(shape))


def polygons_of(shape: Any) -> Iterator[Any]:
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and part.area > _NO_AREA_M2:
            yield part
