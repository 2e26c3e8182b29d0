"""Law of the first look at pairs that may clash: what it says stands apart does so when looked at closely."""

from __future__ import annotations

import numpy as np
import shapely

from lynchet.plan.clash import THIN_M, _apart


def _box(rng: np.random.Generator) -> shapely.Polygon:
    """A timber, a pin or a sliver, turned somehow; a third of them square to each other, so that many just touch."""
    long, wide = rng.choice([0.0004, 0.001, 0.0011, 0.1, 0.2, 0.5], 2)
    angle = float(rng.choice([0.0, 0.3, np.pi / 2, rng.uniform(0, np.pi)]))
    way = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    corners = np.array([(-long, -wide), (long, -wide), (long, wide), (-long, wide)]) / 2.0
    return shapely.Polygon(corners @ way.T + np.round(rng.uniform(0, 1, 2), 1) + [40.0, -7.0])


def test_pairs_called_apart_do_not_meet_when_thinned():
    """Against a library's thinned outlines, of thousands of pairs; and the first look does settle most of them."""
    rng = np.random.default_rng(3)
    told = met = count = 0
    for _ in range(60):
        shapes = np.array([_box(rng) for _ in range(20)])
        pairs = [(i, j) for i in range(20) for j in range(i)]
        thin = shapely.buffer(shapes, -THIN_M / 2.0, join_style="mitre")
        meets = [bool(shapely.intersects(thin[i], thin[j])) for i, j in pairs]
        apart = _apart(pairs, shapes)
        assert not any(one and two for one, two in zip(apart, meets, strict=True))
        told, met, count = told + sum(apart), met + sum(meets), count + len(pairs)
    assert told > 0.9 * (count - met)
    assert met > 200
