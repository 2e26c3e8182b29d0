"""Weep holes where the strip of stone is cut to a scrap away from the timber: none is bored with nothing behind it."""

from __future__ import annotations

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
