"""Flights up a yard aslant to its walls, with timber thin and wide: nothing else stands where their steps stand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from lynchet.core.standing import Standing
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.project import model as pm
from lynchet.project import things
from lynchet.water.model import Fitting
from lynchet.water.settings import settings_of
from lynchet.water.stage import _comes_up
from lynchet.water.yard import Yard
from random_yards import Placing, placed, realistic, realistic_draft
from yards import project_of, readings_over, timber

SECTIONS = ((0.10, 0.20), (0.14, 0.14), (0.15, 0.25), (0.10, 0.10))
SEEDS = (2, 3, 4, 5, 8, 10, 16, 28)
"""Quick to plan, all with flights; in the first one is let into a wall whose timber is wider than half a tread."""


@cache
def aslant(seed: int) -> Plan:
    """A realistic yard with a flight up it at up to 27 degrees off the fall, turned and perhaps mirrored."""
    draft, rng = realistic_draft(seed), np.random.default_rng([seed, 11])
    wide, deep = (max(point[axis] for point in draft.outline) for axis in (0, 1))
    x, off = wide * float(rng.uniform(0.3, 0.7)), float(rng.uniform(-0.5, 0.5))
    course, thick = SECTIONS[seed % 4]
    brief = replace(draft.brief, terraces=max(2, min(7, int(deep / 1.3))), path_strip_m=(0.6, None)[seed % 2],
                    lean=(0.0, None, 0.1)[seed % 3])  # fmt: skip
    stock = tuple(pm.Stock(length) for length in (2.4, 3.6))
    wood = replace(draft.timber, course_m=course, thickness_m=thick, stock=stock)
    wish = things.StepsWish("steps", ((x, -1.5), (x + off * deep, deep + 0.5)), float(rng.uniform(0.8, 1.2)))
    yard = replace(draft, brief=brief, timber=wood, houses=(), paths=(), fixed=(), steps=(wish,))
    turned = Placing(float(rng.uniform(0.0, 6.28)), bool(rng.random() < 0.5))
    return plan_on(*placed(yard, turned), Standing(), LIVE, lambda stage: None)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_step_is_in_one_place_with_anything_else(seed: int) -> None:
    """The program's own things never clash with its steps: nobody could move them."""
    assert aslant(seed).terraces.flights
    assert [found.text for found in aslant(seed).clashes if "step" in found.text.lower()] == []


@pytest.mark.parametrize(("deep_m", "slope"), [(5.6, 0.46), (6.4, 0.5)])
def test_stone_beside_steps_let_in_keeps_off_the_step_below(deep_m: float, slope: float) -> None:
    """Steps of 178 mm over several benches, drained at their cheeks over less than a step: stone grows uphill alone."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, deep_m), (0.0, deep_m)]
    readings = readings_over(outline, lambda x, y: 100.0 + slope * y + 0.02 * x)
    wish = things.StepsWish("steps", ((4.5, 0.5), (4.5, deep_m - 0.4)), 1.0)
    yard = project_of(outline, readings, brief=pm.Brief(terraces=5), steps=(wish,), timber=timber(0.178, 0.14))
    found = plan_on(*yard, Standing(), LIVE, lambda stage: None)
    assert [flight.kind for flight in found.terraces.flights] == ["through"]
    assert [one.text for one in found.clashes if one.code == "clash"] == []


@pytest.mark.parametrize("seed", (90028, 90007, 50048))
def test_what_the_program_lays_out_itself_is_in_no_one_place(seed: int) -> None:
    """Pipe that leaves a flight beside the next step down; the apron of an outlet beside steps; fabric that would lie
    in the timber of a wall along a path: none of them stands where another thing does."""
    found = plan_on(*realistic(seed), Standing(), LIVE, lambda stage: None)
    assert [one.text for one in found.clashes if one.code == "clash"] == []


@pytest.mark.parametrize("seed", SEEDS)
def test_every_first_box_has_room_behind_its_wall(seed: int) -> None:
    """No box has its back before its front, and the first behind a wall it is let into is 50 mm deep or more."""
    for flight in aslant(seed).terraces.flights:
        for tread in flight.treads:
            (x0, y0), (x1, y1) = tread.outline_m[1], tread.outline_m[2]
            way = (x1 - x0, y1 - y0)
            up = tuple(b - a for a, b in zip(flight.outline_m[1], flight.outline_m[2], strict=True))
            assert np.hypot(*way) >= 0.049 and way[0] * up[0] + way[1] * up[1] > 0.0


def test_no_cleanout_comes_up_through_a_step() -> None:
    """A cleanout is refused wherever its pipe would meet steps; elsewhere it may come up."""
    plan = aslant(2)
    assert plan.terraces.flights and plan.water.drains
    project = plan.project
    yard = Yard(project, plan.ground, plan.terraces, plan.walls, settings_of(project.drain))
    drain = plan.water.drains[0]
    chains = {chain.id: chain for chain in plan.water.chains}
    steps = frozenset(flight.id for flight in plan.terraces.flights)
    boxes = [shapely.Polygon(tread.outline_m) for flight in plan.terraces.flights for tread in flight.treads]
    clear, high = 0, max(run.top_m for run in plan.walls.runs) + 5.0
    for x, y in np.random.default_rng(3).uniform(-1.0, 12.0, (600, 2)).tolist():
        fitting = Fitting("c", "cleanout", drain.id, (x, y), high, high + 0.5)  # over all timber: steps alone count
        near = min(box.distance(shapely.Point(x, y)) for box in boxes)
        up = _comes_up(yard, fitting, chains, steps)
        assert not (up and near < yard.settings.radius_m), (x, y)
        clear += up
    assert clear > 100


@pytest.mark.parametrize(("slope", "wide"), [(0.2, 0.4), (0.24, 0.6), (0.28, 0.8)])
def test_no_step_stands_in_a_wall_that_takes_over_from_a_bank(slope: float, wide: float) -> None:
    """Steps 10 cm off an edge that ends as a bank too narrow for its height: refused at the walls on it with the way
    out, which moves them aside so that all are built."""
    outline = [(0.0, 0.0), (6.0, 0.0), (6.0, 9.6), (0.0, 9.6)]
    readings = readings_over(outline, lambda x, y: 100.0 + slope * y)
    wish = things.StepsWish("steps", ((5.3, -1.0), (5.3, 9.0)), 1.2)
    yard, ground = project_of(outline, readings, brief=pm.Brief(terraces=3), steps=(wish,),
                              edges=(pm.EdgeRule(1, "bank", width_m=wide),))  # fmt: skip
    made = plan_on(yard, ground, Standing(), LIVE, lambda stage: None)
    assert [found.text for found in made.clashes if "step" in found.text.lower()] == []
    unfit = [found for found in made.terraces.findings if found.code == "terraces.flight_unfit"]
    assert unfit
    assert all("in the wall on A1" in found.text and found.cures[0].name == "move-steps" for found in unfit)
    assert len(made.terraces.flights) + len(unfit) == 3
    aside = replace(wish, line_m=tuple((x - 0.1, y) for x, y in wish.line_m))
    moved = plan_on(replace(yard, steps=(aside,)), ground, Standing(), LIVE, lambda stage: None)
    assert len(moved.terraces.flights) == 3
    assert [found.text for found in moved.clashes if "step" in found.text.lower()] == []
