"""Soil beside a bed has timber before it, or a word that says where it has none."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
import shapely

from demo_plans import DEMOS, demo
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from random_yards import crooked, realistic

RAKE_M = 0.05
STEP_M = 0.01
NEAR_M = 0.12
"""An upper course leans back from its line."""


def _bare_m(plan: Plan) -> dict[str, float]:
    """Greatest difference of levels at each wall line with no timber of any wall near the line there, looked for every
    centimetre; differences over less than 6 cm are left out."""
    timber = shapely.union_all([run.polygon for run in plan.walls.runs])
    lines = {line.id: line for line in plan.terraces.lines}
    found: dict[str, float] = {}
    for leg in plan.walls.legs:
        if lines[leg.id].finish != "wall":
            continue
        stations = np.arange(STEP_M / 2, leg.length_m, STEP_M)
        spans = [leg.span_at(float(station)) for station in stations]
        levels = np.array([span.levels_at(float(at)) for span, at in zip(spans, stations, strict=True)])
        high = np.abs(levels[:, 0] - levels[:, 1])
        high[["house" in (span.left, span.right) for span in spans]] = 0.0
        near = shapely.dwithin(timber, shapely.points([leg.point_at(float(at)) for at in stations]), NEAR_M)
        bare = (high > RAKE_M + 0.002) & ~near
        for part in np.split(np.flatnonzero(bare), np.flatnonzero(np.diff(np.flatnonzero(bare)) > 1) + 1):
            if len(part) > 6:
                found[leg.id] = max(found.get(leg.id, 0.0), float(high[part].max()))
    return found


@lru_cache
def _plan(kind: str, number: int) -> Plan:
    return plan_project((realistic if kind == "realistic" else crooked)(number)[0], effort=LIVE)


def _holds(plan: Plan) -> None:
    told = {finding.place: finding for finding in plan.walls.findings if finding.code == "walls.raked"}
    for leg, high in _bare_m(plan).items():
        assert leg in told, f"{leg}: {high:.3f} m without timber and without a word"
        assert told[leg].demand is not None and told[leg].demand >= high - 0.002
    assert all(one.demand is not None and one.demand > RAKE_M for one in told.values())


@pytest.mark.parametrize("name", DEMOS)
def test_demos_tell_where_soil_has_no_timber(name: str) -> None:
    """Looked for every centimetre along every wall line, soil over 5 cm high has timber before it or is told."""
    _holds(demo(name))


@pytest.mark.parametrize(("kind", "number"), [("realistic", 3), ("realistic", 6), ("crooked", 2), ("crooked", 5)])
def test_random_yards_tell_where_soil_has_no_timber(kind: str, number: int) -> None:
    """The same on yards of any shape."""
    _holds(_plan(kind, number))


def test_somewhere_soil_has_no_timber() -> None:
    """The law above looks at something: the side yard has such a place, some 8 to 10 cm high."""
    assert any(0.07 < high < 0.11 for high in _bare_m(demo("side_yard")).values())
