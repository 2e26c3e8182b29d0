"""Ties stand where their own wall's timber takes their screws, not in the tip of a corner that two walls share."""

from __future__ import annotations

import shapely

from lawbook.whole import whole
from random_yards import crooked


def test_screws_of_ties_meet_in_no_sharp_corner() -> None:
    """Two walls at 51 degrees: the ties beside their corner were screwed on where the timber of both lies."""
    made = whole(*crooked(98305)).plan
    assert made.stability.ties and not [one for one in made.clashes if one.code == "clash"]
    walls = {run.id: run for run in made.walls.runs}
    for tie in made.stability.ties:
        leg = made.walls.leg(tie.leg)
        station = tie.station_m
        screws = shapely.LineString([leg.point_at(station, 0.01), leg.point_at(station, leg.thickness_m - 0.01)])
        others = [one for one in walls.values() if one.leg != leg.id and one.bottom_m < tie.top_m - 1e-3]
        assert not any(screws.intersects(one.polygon) for one in others if one.top_m > tie.bottom_m + 1e-3)
