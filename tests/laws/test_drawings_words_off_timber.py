"""Words of a stop and of a test hole stand on no timber and on no tie: there nobody can read them."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

import pytest

from filed_yards import filed
from lynchet.drawings.display import Letters
from lynchet.drawings.lower import lower, place_view
from lynchet.drawings.model import Area, Sheet, View
from lynchet.drawings.plan_built import stops
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.water_sheet import water_sheet
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.things import Hole
from yards import rectangle

FEW = (6, 23, 83, 107, 108, 117, 136)
"""Filed yards with one stop or two; in most of them the words have no room between the walls."""


@cache
def _plan(seed: int) -> Plan:
    return plan_project(filed(seed), effort=LIVE)


def _on_timber(view: View, names: Iterable[str]) -> list[str]:
    """Words of these labels that meet timber as drawn."""
    from shapely.geometry import Polygon, box

    timber = [Polygon(view.papers(item.rings[0]), [view.papers(ring) for ring in item.rings[1:]]) for item in view.items
              if isinstance(item, Area) and item.layer in ("walls", "ties")]  # fmt: skip
    marks = [mark for _, mark in place_view(view)[0] if isinstance(mark, Letters) and mark.of in names]
    return [mark.text for mark in marks if any(box(*mark.box()).intersects(solid) for solid in timber)]


def _said(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in lower(sheet).marks if isinstance(mark, Letters))


@pytest.mark.parametrize("seed", FEW)
def test_a_stop_is_read_on_the_plan_or_beside_it(seed: int) -> None:
    """Every wall with a stop has its sign; its reason stands on free ground, else in the strip, whole."""
    plan = _plan(seed)
    reasons = stops(plan)
    assert 0 < len(reasons) <= 2
    sheet = terraces_plan(plan, Stamp())
    assert not _on_timber(sheet.views[0], {f"stop-{leg}" for leg in reasons})
    said = _said(sheet)
    assert said.count("STOP ") + said.endswith("STOP") >= len(reasons)
    for reason in reasons.values():
        assert reason.partition(": ")[2][:30] in said


@pytest.mark.parametrize("draw", [site_sheet, water_sheet, terraces_plan])
@pytest.mark.parametrize("at", [(3.0, 2.0), (3.0, 3.3), (1.0, 1.0), (5.5, 4.0)])
def test_what_a_test_hole_told_stands_on_no_wall(draw: object, at: tuple[float, float]) -> None:
    """Holes in the middle of a bed, near walls and in a corner: their words keep off the timber."""
    assert callable(draw)
    project, _ = rectangle(holes=(Hole("hole 1", at, 0.6, "", 0.45, None, None),))
    sheet = draw(plan_project(project, effort=LIVE), Stamp())
    assert not _on_timber(sheet.views[0], {"hole-told-hole 1"})
