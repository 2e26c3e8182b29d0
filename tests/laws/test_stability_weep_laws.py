"""Weep holes by their own data alone: the laws hold on yards that ask for them, and each finds its fault."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from functools import cache

import pytest

from banked_yards import banked
from demo_plans import demo
from filed_yards import filed
from lawbook.drained import Data, along, at, held_of
from lawbook.weep_laws import (
    WEEP_LAWS,
    holes_are_not_closed,
    holes_begin_in_stone,
    holes_go_from_held_ground_to_the_open,
    no_hole_is_for_nothing,
    no_soil_of_banks_covers_holes,
    water_stands_as_high_as_it_is_let,
    what_counts_on_holes_has_them,
)
from lynchet.core.standing import Standing
from lynchet.exports.plan_json import plan_json
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_on, plan_project
from random_yards import realistic

SEEDS = (3, 51002, 51008, 51017, 51035)
"""Holes among them once bored over the stone, or a hand too far apart beside steps."""


@cache
def data_of(seed: int) -> Data:
    """The data of a random yard with weep holes; of the L garden where the seed is below 0."""
    if seed < 0:
        plan = demo("l_garden")
    else:
        project, ground = realistic(seed)
        project = replace(project, brief=replace(project.brief, weeps=True))
        plan = plan_on(project, ground, Standing(), LIVE, lambda stage: None)
    return json.loads(plan_json(plan, plan.findings))


@pytest.mark.parametrize("seed", [-1, *SEEDS])
def test_every_law_of_weep_holes_holds(seed: int) -> None:
    """Spacing, stone, ground on both sides, timber, steel and steps, and the water that is counted on."""
    data = data_of(seed)
    assert data["stability"]["weeps"]
    assert [f"{law.__name__}: {text}" for law in WEEP_LAWS for text in law(data)] == []


@cache
def banked_data(seed: int) -> Data:
    """The data of a random yard with banks and weep holes."""
    project, ground = banked(seed)
    project = replace(project, brief=replace(project.brief, weeps=True))
    plan = plan_on(project, ground, Standing(), LIVE, lambda stage: None)
    return json.loads(plan_json(plan, plan.findings))


@pytest.mark.parametrize("seed", [9302, 9307, 9325, 9327])
def test_holes_keep_off_soil_round_the_ends_of_fronts(seed: int) -> None:
    """Where a front ends between banks, soil lies before a part of the wall: two to five holes each lay under it."""
    data = banked_data(seed)
    assert data["walls"]["bank_ends"] and data["stability"]["weeps"]
    assert [f"{law.__name__}: {text}" for law in WEEP_LAWS for text in law(data)] == []


def _first(data: Data) -> Data:
    return data["stability"]["weeps"][0]  # type: ignore[no-any-return]


def gone(data: Data) -> None:
    """Every second hole is not bored."""
    data["stability"]["weeps"] = data["stability"]["weeps"][::2]


def counted_lower(data: Data) -> None:
    """A place counts on water three inches lower than a hole lets it out."""
    for place in data["stability"]["places"]:
        if place["weep_m"] is not None:
            place["weep_m"] -= 0.075
            return


def stands_lower(data: Data) -> None:
    """Water with every outlet shut stands lower than anything lets it."""
    place = next(one for one in data["stability"]["places"] if one["all_shut_m"] is not None)
    place["all_shut_m"] -= 0.05


def in_the_ground(data: Data) -> None:
    """A hole opens under the ground in front."""
    _first(data)["level_m"] -= 0.3


def through_the_top(data: Data) -> None:
    """A bore leaves its timber at the back, a quarter of an inch under the top in front."""
    hole = _first(data)
    top = next(run["top_m"] for run in data["walls"]["runs"]
               if (run["leg"], run["course"]) == (hole["leg"], hole["course"]))  # fmt: skip
    hole["up_m"] += top - 0.0125 - 0.00635 - hole["level_m"]
    hole["level_m"] = top - 0.0125 - 0.00635


def over_the_stone(data: Data) -> None:
    """The stone of its pocket ends lower than a hole."""
    for stone in data["water"]["stone"]:
        if stone["chain"] == _first(data)["chain"]:
            stone["top_start_m"] = stone["top_end_m"] = stone["bottom_m"] + 0.02


def at_a_joint(data: Data) -> None:
    """A piece of its course ends at a hole."""
    hole = _first(data)
    for piece in data["pieces"]:
        if (piece["leg"], piece["course"]) == (hole["leg"], hole["course"]):
            piece["end_m"] = [hole["station_m"] + 0.05] * 2


def behind_a_step(data: Data) -> None:
    """A step stands against the wall before a hole."""
    hole = _first(data)
    leg = next(one for one in data["walls"]["legs"] if one["id"] == hole["leg"])
    left = along(leg, hole["point_m"])[1]
    ring = [at(leg, hole["station_m"] + s, left - hole["held"] * out)
            for s, out in ((-0.4, 0.01), (0.4, 0.01), (0.4, 0.4), (-0.4, 0.4))]  # fmt: skip
    data["terraces"]["flights"].append({"treads": [{"id": "S9/1", "outline_m": ring}]})


def under_a_bank(data: Data) -> None:
    """Soil round the end of a front lies before a hole, a hand over it."""
    (x, y), level = (hole := _first(data))["point_m"], hole["level_m"] + 0.1
    crest, toe = [[x - 3.0, y - 3.0], [x + 3.0, y - 3.0]], [[x - 3.0, y + 3.0], [x + 3.0, y + 3.0]]
    end = {"line": "A9", "edge_m": crest, "edge_levels_m": [level] * 2, "toe_m": toe, "toe_levels_m": [level] * 2}
    data["walls"]["bank_ends"].append(end)


def a_screw_in_it(data: Data) -> None:
    """A screw stands in a hole."""
    hole = _first(data)
    ring = hole["outline_m"]
    middle = [sum(point[axis] for point in ring) / len(ring) for axis in (0, 1)]
    steel = {"id": "x", "point_m": middle, "end_m": middle, "bottom_m": hole["level_m"] - 0.1,
             "top_m": hole["level_m"] + 0.1}  # fmt: skip
    data["timber"]["fasteners"].append(steel)


def for_nothing(data: Data) -> None:
    """No place counts on any hole."""
    for place in data["stability"]["places"]:
        place["weep_m"] = None


FAULTS: tuple[tuple[Callable[[Data], None], Callable[[Data], list[str]]], ...] = (
    (gone, what_counts_on_holes_has_them),
    (counted_lower, what_counts_on_holes_has_them),
    (stands_lower, water_stands_as_high_as_it_is_let),
    (for_nothing, water_stands_as_high_as_it_is_let),
    (in_the_ground, holes_go_from_held_ground_to_the_open),
    (through_the_top, holes_go_from_held_ground_to_the_open),
    (over_the_stone, holes_begin_in_stone),
    (at_a_joint, holes_are_not_closed),
    (behind_a_step, holes_are_not_closed),
    (a_screw_in_it, holes_are_not_closed),
    (under_a_bank, no_soil_of_banks_covers_holes),
    (for_nothing, no_hole_is_for_nothing),
)


@pytest.mark.parametrize("seed", [64222, 64229])
def test_holes_keep_off_pins_of_corners_over_them_and_stay_in_their_course(seed: int) -> None:
    """Yards of a file: a wall steps at a corner whose pin goes through the hole's course; courses of 89 mm, in which a
    bore three quarters up leaves the timber at the back, into the tie over it."""
    plan = plan_project(filed(seed), effort=LIVE)
    data = json.loads(plan_json(plan, plan.findings))
    assert data["stability"]["weeps"]
    assert [f"{law.__name__}: {text}" for law in WEEP_LAWS for text in law(data)] == []


@pytest.mark.parametrize(("fault", "law"), FAULTS)
def test_each_law_finds_its_fault(fault: Callable[[Data], None], law: Callable[[Data], list[str]]) -> None:
    """A doctored copy of the data breaks the law that is about it."""
    data = deepcopy(data_of(-1))
    fault(data)
    assert law(data)


def test_stretches_of_the_data_are_those_of_the_walls() -> None:
    """Every place lies on a stretch of its wall that holds ground on its side; both ends of a stretch are near it."""
    data = data_of(-1)
    stretches = list(held_of(data))
    for place in data["stability"]["places"]:
        assert any(one.leg["id"] == place["leg"] and one.held == place["held"]
                   and min(abs(place["station_m"] - s) for s in (one.start_m, one.end_m)) < 1e-3
                   for one in stretches)  # fmt: skip
