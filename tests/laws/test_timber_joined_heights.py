"""Screws and corner pins between courses that are not all of one height: none comes out, each holds, each is listed."""

from __future__ import annotations

from collections import Counter

import pytest

from lawbook.fastener_laws import fasteners
from lynchet.plan.building_days import days_of
from lynchet.plan.day_parts import day_parts
from lynchet.plan.pipeline import kept_clear
from lynchet.timber.sizes import sizes_of
from standing_yards import as_written, planned, stands, walls_of

LENGTHS = {("garden", "high"): {0.2, 0.22, 0.24}, ("garden", "low"): {0.24, 0.26},
           ("plain", "high"): {0.2032, 0.254}, ("plain", "low"): {0.254}}  # fmt: skip
"""Screws of a wall of which a course is thinned or packed by 25 mm, by the hand rule below: 150 mm courses, thin above
and below, and 5 1/2 in ones, where 10 in is enough with packing too."""


@pytest.mark.parametrize(
    ("units", "course_m", "over_m", "under_m", "screw_m", "pin_m"),
    # Worked by hand: the upper timber and half the lower, the next length on sale; both timbers less 10 mm, down to
    # the millimetre or the eighth of an inch. PRACTICE.
    [
        ("metric", 0.150, 0.150, 0.150, 0.240, 0.290),
        ("metric", 0.150, 0.125, 0.150, 0.200, 0.265),
        ("metric", 0.150, 0.175, 0.150, 0.260, 0.315),
        ("metric", 0.150, 0.150, 0.125, 0.220, 0.265),
        ("us", 0.1397, 0.1147, 0.1397, 0.2032, 0.2413),
    ],
)
def test_a_screw_is_as_long_as_its_two_timbers_ask(units, course_m, over_m, under_m, screw_m, pin_m):
    sizes = sizes_of(course_m, course_m, units)
    assert sizes.screw_for(over_m, under_m) == pytest.approx(screw_m)
    assert sizes.pin_for(over_m, under_m) == pytest.approx(pin_m)


@pytest.mark.parametrize("way", ["high", "low"])
@pytest.mark.parametrize("name", ["garden", "plain"])
def test_steel_stays_in_its_timber_where_a_wall_is_brought_back_to_level(name, way):
    lengths = set()
    for wall in walls_of(as_written(name))[:2]:
        plan = planned(name, stands(wall, 1, **{way: "25 mm"}, answer="level"))
        assert not fasteners(
            plan.walls, plan.pieces, plan.timber.fasteners, kept_clear(plan.walls, plan.water, plan.stability)
        )
        _listed_as_placed(plan)
        lengths |= {one.length_m for one in plan.timber.fasteners if one.kind == "screw" and one.leg == wall}
    assert {round(one, 4) for one in lengths} == LENGTHS[name, way]


def _listed_as_placed(plan):
    """What is still to be driven is listed by its length, and its days bring as many of each."""
    days = days_of(plan)
    lines = Counter({(one.kind, round(one.length_m, 4)): one.count for one in plan.timber.fastener_lines
                     if one.kind in ("screw", "corner pin")})  # fmt: skip
    assert lines == Counter((one.kind, round(one.length_m, 4)) for one in plan.timber.fasteners
                            if one.kind in ("screw", "corner pin") and days.day_of(one.id) > 0)  # fmt: skip
    brought: Counter[tuple[str, float]] = Counter()
    for today in day_parts(plan):
        brought.update(today.fixings)
    assert all(brought[key] == count for key, count in lines.items())
