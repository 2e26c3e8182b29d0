"""Banks: how far they reach on ground that falls, who takes over where they do not end, and what lies at their corners.

Worked by hand: a bank of 1 in 2 against ground that falls away at g meets it h / (1/2 - g) out, h over the ground.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot, radians, sin

import numpy as np
import pytest
from shapely import LineString, Point

from banked_yards import banked
from days_and_order import not_adding_up
from lawbook.book import broken
from lawbook.case import Case, plan
from lawbook.water_laws import Wet, bank_pipes_lie_outside
from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_on
from lynchet.project.model import Brief, EdgeRule, Project
from lynchet.project.things import Fixed, Path
from lynchet.walls.bank import Bank
from lynchet.water.stage import water
from yards import project_of

BANKED = (*range(11), 30)
OUTLINE = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]


def _falling(slope: float, width_m: float, far_m: float = 8.0) -> tuple[Project, Ground]:
    """One bed on ground that falls toward y = 0, measured ``far_m`` beyond its outline, a bank on every edge."""
    places = [(x, y) for x in (-far_m, 4.5, 9.0 + far_m) for y in (-far_m, 3.0, 6.0 + far_m)]
    readings = [(x, y, 100.0 + slope * y) for x, y in places]
    edges = tuple(EdgeRule(i, "bank", width_m) for i in range(4))
    return project_of(OUTLINE, readings, brief=Brief(terraces=1), edges=edges)


@pytest.mark.parametrize("slope", [0.05, 0.15, 0.25])
def test_a_bank_is_as_wide_as_the_falling_ground_asks(slope: float) -> None:
    """Below the bed and above it: h / (1/2 - g); at its ends the hip, on which both banks stand as high."""
    case = plan(*_falling(slope, 9.0))
    assert broken(case) == []
    level, banks = case.terraces.beds[0].level_m, {bank.line: bank for bank in case.walls.banks}
    high, low = abs(level - 100.0), abs(100.0 + slope * 6.0 - level)
    front, back = banks["A0"], banks["A2"]
    assert (front.raised, back.raised) == (1, -1)
    middle = len(front.edge_m) // 2
    assert -front.toe_m[middle][1] == pytest.approx(high / (0.5 - slope), abs=1e-3)
    assert back.toe_m[middle][1] - 6.0 == pytest.approx(low / (0.5 - slope), abs=1e-3)
    corner = front.toe_m[0]
    assert corner[0] == pytest.approx(corner[1], abs=1e-3)  # on the hip at 45 degrees
    assert front.edge_m[0] == pytest.approx((0.0, 0.0), abs=1e-6)


def test_a_wall_stands_where_the_bank_does_not_end_in_its_width() -> None:
    """Twice the height is not enough on ground that falls: a wall stands and it is told what width would do; on ground
    as steep as the bank no width is."""
    wide = plan(*_falling(0.25, 9.0))
    high = wide.terraces.beds[0].level_m - 100.0
    case = plan(*_falling(0.25, 2.2 * high))
    assert broken(case) == []
    assert case.walls.leg("A0").segments
    told = next(f for f in case.walls.findings if f.code == "walls.bank_too_narrow" and f.place == "A0")
    assert told.demand == pytest.approx(high / 0.25, abs=0.01)
    assert any(edit[0] == "area.edges" for cure in told.cures for edit in cure.edits)
    steep = plan(*_falling(0.55, 9.0))
    told = next(f for f in steep.walls.findings if f.code == "walls.bank_too_narrow" and f.place == "A0")
    assert steep.walls.leg("A0").segments
    assert told.cures == ()


def test_ground_nobody_measured_is_told() -> None:
    """Levels inside the area alone: the bank is laid as if the ground went on, and that is said."""
    case = plan(*_falling(0.2, 9.0, far_m=0.0))
    level = case.terraces.beds[0].level_m
    front = next(bank for bank in case.walls.banks if bank.line == "A0")
    assert not front.measured
    assert -front.toe_m[len(front.toe_m) // 2][1] == pytest.approx((level - 100.0) / 0.3, abs=0.02)
    assert "walls.bank_unmeasured" in {f.code for f in case.walls.findings}
    assert "walls.bank_unmeasured" not in {f.code for f in plan(*_falling(0.2, 9.0)).walls.findings}


def test_soil_of_a_bank_with_its_corners() -> None:
    """Level ground 0.4 m under a bed: four wedges, and at four corners a quarter of a cone in six parts of 15 degrees,
    each a pyramid (a third of base times height)."""
    side, high = 6.0, 0.4
    corner = 6 * 0.5 * (2 * high) ** 2 * sin(radians(15.0))
    outline = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
    places = [(x, y) for x in (-4.0, 3.0, 10.0) for y in (-4.0, 3.0, 10.0)]
    edges = tuple(EdgeRule(i, "bank", 3.0) for i in range(4))
    project, found = project_of(
        outline, [(x, y, 100.0) for x, y in places], brief=Brief(terraces=1, levels=(100.0 + high,)), edges=edges
    )
    built = plan_on(project, found, Standing(), LIVE, lambda _: None)
    banks = built.walls.banks
    assert len(banks) == 4
    assert sum(_area(bank.outline_m) for bank in banks) == pytest.approx(4 * side * 2 * high + 4 * corner)
    wedges, corners = 4 * side * high * (2 * high) / 2, 4 * high * corner / 3
    filled = sum(move.volume_m3 for move in built.earth.moves if move.place.startswith("A") and move.kind == "fill")
    assert filled == pytest.approx(wedges + corners, rel=0.01)  # topsoil goes off before it, and back over it
    mat = next(line for line in built.works.order if line.key == "bank_mat")
    assert mat.quantity == pytest.approx((4 * side * 2 * high + 4 * corner) * hypot(1.0, 0.5))
    assert not_adding_up(built) == []
    assert any("peg the mat" in task.name for task in built.works.tasks)


@pytest.mark.parametrize("far_m", [0.0, 0.6, 8.0])
def test_soil_of_a_bank_on_ground_nobody_measured_lies_on_the_ground_its_width_was_found_on(far_m: float) -> None:
    """A plane yard measured far out, a little and not at all: the same banks, and the same soil in each of them.

    Of the bank below the bed, by hand: a wedge h high and h / (1/2 - g) wide, on ground that falls at g.
    """
    slope = 0.2
    built = plan_on(*_falling(slope, 9.0, far_m), Standing(), LIVE, lambda _: None)
    known = plan_on(*_falling(slope, 9.0), Standing(), LIVE, lambda _: None)
    for one, other in zip(built.walls.banks, known.walls.banks, strict=True):
        assert one.polygon.symmetric_difference(other.polygon).area < 0.01
    moved = {(move.place, move.kind): move.volume_m3 for move in known.earth.moves}
    for move in built.earth.moves:
        assert move.volume_m3 == pytest.approx(moved[move.place, move.kind], rel=0.01, abs=0.02), move
    front = next(bank for bank in built.walls.banks if bank.line == "A0")
    high = front.level_m - 100.0
    soil = 9.0 * high * high / (0.5 - slope) / 2
    ends = sum(high * _area((front.edge_m[i], front.toe_m[i], front.toe_m[i + 1])) / 3
               for i in range(len(front.edge_m) - 1) if front.edge_m[i] == front.edge_m[i + 1])  # fmt: skip
    assert moved["A0", "fill"] == pytest.approx(soil + ends, rel=0.015)


def _area(ring: tuple[tuple[float, float], ...]) -> float:
    x, y = np.array(ring).T
    return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


@pytest.mark.parametrize("seed", [*range(24), 74706, 83702, 83814, 83835, 83901])
def test_random_yards_with_banks(seed: int) -> None:
    """The law of banks, and every other, over random yards with banks on some edges or all."""
    case: Case = plan(*banked(9300 + seed))
    assert broken(case) == []
    assert all(hypot(b[0] - a[0], b[1] - a[1]) < 30.0 for bank in case.walls.banks
               for a, b in zip(bank.edge_m, bank.toe_m, strict=True))  # fmt: skip


@pytest.mark.parametrize("seed", BANKED)
def test_no_water_comes_out_inside_a_bank(seed: int) -> None:
    """Outlets lie on the finished ground: none under the soil of a bank, none on one that runs back to the beds."""
    built = plan_on(*banked(9300 + seed), Standing(), LIVE, lambda _: None)
    named = set(built.project.drain.outlets_m)
    for outlet in built.water.outlets:
        for bank in built.walls.banks:
            if outlet.point_m not in named and bank.polygon.contains(Point(outlet.point_m)):
                level = float(bank.levels_at(np.array([outlet.point_m]))[0])
                assert bank.raised > 0 and outlet.invert_m >= level - 1e-6, (outlet.id, bank.line)
    assert not_adding_up(built) == []


@pytest.mark.parametrize("aslant_m", [-0.6, 0.0, 0.6, 1.5])
def test_pipe_of_the_ground_outside_keeps_out_of_the_area(aslant_m: float) -> None:
    """Behind a wall that holds the ground outside and leaves a bank at a corner that goes in, square or aslant."""
    outline = [(0.0, 0.0), (4.0, 0.0), (4.0 - aslant_m, -4.0), (10.0, -4.0), (10.0, 6.0), (0.0, 6.0)]
    places = [(x, y, 100.7 + 0.2 * (x - 4.0)) for x in (-8.0, 5.0, 18.0) for y in (-12.0, 0.0, 14.0)]
    edges = tuple(EdgeRule(i, "bank" if i == 0 else "wall", 4.0 if i == 0 else None) for i in range(6))
    project, found = project_of(outline, places, brief=Brief(terraces=1, levels=(100.1,)), edges=edges)
    case = plan(project, found)
    drained = water(project, found, case.terraces, case.walls)
    assert drained.drains
    assert bank_pipes_lie_outside(Wet(case, drained)) == []
    assert all(
        line.intersection(case.area).length < 1e-6 for line in map(LineString, (d.points_m for d in drained.drains))
    )


def test_a_path_outside_is_neither_buried_nor_dug_away() -> None:
    """A path along the foot of the bank, within its width and just past it; a wall there is the cure."""
    project, found = _falling(0.2, 9.0)
    foot = max(-y for bank in case_banks(project, found) if bank.line == "A0" for _, y in bank.toe_m)
    for off, over in ((foot - 0.1, True), (foot + 0.6, False)):
        path = Path("garden path", ((-3.0, -off), (12.0, -off)), 0.9)
        case = plan(replace(project, paths=(path,)), found)
        told = [f for f in case.walls.findings if f.code == "walls.bank_over_stays"]
        assert any("garden path" in f.text and f.place == "A0" for f in told) is over
        assert all(cure.edits[0][0] == "area.edges" for f in told for cure in f.cures)


def case_banks(project: Project, found: Ground) -> tuple[Bank, ...]:
    """The banks of a yard as they are shaped."""
    return plan(project, found).walls.banks


def test_what_stays_is_neither_buried_nor_dug_away() -> None:
    """A tree beside a bank stops it; a wall there instead is the cure."""
    project, found = _falling(0.2, 9.0)
    tree = Fixed("F0", "tree", "oak", ((4.0, -1.5),), clear_m=1.0)
    case = plan(replace(project, fixed=(tree,)), found)
    told = next(f for f in case.walls.findings if f.code == "walls.bank_over_stays")
    assert told.place == "A0"
    assert "roots of oak" in told.text
    edges = tuple(replace(rule, finish="wall", width_m=None) if rule.edge == 0 else rule for rule in project.area.edges)
    walled = plan(replace(project, fixed=(tree,), area=replace(project.area, edges=edges)), found)
    assert "walls.bank_over_stays" not in {f.code for f in walled.walls.findings}
