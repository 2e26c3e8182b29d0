"""Outlets pour freely though the ground bulges between the points at which ways out are looked for."""

from __future__ import annotations

from banked_yards import banked
from lawbook.water_laws import outlets_pour_freely
from lawbook.whole import whole


def test_an_outlet_beside_a_bulge_of_the_ground_keeps_its_free_drop() -> None:
    """Its mouth lay 47 mm over the ground, for the 50 mm it is to fall freely (PRACTICE)."""
    found = whole(*banked(99007))
    assert any(one.kind == "daylight" for one in found.plan.water.outlets)
    assert outlets_pour_freely(found.wet) == []
