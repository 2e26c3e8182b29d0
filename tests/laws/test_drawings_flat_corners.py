"""Walls round a curve, drawn as many short edges: their sheets stay readable."""

from __future__ import annotations

from math import cos, pi, sin

import pytest
import shapely

from lynchet.drawings.display import Letters
from lynchet.drawings.lower import place_view
from lynchet.drawings.model import Area
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text

YARD = """
lynchet = 1
units = "{units}"
[ground]
slope = {{ fall = "1 m in 8 m" }}
held = "level"
[area]
outline = {outline}
[soil]
feel = "gritty"
[brief]
terraces = 2
path_strip = "0.6 m"
"""


@pytest.mark.parametrize("units", ["metric", "us"])
def test_no_height_or_number_stands_on_the_end_of_the_wall_that_meets(units: str) -> None:
    """At a flat corner the next wall's timber shows far along; heights and numbers of courses stand beside a wall."""
    m = 1.0 if units == "metric" else 1.0 / 0.3048
    bow = [((4.0 - 4.0 * cos(pi * n / 7)) * m, (1.8 - 1.8 * sin(pi * n / 7)) * m) for n in range(8)]
    outline = [[round(x, 3), round(y, 3)] for x, y in (*bow, (8.0 * m, 6.0 * m), (0.0, 6.0 * m))]
    plan = plan_project(read_project_text(YARD.format(units=units, outline=outline)), effort=LIVE)
    shown = 0
    for sheet in wall_sheets(plan, stamp_of(plan)):
        for view in sheet.views:
            ends = [
                shapely.Polygon(view.papers(item.rings[0]))
                for item in view.items
                if isinstance(item, Area) and item.id.startswith("other-")
            ]
            shown += len(ends)
            words = [mark for _, mark in place_view(view)[0] if isinstance(mark, Letters)]
            numbers = [mark for mark in words if mark.layer != "labels" or mark.text.isdigit()]
            for mark in numbers:
                met = shapely.box(*mark.box()).intersection(shapely.union_all(ends)).area
                assert met < 0.3, (sheet.id, mark.text, met)
    assert shown > 3
