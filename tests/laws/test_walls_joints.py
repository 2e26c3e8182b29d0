"""Laws on joints: fewest pieces, notches as joints, fixings left whole, windows for openings."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely

from lawbook.book import broken
from lawbook.case import plan
from lawbook.piece_laws import joints_offset, pieces_make_runs
from lawbook.timber_laws import no_hole
from lynchet.walls.joints import SLACK_M, Avoid, JointRules, Opening, _fewest, _Part, lay_pieces, pieces_by_run
from random_yards import realistic
from yards import ell

RULES = JointRules(0.6, 0.6, 4.8)


def _fewest_by_trial(length: float, shortest: float, longest: float, barred: list[tuple[float, float]]) -> int:
    """Fewest joints on a 1 cm grid, by breadth first; -1 where none."""
    free = [i / 100 for i in range(int(length * 100) + 1) if not any(a < i / 100 < b for a, b in barred)]
    reached, count = {0.0}, 0
    while reached and count < 60:
        if any(shortest <= length - x <= longest for x in reached):
            return count
        reached = {y for y in free if any(shortest <= y - x <= longest for x in reached)}
        count += 1
    return -1


@pytest.mark.parametrize("seed", range(25))
def test_joints_are_the_fewest(seed: int) -> None:
    """As few joints as trial on a 1 cm grid finds (or fewer, between grid points)."""
    rng = np.random.default_rng(seed)
    length = round(float(rng.uniform(5, 15)), 2)
    starts = np.round(rng.uniform(0, length, 8), 2).tolist()
    barred = [(a, a + round(float(rng.uniform(0.3, 1.4)), 2)) for a in starts]
    case = plan(*ell())
    part = _Part(case.walls.runs[0], (0.0, 0.0), (length, length))
    found = _fewest(part, (0.6, 3.6), barred)
    trial = _fewest_by_trial(length, 0.6, 3.6, barred)
    if found is None:
        assert trial == -1
        return
    assert trial == -1 or len(found) <= trial
    marks = [0.0, *found, length]
    assert all(0.6 - 1e-9 <= b - a <= 3.6 + 1e-9 for a, b in pairwise(marks))
    assert not any(a + 1e-9 < x < b - 1e-9 for x in found for a, b in barred)


def test_a_notch_splits_its_course_and_counts_as_a_joint() -> None:
    """With a notch in a long course: pieces and opening fill the run, joints above and below keep their offset."""
    case = plan(*ell())
    run = max(case.walls.runs, key=lambda r: r.end.line_m - r.start.line_m if r.row == 3 else 0.0)
    low, high = case.walls.windows(run.leg, run.course, 0.15)[0].stations_m[0]
    middle = (low + high) / 2
    avoid = Avoid((Opening(run.leg, run.course, middle - 0.075, middle + 0.075),))
    made = replace(case, avoid=avoid, laid=lay_pieces(case.walls, case.rules, avoid))
    assert pieces_make_runs(made) == []
    assert joints_offset(made) == []
    assert no_hole(replace(made, avoid=Avoid())) == []  # runs themselves stay whole
    table = pieces_by_run(made.laid.pieces)
    assert any(piece.end_m == (middle - 0.075, middle - 0.075) for piece in table[run.id])
    near = [r for r in case.walls.runs if r.leg == run.leg and abs(r.course - run.course) == 1]
    for other in near:
        for piece in table[other.id][:-1]:
            assert abs(piece.end_m[0] - middle) >= 0.075 + 0.6 - 1e-6


def test_no_joint_at_a_tie_or_pin() -> None:
    """Fixings every 1.2 m along every run: no joint within 0.15 m of one."""
    case = plan(*ell())
    fixings = tuple((run.leg, run.course, s) for run in case.walls.runs for s in np.arange(0.6, 14, 1.2).tolist())
    laid = lay_pieces(case.walls, RULES, Avoid((), fixings))
    for piece in laid.pieces:
        last = piece.end_m[0] == next(r.end.line_m for r in case.walls.runs if r.id == piece.run)
        if not last:
            near = min(abs(piece.end_m[0] - s) for leg, k, s in fixings if (leg, k) == (piece.leg, piece.course))
            assert near >= 0.15 - 1e-6


def test_less_offset_is_told() -> None:
    """Where sticks of 1.3 m leave no room for the offset wished, the joints lie nearer and a finding says so."""
    case = plan(*ell())
    laid = lay_pieces(case.walls, JointRules(0.6, 0.6, 1.3), Avoid())
    assert laid.findings
    assert all(piece.length_m <= 1.3 + SLACK_M for piece in laid.pieces)


@pytest.mark.parametrize("seed", [1, 2, 10])
def test_windows_are_clear_of_other_timber(seed: int) -> None:
    """A notch anywhere in a window touches no other leg's timber and keeps 0.15 m from its run's ends."""
    case = plan(*realistic(seed))
    for leg in case.walls.legs:
        for course in {run.course for run in case.walls.runs if run.leg == leg.id}:
            for window in case.walls.windows(leg.id, course, 0.15):
                run = next(r for r in case.walls.runs if r.id == window.run)
                for low, high in window.stations_m:
                    assert low - 0.075 >= run.inner_m[0] + 0.15 - 1e-9
                    assert high + 0.075 <= run.inner_m[1] - 0.15 + 1e-9
                    reach = run.offset_m + leg.thickness_m
                    hole = shapely.Polygon([leg.point_at(low - 0.075, run.offset_m - 0.02),
                                            leg.point_at(high + 0.075, run.offset_m - 0.02),
                                            leg.point_at(high + 0.075, reach + 0.02),
                                            leg.point_at(low - 0.075, reach + 0.02)])  # fmt: skip
                    touching = [r.id for r in case.walls.runs if r.course == course and r.leg != leg.id
                                and shares_node(case, r.leg, leg.id) and r.polygon.intersects(hole)]  # fmt: skip
                    assert touching == []


def shares_node(case: object, first: str, second: str) -> bool:
    """Whether two legs meet."""
    nodes = case.walls.nodes  # type: ignore[attr-defined]
    return any({first, second} <= {arm.leg for arm in node.arms} for node in nodes)


@pytest.mark.parametrize("seed", range(2101, 2107))
def test_one_stick_a_course_wherever_a_stick_gives_it(seed: int) -> None:
    """Random yards whose brief wants one stick a course and pieces of 1.5 m at most: a run is one piece if the longest
    stick gives it, several of 1.5 m at most if not, and is laid whole; every law of the lawbook holds."""
    project, ground = realistic(seed)
    wished = replace(project, brief=replace(project.brief, one_stick=True, longest_piece_m=1.5, shortest_piece_m=0.5))
    case = plan(wished, ground)
    longest = max(stock.length_m for stock in wished.timber.stock)
    by_run = pieces_by_run(case.laid.pieces)
    for run in case.walls.runs:
        size = run.outer_m[1] - run.outer_m[0]
        own = by_run[run.id]
        assert (len(own) == 1) == (size <= longest + 1e-9), run.id
        assert len(own) == 1 or max(piece.length_m for piece in own) <= 1.5 + 1e-9
        assert sum(piece.polygon.area for piece in own) == pytest.approx(run.polygon.area, abs=1e-6)
    assert broken(case) == []
