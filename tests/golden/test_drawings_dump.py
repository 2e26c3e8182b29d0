"""What the sheets of the hand-laid yard say, in words and numbers, as it was last looked at and accepted."""

from __future__ import annotations

from pathlib import Path

import pytest

from drawn_yard import yard
from lynchet.drawings.dump import dump
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet
from lynchet.drawings.section import section_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_sheet import wall_sheets

FOLDER = Path(__file__).parent / "drawings"
STAMP = Stamp(date="12 May 2026", numbers=(("terraces", 1), ("section", 2), ("wall-W2", 3)))


def _sheet(name: str) -> Sheet:
    if name == "terraces-us":
        return terraces_plan(yard("us", stopped=True), STAMP)
    if name == "section":
        section = section_sheet(yard(), STAMP)
        assert section is not None
        return section
    return wall_sheets(yard(), STAMP, ("W2",))[0]


@pytest.mark.parametrize("name", ["terraces-us", "section", "wall-W2"])
def test_sheet_says_the_same(name: str) -> None:
    """The text dump of a sheet has not changed: items, words, numbers, and where each label stands."""
    sheet = _sheet(name)
    assert dump(sheet, lower(sheet)) == (FOLDER / f"{name}.txt").read_text(encoding="utf-8")
