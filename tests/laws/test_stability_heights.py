"""Heights as a rule counts them: the place along a wall that is highest by that count, found by walking the wall."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lynchet.project.model import HeightRule, Place
from lynchet.stability.heights import check_heights
from worked import SEEDS, plan_of

MEASURES = ("retained", "exposed", "base_to_top")


@pytest.mark.parametrize("seed", SEEDS)
def test_every_rule_counts_the_wall_where_it_is_highest(seed: int) -> None:
    """Each wall walked in 2,000 steps, its levels read off at each: no step is higher than the rule says, and the
    highest is within 2 cm of it; timber seen is never less than ground held, nor lowest timber to top than that."""
    plan = plan_of(seed)
    rules = tuple(HeightRule(measure, measure, 1.0) for measure in MEASURES)
    project = replace(plan.project, place=Place("invented", True, rules))
    known = {place.leg for place in plan.stability.places}
    most = dict.fromkeys(MEASURES, 0.0)
    bottoms = plan.terraces.lattice.bottoms_m
    for leg in plan.walls.legs:
        for station in np.linspace(0.0, leg.length_m, 2001)[1:-1].tolist() if leg.id in known else ():
            segment = leg.segment_at(station)
            if segment is None:
                continue
            low, high = sorted(leg.span_at(station).levels_at(station))
            top, base = bottoms[segment.top + 1], bottoms[segment.base]
            most["exposed"] = max(most["exposed"], top - low, high - low)
            most["base_to_top"] = max(most["base_to_top"], max(top, high) - min(base, low))
    most["retained"] = max(place.retained_m for place in plan.stability.places)
    found = {check.rule: check.height_m for check in check_heights(project, plan.walls, plan.stability.places, ())}
    for measure in MEASURES:
        assert most[measure] - 1e-9 <= found[measure] <= most[measure] + 0.02, measure
    assert found["retained"] <= found["exposed"] + 1e-9 <= found["base_to_top"] + 2e-9


def test_the_buried_courses_of_a_lower_place_count() -> None:
    """On some yard the wall is higher from its lowest timber, or as seen, elsewhere than where it holds most."""
    gained = []
    for seed in SEEDS:
        plan = plan_of(seed)
        worst = max(plan.stability.places, key=lambda place: place.retained_m)
        rules = (HeightRule("whole", "base_to_top", 1.0),)
        project = replace(plan.project, place=Place("invented", True, rules))
        (check,) = check_heights(project, plan.walls, plan.stability.places, ())
        gained.append(check.height_m - (worst.top_m - min(worst.base_m, worst.low_m)))
    assert min(gained) >= -1e-9 and max(gained) > 0.05
