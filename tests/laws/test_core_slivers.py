"""Areas of what overlays leave: polygons alone, whatever lies beside them, none at all included."""

from __future__ import annotations

import shapely
from pytest import mark

from lynchet.core.slivers import areas_of, wide_enough

BOX = shapely.box(0.0, 0.0, 2.0, 1.0)
FAR = shapely.box(5.0, 0.0, 6.0, 1.0)
LINE = shapely.LineString([(0.0, 0.0), (3.0, 3.0)])
POINT = shapely.Point(9.0, 9.0)


@mark.parametrize("shape,area_m2", [
    (BOX, 2.0), (shapely.MultiPolygon([BOX, FAR]), 3.0), (LINE, 0.0), (POINT, 0.0), (shapely.Polygon(), 0.0),
    (shapely.GeometryCollection(), 0.0), (shapely.GeometryCollection([POINT, LINE]), 0.0),
    (shapely.GeometryCollection([LINE, BOX, POINT]), 2.0),
    (shapely.GeometryCollection([LINE, shapely.MultiPolygon([BOX, FAR])]), 3.0),
])  # fmt: skip
def test_only_what_has_area_is_left(shape: shapely.Geometry, area_m2: float) -> None:
    found = areas_of(shape)
    assert found.geom_type in ("Polygon", "MultiPolygon")
    assert abs(found.area - area_m2) < 1e-12
    assert abs(wide_enough(shape).area - area_m2) < 1e-3
