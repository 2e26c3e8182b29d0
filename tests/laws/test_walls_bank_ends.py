"""Soil round the end of a front that ends at a bank: by hand on level ground, and by an integral where it falls."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from functools import cache
from math import dist, hypot, pi

import numpy as np
import pytest
import shapely

from banked_yards import banked
from days_and_order import not_adding_up
from lawbook.book import broken
from lawbook.case import plan as case_of
from lynchet.core.standing import Standing
from lynchet.earth.stage import earth
from lynchet.exports.ground_nets import ground_after
from lynchet.exports.setting_csv import setting_csv
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.project.model import Brief, EdgeRule
from lynchet.walls.bank_end import BankEnd
from yards import project_of

OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 8.0), (0.0, 8.0)]


@cache
def _yard(slope: float, levels: tuple[float, float]) -> Plan:
    """Two beds on ground that rises with y, banks at its sides, walls below and above."""
    places = [(x, y) for x in (-8.0, 4.5, 17.0) for y in (-8.0, 4.0, 16.0)]
    edges = (EdgeRule(1, "bank", 4.0), EdgeRule(3, "bank", 4.0))
    project, found = project_of(OUTLINE, [(x, y, 100.0 + slope * y) for x, y in places],
                                brief=Brief(terraces=2, levels=levels), edges=edges)  # fmt: skip
    return plan_on(project, found, Standing(), LIVE, lambda _: None)


def _moved(plan: Plan) -> tuple[float, float]:
    """Cut and fill of the whole yard, topsoil with the digging."""
    moves = earth(plan.project, plan.ground, plan.terraces, plan.walls, plan.water, plan.stability).moves
    fill = sum(m.volume_m3 for m in moves if m.kind in ("fill", "topsoil back", "bed soil"))
    return sum(m.volume_m3 for m in moves if m.measure == "bank"), fill


def _ends_soil(plan: Plan) -> tuple[float, float]:
    """Dug and put in for the ends alone."""
    less = replace(plan, walls=replace(plan.walls, bank_ends=()))
    (cut, fill), (plain_cut, plain_fill) = _moved(plan), _moved(less)
    return cut - plain_cut, fill - plain_fill


def _integral(plan: Plan, end: BankEnd, slope: float, side_m: float = 0.02) -> float:
    """Soil of an end by columns of 2 cm: the highest slope of 1 in 2 that comes down from the end of the upper bank and
    the ground beside it, less what lies under it. Worked from levels and lines alone, on ground that is a plane.
    """
    out = 1.0 if end.edge_m[0][0] > 4.0 else -1.0
    px, high, low = 9.0 if out > 0 else 0.0, end.level_m, end.level_m - end.step_m
    py = end.edge_m[0][1]
    x, y = np.meshgrid(
        np.arange(px - 4.0, px + 4.0, side_m) + side_m / 2, py - np.arange(0.0, 7.0, side_m) - side_m / 2
    )
    far = np.arange(0.0, 4.0, 0.01)
    ground = 100.0 + slope * y
    at_end = 100.0 + slope * py
    crest = np.maximum(high - far / 2, at_end) if high > at_end else np.minimum(high + far / 2, at_end)
    away = (x - px) * out / 2
    outside = np.where(low > ground, np.maximum(low - away, ground), np.minimum(low + away, ground))
    under = np.where((x - px) * out > 0.0, outside, low)
    over = np.full(x.shape, -np.inf)
    for f, level in zip(far, crest, strict=True):
        over = np.maximum(over, level - 0.5 * np.hypot(x - px - out * f, y - py))
    return float(np.maximum(over - under, 0.0).sum() * side_m**2)


def test_by_hand_on_level_ground() -> None:
    """The lower bed flush with level ground, the upper one h over it: half a cone 2 h wide, a third base by height."""
    plan = _yard(0.001, (100.0, 100.4))
    assert broken(case_of(plan.project, plan.ground)) == []
    assert len(plan.walls.bank_ends) == 2
    for end in plan.walls.bank_ends:
        cone = 0.5 * pi * (2 * end.step_m) ** 2 * end.step_m / 3
        parts = sum(abs(_corner(ring)) for ring, _ in end.facets) * end.step_m / 3
        assert parts == pytest.approx(cone, rel=0.03)  # in parts of 20 degrees at most
    dug, put = _ends_soil(plan)
    both = sum(0.5 * pi * (2 * end.step_m) ** 2 * end.step_m / 3 for end in plan.walls.bank_ends)
    assert put - dug == pytest.approx(both, rel=0.05)


def _corner(ring: tuple[tuple[float, float], ...]) -> float:
    (ax, ay), (bx, by), (cx, cy) = ring
    return 0.5 * ((bx - ax) * (cy - ay) - (cx - ax) * (by - ay))


@pytest.mark.parametrize(
    ("slope", "levels"),
    [
        (0.1, (100.2, 100.6)),  # the lower bank dug, the upper one filled
        (0.1, (100.5, 100.9)),  # both filled
        (0.1, (99.9, 100.3)),  # both dug
        (0.15, (100.1, 100.65)),
    ],
)
def test_by_an_integral_where_it_falls(slope: float, levels: tuple[float, float]) -> None:
    """Filled or dug on either side: what the account has more with the ends than without is the integral's."""
    plan = _yard(slope, levels)
    assert broken(case_of(plan.project, plan.ground)) == []
    assert len(plan.walls.bank_ends) == 2
    dug, put = _ends_soil(plan)
    whole = sum(_integral(plan, end, slope) for end in plan.walls.bank_ends)
    assert put - dug == pytest.approx(whole, rel=0.05)
    assert not_adding_up(plan) == []


def test_the_finished_ground_has_no_step_there() -> None:
    """Net of the finished ground: beside the end of a front no place is steeper than the slope of a bank."""
    plan = _yard(0.1, (100.2, 100.6))
    net = ground_after(plan)
    for end in plan.walls.bank_ends:
        for corner in net.triangles:
            a, b, c = net.points[corner]
            middle = (a + b + c) / 3
            out = abs(middle[0] - 4.5) > 4.55
            if out and hypot(middle[0] - end.edge_m[0][0], middle[1] - end.edge_m[0][1]) < 0.6:
                normal = np.cross(b - a, c - a)
                steep = hypot(normal[0], normal[1]) / max(abs(normal[2]), 1e-12)
                assert steep < 0.56 or np.linalg.norm(normal) < 0.02, (middle, steep)


def test_pegs_mat_and_findings_know_of_it() -> None:
    """Every end has its pegs, with the levels of its foot; the mat covers it once; what it takes of the bed is told."""
    plan = _yard(0.1, (100.2, 100.6))
    rows = [row for row in csv.reader(io.StringIO(setting_csv(plan))) if row and row[0] == "bank"]
    pegs = [tuple(float(cell) for cell in row[3:6]) for row in rows if "round the end of the front" in ",".join(row)]
    for end in plan.walls.bank_ends:
        corners = [(*toe, level) for toe, level in zip(end.toe_m, end.toe_levels_m, strict=True)]
        assert sum(any(dist(peg, corner) < 0.025 for peg in pegs) for corner in corners) >= 3
    shapes = [part.polygon for part in plan.walls.shaped]
    seen = shapely.union_all(shapes).area
    mat = next(line for line in plan.works.order if line.key == "bank_mat")
    assert mat.quantity == pytest.approx(seen * hypot(1.0, 0.5), rel=0.02)
    told = next(f for f in plan.walls.findings if f.code == "walls.bank_step")
    low, high = plan.terraces.levels_m
    assert told.demand == pytest.approx(high - low)
    assert "B1" in told.text


@pytest.mark.parametrize("seed", [93003, 93014, 93019, 93023, 93026])
def test_random_yards_come_down_as_they_should(seed: int) -> None:
    """No end stands over its lower bed where it ends, nor is it steeper than 1 in 2 (in parts a little), nor in air."""
    walls = case_of(*banked(seed)).walls
    assert walls.bank_ends
    for end in walls.bank_ends:
        assert end.polygon.is_valid
        steep = {hypot(a, b): abs(_corner(ring)) for ring, (a, b, _) in end.facets}
        assert max(steep) < 0.6
        assert sum(area for slope, area in steep.items() if slope > 0.53) < 0.15 * sum(steep.values())
        for toe, level, top, high in zip(end.toe_m, end.toe_levels_m, end.edge_m, end.edge_levels_m, strict=True):
            assert high - level < dist(top, toe) / 2 + 1e-6
