"""What pushes and holds at a section, by slices of the data a plan is written with, on yards filed as people do."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from functools import cache

import pytest

from filed_yards import filed
from lawbook.drained import Data
from lawbook.section_laws import (
    BLOCKED,
    SECTION_LAWS,
    blocked_holes_let_the_water_rise,
    looked_at,
    sums_are_those_of_the_section,
    ties_carry_what_the_section_pushes,
)
from lawbook.weep_laws import WEEP_LAWS
from lynchet.exports.plan_json import plan_json
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Project

SEEDS = (60002, 60004, 60006, 60008, 60014, 60018, 60019)
"""With and without weep holes and ties, in feet and metres, on soils of three kinds."""


@cache
def _planned(seed: int) -> tuple[Project, Data]:
    plan = plan_project(filed(seed), effort=LIVE)
    return plan.project, json.loads(plan_json(plan, plan.findings))


@pytest.mark.parametrize("seed", SEEDS)
def test_sums_are_those_of_the_section(seed: int) -> None:
    """Sliding and turning, bare and helped, what ties pull and hold, what blocked weep holes leave: by trial wedges and
    a thousand slices; water behind every place."""
    project, data = _planned(seed)
    assert [text for law in SECTION_LAWS for text in law(data, project)] == []
    assert [text for law in WEEP_LAWS for text in law(data)] == []


def test_enough_sections_are_looked_at() -> None:
    """Joints, ties and words on blocked holes."""
    joints, ties, words = (sum(of) for of in zip(*(looked_at(*_planned(seed)[::-1]) for seed in SEEDS), strict=True))
    assert joints > 100 and ties > 100 and words > 5


def _tie_pulls_less(data: Data) -> None:
    data["stability"]["tie_checks"][0]["demand_kn"] *= 0.95


def _tie_holds_more(data: Data) -> None:
    for one in data["stability"]["tie_checks"]:
        one["capacity_kn"] *= 1.05


def _base_holds_more(data: Data) -> None:
    data["stability"]["tie_checks"][-1]["base_capacity_kn_per_m"] *= 1.05


def _ties_are_shorter(data: Data) -> None:
    for tie in data["stability"]["ties"]:
        tie["length_m"] -= 0.3


def _row_lies_higher(data: Data) -> None:
    for check in data["stability"]["tie_checks"]:
        check["rows"][-1][0] += 0.03


@pytest.mark.parametrize(
    "fault", [_tie_pulls_less, _tie_holds_more, _base_holds_more, _ties_are_shorter, _row_lies_higher]
)
def test_the_law_of_ties_finds_its_fault(fault: Callable[[Data], None]) -> None:
    """Pull, hold, base, length and height of ties, each off by a little."""
    project, data = _planned(60006)
    other = deepcopy(data)
    fault(other)
    assert ties_carry_what_the_section_pushes(other, project)


def test_a_word_on_blocked_holes_that_is_too_good_is_found() -> None:
    """The factor told, raised by two hundredths."""
    project, data = _planned(60002)
    other = deepcopy(data)
    for finding in other["findings"]:
        finding["text"] = BLOCKED.sub(
            lambda told: told[0].replace(told[1], f"{float(told[1]) + 0.02:.2f}"), finding["text"]
        )
    assert blocked_holes_let_the_water_rise(other, project)


def test_water_that_stands_higher_is_found() -> None:
    """A level behind a section moved by 10 cm no longer gives the factors told."""
    project, data = _planned(60019)
    other = deepcopy(data)
    for check in other["stability"]["joints"]:
        check["case"] = check["case"] if check["case"] != "dry" else "earthquake"
        for name in ("wet_m", "one_shut_m", "all_shut_m"):
            if check["place"][name] is not None:
                check["place"][name] += 0.1
    for place in other["stability"]["places"]:
        for name in ("wet_m", "one_shut_m", "all_shut_m"):
            if place[name] is not None:
                place[name] += 0.1
    assert sums_are_those_of_the_section(other, project)
