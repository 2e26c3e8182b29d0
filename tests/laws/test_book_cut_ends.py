"""The cut sheet of the book says what is done with the ends of sticks as they are delivered."""

from dataclasses import replace
from importlib.resources import as_file, files
from pathlib import Path

import pytest

from lynchet.book.blocks import Para
from lynchet.book.parts.cut_sheet import cut_sheet
from lynchet.book.texts import Words
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project


@pytest.mark.parametrize(("trim_m", "said"), [(0.0, "as they come from the yard"), (0.015, "cut 15 mm off one end")])
def test_ends_are_used_as_they_come_or_cut_first(trim_m, said):
    """Without a trim the reader is told to look at every end; with one, to cut it first and by how much."""
    with as_file(files("lynchet.demos")) as folder:
        project = read_project(Path(folder) / "l_garden.toml")
    plan = plan_project(replace(project, timber=replace(project.timber, end_trim_m=trim_m)), effort=LIVE)
    texts = [block.text for block in cut_sheet(plan, Words()) if isinstance(block, Para)]
    assert any(said in text for text in texts)
