"""Laws of held ground that no pipe lies close to."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
import shapely

sys.path.insert(0, str(Path(__file__).parents[1]))

from lawbook.case import plan
from lynchet.project.model import DrainWish
from lynchet.water.cover import NEAR_M, far_places
from lynchet.water.pockets import stretches_of
from lynchet.water.settings import settings_of
from random_yards import realistic


class _Pipe:
    """As much of a drain as the look at far places wants."""

    def __init__(self, *points_m: tuple[float, float]) -> None:
        self.points_m = points_m


@pytest.mark.parametrize("seed", [3, 8, 11])
def test_far_places_are_those_a_look_at_every_half_centimetre_finds(seed):
    """Behind walls with pipe along parts of them the worst place of every leg is the one a plain dense look finds."""
    walls = plan(*realistic(seed)).walls
    stretches = stretches_of(walls, settings_of(DrainWish()))
    rng = np.random.default_rng(seed)
    pipes = []
    for stretch in stretches:
        ends = np.sort(rng.uniform(stretch.start_m, stretch.end_m, 2))
        pipes.append(_Pipe(*(stretch.pipe_at(float(end)) for end in ends)))
    lines = shapely.MultiLineString([pipe.points_m for pipe in pipes])
    worst: dict[str, float] = {}
    for stretch in stretches:
        for piece in stretch.pieces:
            for at in np.linspace(piece.start_m, piece.end_m, 2 + int((piece.end_m - piece.start_m) / 0.005)).tolist():
                low, high = piece.levels_at(at)
                away = lines.distance(shapely.Point(stretch.leg.point_at(at, stretch.face_m)))
                if away > NEAR_M and high - low > 0.1:
                    worst[stretch.leg.id] = max(worst.get(stretch.leg.id, 0.0), away)
    found: dict[str, float] = {}
    for place in far_places(stretches, pipes, 0.1):
        found[place.leg] = max(found.get(place.leg, 0.0), place.away_m)
    clear = {leg for leg, away in worst.items() if away > NEAR_M + 0.01}
    assert clear and clear <= set(found) <= set(worst)
    assert all(abs(found[leg] - worst[leg]) <= 0.13 for leg in clear), "no farther off than half a step"
