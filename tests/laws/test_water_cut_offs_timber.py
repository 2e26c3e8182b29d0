"""Stone of cut-off drains keeps off timber: it comes up to what lies over it, and no further."""

from __future__ import annotations

from dataclasses import replace
from math import inf, pi

import pytest
from shapely.geometry import Polygon

from filed_yards import filed
from lynchet.core.findings import Verdict
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.water.beside import CutOff
from lynchet.water.cut_off_stone import cut_off_finding, cut_off_stone
from lynchet.water.settings import Settings

BORE_M, OUTSIDE_M = 0.1, 0.11
SETTINGS = Settings(bore_m=BORE_M, outside_m=OUTSIDE_M, fall=0.01, stone_width_m=0.3)
CUT = CutOff(
    "spring/seep", "seep", ((0.0, 0.0), (4.0, 0.0)), (99.4, 99.4), 0.05, BORE_M, OUTSIDE_M, "spring/seep/outlet", 2
)
FOOT_M = 99.4 - 0.005 - 0.05
"""Under the wall of the pipe and 2 in of stone, International Residential Code R405.1."""


@pytest.mark.parametrize("seed", [108])
def test_no_stone_lies_in_timber(seed):
    """A spring that comes out under a raised wall: its stone went a finger's breadth into the lowest course there."""
    plan = plan_project(filed(seed), effort=LIVE)
    runs = [(Polygon(run.outline_m), run) for run in plan.walls.runs]
    over = 0
    for part in (part for cut in plan.water.cut_offs for part in cut.stone):
        trench, top = Polygon(part.outline_m), max(part.top_start_m, part.top_end_m)
        for shape, run in runs:
            if trench.intersection(shape).area > 1e-6:
                over += run.bottom_m >= top - 1e-6
                assert run.bottom_m >= top - 1e-6 or run.top_m <= min(part.bottom_start_m, part.bottom_end_m) + 1e-6
    assert over and not [f.text for f in plan.clashes if f.code == "clash" and "cut-off stone" in f.text]


def test_stone_under_timber_is_as_much_less():
    """4 m in ground at 100 m, stone to 0.15 m under it (PRACTICE), timber over the second 2 m of it, by hand: trench
    0.3 m wide, height times width less the pipe; fabric once round and 0.3 m more (PRACTICE)."""

    def timber(outline, bottom_m, top_m):
        return 99.7 if max(x for x, _ in outline) > 2.0 + 1e-9 and bottom_m < 99.7 < top_m else inf

    halves = replace(CUT, points_m=((0.0, 0.0), (2.0, 0.0), (4.0, 0.0)), inverts_m=(99.4, 99.4, 99.4))
    first, second = cut_off_stone(halves, halves.points_m, (100.0, 100.0, 100.0), SETTINGS, timber)
    for part, top in ((first, 99.85), (second, 99.7)):
        assert (part.bottom_start_m, part.top_start_m, part.top_end_m) == pytest.approx((FOOT_M, top, top))
        assert part.volume_m3 == pytest.approx(2.0 * (0.3 * (top - FOOT_M) - pi / 4 * OUTSIDE_M**2))
        assert part.fabric_m2 == pytest.approx(2.0 * (2 * (0.3 + top - FOOT_M) + 0.3))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_part_without_room_for_stone_is_told(units):
    """Timber down to the pipe over the second half: no stone there, none of it ordered, and the plan says so."""
    halves = replace(CUT, points_m=((0.0, 0.0), (2.0, 0.0), (4.0, 0.0)), inverts_m=(99.4, 99.4, 99.4))

    def timber(outline, _bottom_m, _top_m):
        return FOOT_M - 0.1 if max(x for x, _ in outline) > 2.0 + 1e-9 else inf

    made = replace(halves, stone=cut_off_stone(halves, halves.points_m, (100.0, 100.0, 100.0), SETTINGS, timber))
    assert made.stone_length_m == pytest.approx(2.0)
    told = cut_off_finding(made, 4.0, SETTINGS, units)
    assert told.verdict is Verdict.WATCH and "soil closes the holes" in told.text
    whole = replace(halves, stone=cut_off_stone(halves, halves.points_m, (100.0,) * 3, SETTINGS, lambda *_: inf))
    assert cut_off_finding(whole, 4.0, SETTINGS, units).verdict is Verdict.OK
