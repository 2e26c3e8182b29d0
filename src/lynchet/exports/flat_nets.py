"""Flat polygons cut into triangles: no point is added, so neighbours still meet."""

from __future__ import annotations

from typing import Any

Point = tuple[float, float]


def flat_triangles(polygon: Any) -> tuple[list[Point], list[tuple[int, int, int]]]:
    """Triangles of a polygon.

    Args:
        polygon: shapely polygon or multipolygon, holes allowed.

    Returns:
        Its corners, each once, and triangles as places among them, anticlockwise.
    """
    import shapely

    places: dict[Point, int] = {}
    triangles = []
    for part in shapely.get_parts(shapely.constrained_delaunay_triangles(polygon)):
        ring = [(float(x), float(y)) for x, y in part.exterior.coords[:3]]
        a, b, c = (places.setdefault(point, len(places)) for point in ring)
        twice = (ring[1][0] - ring[0][0]) * (ring[2][1] - ring[0][1])
        twice -= (ring[2][0] - ring[0][0]) * (ring[1][1] - ring[0][1])
        if twice:
            triangles.append((a, b, c) if twice > 0 else (a, c, b))
    return list(places), triangles
