"""What pushes and holds at a section, by slices of the data a plan is written with, on yards filed as people do."""

from __future__ import annotations

import json
from copy import deepcopy
from functools import cache

import pytest

from filed_yards import filed
from lawbook.drained import Data
from lawbook.section_laws import looked_at, sums_are_those_of_the_section
from lawbook.weep_laws import WEEP_LAWS
from lynchet.exports.plan_json import plan_json
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Project

SEEDS = (60004, 60014, 60018, 60019)
"""With and without weep holes, in feet and metres, on soils of three kinds."""


@cache
def _planned(seed: int) -> tuple[Project, Data]:
    plan = plan_project(filed(seed), effort=LIVE)
    return plan.project, json.loads(plan_json(plan, plan.findings))


@pytest.mark.parametrize("seed", SEEDS)
def test_sums_are_those_of_the_section(seed: int) -> None:
    """Sliding and turning of bare courses, by trial wedges and two thousand slices; water behind every place."""
    project, data = _planned(seed)
    assert sums_are_those_of_the_section(data, project) == []
    assert [text for law in WEEP_LAWS for text in law(data)] == []


def test_enough_sections_are_looked_at() -> None:
    """Most checks lie where the section changes along the wall; more than a dozen do not."""
    assert sum(looked_at(_planned(seed)[1]) for seed in SEEDS) > 12


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
