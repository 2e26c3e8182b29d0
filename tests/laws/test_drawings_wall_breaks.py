"""Parts of a wall that end at a break: its zigzag runs through no figure and no word."""

from __future__ import annotations

from flight_yards import flight_plan
from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Line
from lynchet.drawings.sheets import sheets_of
from lynchet.drawings.stamp import Stamp


def test_heights_beside_a_gap_stand_past_the_break() -> None:
    """Where the timber ends a little before the break, its two heights stand beyond the zigzag, on the page."""
    sheets = sheets_of(flight_plan(98023), Stamp(date="12 May 2026"), kept_back=True)
    breaks = 0
    for name, sheet in sheets.items():
        if name.startswith("wall-"):
            items = [item for view in sheet.views for item in view.items]
            breaks += sum(isinstance(item, Line) and item.id.endswith("-zigzag") for item in items)
            display = lower(sheet)
            assert not [text for text in crossed(display) if "zigzag" in text] and faults(display, sheet.paper) == []
    assert breaks >= 3
