"""Weep holes where there is little room: none with nothing behind it, no two side by side."""

from __future__ import annotations

from itertools import pairwise

from built_yards import built_plan
from filed_yards import filed
from lawbook.weep_laws import holes_begin_in_stone
from lawbook.whole import Whole
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project


def test_no_hole_is_bored_where_only_a_scrap_of_stone_lies() -> None:
    """The strip along the wall lies against other things; what is left of it begins away from the timber."""
    found = Whole(plan_project(filed(65242), effort=LIVE))
    assert any(stone["leg"] == "A2" for stone in found.data["water"]["stone"])
    assert holes_begin_in_stone(found.data) == []


def test_no_two_holes_are_bored_side_by_side() -> None:
    """Where the room for a hole ended a hair past the place of the last, a second was bored 17 mm beside it."""
    plan = plan_project(filed(67140), effort=LIVE)
    assert not [finding for finding in plan.findings if finding.code == "clash"]
    stations = sorted(hole.station_m for hole in plan.stability.weeps if hole.leg == "A5")
    assert all(b - a >= 0.1 for a, b in pairwise(stations))


def test_no_hole_is_bored_where_a_rock_bars_the_stone() -> None:
    """A thing found behind the timber takes the front of a strip whose both ends lie against it."""
    found = Whole(built_plan(82235))
    assert any(len(stone["outline_m"]) > 8 for stone in found.data["water"]["stone"] if stone["leg"] == "A0")
    assert holes_begin_in_stone(found.data) == []
