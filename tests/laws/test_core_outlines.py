"""Law of outlines made into polygons together: each is what it is by itself."""

from __future__ import annotations

import numpy as np
import shapely

from lynchet.core.outlines import polygons_of


def test_outlines_are_the_same_alone_and_together() -> None:
    """Random outlines, closed or not, with as many corners each or not, against a library's polygons one by one."""
    rng = np.random.default_rng(1)
    alike = 0
    for _ in range(200):
        few = int(rng.integers(3, 9)) if rng.random() < 0.7 else 0
        outlines = []
        for _ in range(int(rng.integers(0, 6))):
            ring = [(float(x), float(y)) for x, y in rng.uniform(0.0, 5.0, (few or int(rng.integers(3, 9)), 2))]
            outlines.append([*ring, ring[0]] if rng.random() < 0.1 else ring)
        found = polygons_of(outlines)
        assert [shape.wkb for shape in found] == [shapely.Polygon(ring).wkb for ring in outlines]
        alike += len(outlines) > 1 and len({len(ring) for ring in outlines}) == 1
    assert 20 < alike < 180
