"""Places along a wall count from the left end of its timber; its sheet says where that is off the peg there."""

from __future__ import annotations

import re

import pytest

from demo_plans import DEMOS, demo
from filed_yards import filed
from lynchet.drawings.display import Letters
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_face import face_of
from lynchet.drawings.wall_order import left_end_words
from lynchet.drawings.wall_pages import wall_sheet_ids
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.units.parse import parse

FILED = (4, 10, 107)


def _planned(plan: str | int) -> Plan:
    return demo(plan) if isinstance(plan, str) else plan_project(filed(plan), effort=LIVE)


def _right_of(plan: Plan, leg_id: str) -> tuple[float, float]:
    """The way to the right, in the file's coordinates, of one who stands on the low side and looks at the wall."""
    leg = plan.walls.leg(leg_id)
    held = sum(span.held * (span.end_m - span.start_m) for span in leg.spans)
    (ax, ay), side = leg.point_at(0.0, 0.0), leg.point_at(0.0, 1.0)
    to_timber = plan.project.frame.outward(side)
    at = plan.project.frame.outward((ax, ay))
    looks = to_timber[0] - at[0], to_timber[1] - at[1]
    if held < 0:  # the side without timber is the higher: one stands behind it
        looks = -looks[0], -looks[1]
    return looks[1], -looks[0]


@pytest.mark.parametrize("name", [*DEMOS, *FILED])
def test_the_left_end_of_the_timber_is_told_from_the_peg_there(name: str | int) -> None:
    """Of every wall the corner of timber furthest left, told off the wall's own peg furthest left where it is 5 mm."""
    plan, figures = _planned(name), Figures("metric")
    outward = plan.project.frame.outward
    said = 0
    for leg in wall_sheet_ids(plan):
        rx, ry = _right_of(plan, leg)
        timber = min(x * rx + y * ry for piece in plan.pieces if piece.leg == leg
                     for x, y in map(outward, piece.outline_m))  # fmt: skip
        pegs = [(x * rx + y * ry, peg.id) for peg in plan.walls.setting_out.points
                if re.fullmatch(rf"{re.escape(leg)}\.[a-z]+", peg.id) for x, y in [outward(peg.point_m)]]  # fmt: skip
        peg, called = min(pegs)
        words = left_end_words(face_of(plan, plan.walls.leg(leg)), figures)
        if abs(timber - peg) > 0.0055:
            size, way, of = re.fullmatch(r"(.*) (left|right) of peg (\S+)", words).groups()  # type: ignore[union-attr]
            assert of == called and way == ("right" if timber > peg else "left")
            assert parse(size, "length", "metric") == pytest.approx(abs(timber - peg), abs=6e-4)
            said += 1
        elif abs(timber - peg) < 0.0045:
            assert words == ""
    assert said or name != "side_yard"


@pytest.mark.parametrize("name", DEMOS)
def test_it_stands_on_the_sheet(name: str) -> None:
    """Whatever is told of a left end stands on a sheet of its wall."""
    plan = demo(name)
    figures = Figures(plan.project.units)
    texts = " ".join(mark.text for sheet in wall_sheets(plan, Stamp())
                     for mark in lower(sheet).marks if isinstance(mark, Letters))  # fmt: skip
    for leg in wall_sheet_ids(plan):
        assert left_end_words(face_of(plan, plan.walls.leg(leg)), figures) in texts
