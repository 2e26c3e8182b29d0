"""Where no pipe is laid the plan says wall by wall whether stone drains it or nothing does."""

from __future__ import annotations

import re

import pytest

from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text
from lynchet.water.model import WaterLevel
from lynchet.water.named_outlets import _without_pipe

LOW = """
lynchet = 1
units = "us"
[ground]
slope = { fall = "4 ft in 24 ft", cross_fall = "1 ft in 30 ft" }
held = "level"
[area]
outline = [[0, 0], [24, 0], [24, 24], [0, 24]]
[drain]
outlet = [[22, 26]]
[brief]
terraces = 6
"""


def _row(leg: str, drained: str) -> WaterLevel:
    return WaterLevel(leg, 1, 0.0, 1.0, "c", drained, 0.0, 0.0, 0.0)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([("W2", "stone")], "Stone alone drains wall W2."),
        ([("W3", "none")], "Wall W3 finds no way out for water."),
        (
            [("W3", "stone"), ("W2", "stone"), ("A0", "none"), ("A1", "none")],
            "Stone alone drains walls W2 and W3. Walls A0 and A1 find no way out for water.",
        ),
        ([("W2", "stone"), ("W2", "none")], "Stone alone drains wall W2. Wall W2 finds no way out for water, in part."),
        ([], "No wall holds enough ground to need one."),
    ],
)
def test_each_wall_is_named_with_what_drains_it(rows: list[tuple[str, str]], told: str) -> None:
    """Stone or nothing, each wall under its own head; one that is both says so; no wall at all is said too."""
    assert _without_pipe([_row(*row) for row in rows]) == told


def test_an_unused_outlet_of_a_plan_without_pipe_names_every_wall_that_stone_drains() -> None:
    """The walls named are those of which the plan's own water levels say it."""
    plan = plan_project(read_project_text(LOW, "low.toml"), effort=LIVE)
    (told,) = [finding.text for finding in plan.findings if finding.code == "water.outlet_unused"]
    assert not plan.water.drains and "or find no way out" not in told
    named = re.findall(r"[AWS]\d[\w.]*(?=[ ,.])", told.partition("drains")[2].partition(". ")[0] + " ")
    assert sorted(name.rstrip(".") for name in named) == sorted({row.leg for row in plan.water.levels
                                                                 if row.drained == "stone"})  # fmt: skip
