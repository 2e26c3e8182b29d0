"""A plan turned against the file's own way up says so and where uphill is; titles are cut at whole words."""

from __future__ import annotations

import pytest

from lynchet.drawings.block import heading
from lynchet.drawings.model import Label
from lynchet.drawings.paper import paper_of
from lynchet.drawings.plan_layout import lay_out
from lynchet.drawings.plan_signs import north_items
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text

YARD = """lynchet = 1
units = "metric"
ground.slope.fall = "6 %"
ground.held = "level"
brief.terraces = 1
"""


@pytest.mark.parametrize("corners", ["[[0, 0], [6, 0], [6, 22], [0, 22]]", "[[0, 0], [22, 0], [22, 6], [0, 6]]"])
def test_a_turned_plan_says_where_uphill_is(corners: str) -> None:
    """A yard much deeper than wide is turned on its sheet: the words are there, and true of the paper; else none."""
    plan = plan_project(read_project_text(f"{YARD}area = {{ outline = {corners} }}\n"), effort=LIVE)
    layout = lay_out(plan, paper_of(plan.project), (24.0, 18.0, 16.0, 24.0))
    said = [item for item in north_items(plan, layout, []) if isinstance(item, Label)]
    x, y = plan.terraces.fall
    (x0, y0), (x1, y1) = layout.view.papers([(0.0, 0.0), (x, y)])
    across = abs(x1 - x0) > abs(y1 - y0)
    assert layout.turned is across is bool(said)
    if said:
        assert said[0].lines[1] == f"uphill is to the {'right' if x1 > x0 else 'left'}"


def test_a_title_is_cut_at_whole_words() -> None:
    """The large title of a wall sheet leaves out which part it is before it breaks a word, and never breaks one."""
    walls = ["A5", "S0.6H", "W2", "A0", "W3", "S1.6L"]
    for count in range(2, 7):
        title = f"Walls {', '.join(f'{one} (2 of 3)' for one in walls[: count - 1])} and {walls[count - 1]} (1 of 2)"
        said = heading(title, (0.0, 0.0), 68.0).text
        words = title.upper().replace(",", "").split(" ")
        assert all(word.rstrip(",") in [*words, "…"] for word in said.split(" ")), said
        assert all(wall in said for wall in walls[:count]) or said.endswith(" …")
