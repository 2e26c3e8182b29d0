"""Law of pins and what they may not meet: looked at by distance, they meet what their outlines meet."""

from __future__ import annotations

import numpy as np
import shapely

from lynchet.stability.obstacles import Obstacle, Obstacles, in_columns, round_things


def test_round_things_meet_what_their_outlines_meet():
    """Of random boxes with sharp and round clearances, against a library's outlines one by one; owners left out."""
    rng = np.random.default_rng(1)
    met = 0
    for _ in range(40):
        low, size = rng.uniform(0, 2, (8, 2)), rng.uniform(0.05, 0.5, (8, 2))
        standing = [
            Obstacle(shapely.box(*a, *(a + b)), 0.0, 1.0, str(n % 3), float(rng.choice([0.02, 0.1])), bool(n % 2))
            for n, (a, b) in enumerate(zip(low, size, strict=True))
        ]
        wide = [shapely.buffer(one.outline, one.clear_m, join_style="mitre" if one.sharp else "round",
                               quad_segs=one.quarter) for one in standing]  # fmt: skip
        points, owners = rng.uniform(0, 2.5, (60, 2)), [str(owner) for owner in rng.integers(0, 4, 60)]
        radius = float(rng.choice([0.006, 0.05]))
        hits = Obstacles(in_columns(standing)).hits_round(points, radius, np.tile((0.0, 1.0), (60, 1)), owners)
        for hit, outline, owner in zip(hits.tolist(), round_things(points, radius), owners, strict=True):
            assert hit == any(one.owner != owner and shape.intersects(outline)
                              for one, shape in zip(standing, wide, strict=True))  # fmt: skip
        met += int(hits.sum())
    assert 100 < met < 1000
