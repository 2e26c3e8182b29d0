"""The setting-out plan of a crowded yard: names of pegs that find no room stand under it by number, on the page."""

from __future__ import annotations

import re

from flight_yards import flight_plan
from lynchet.drawings.faults import faults
from lynchet.drawings.lower import lower
from lynchet.drawings.setting_sheet import setting_sheet
from lynchet.drawings.stamp import Stamp


def test_names_without_room_are_told_in_as_many_lines_as_they_need() -> None:
    """Every number on the plan is told once under it, in lines that end within the frame and meet nothing."""
    sheet = setting_sheet(flight_plan(98021), Stamp(date="12 May 2026"))
    assert sheet is not None
    display = lower(sheet)
    assert faults(display, sheet.paper) == []
    told = [text.text for text in display.texts if re.search(r"\d+ = \S", text.text)]
    numbers = [int(number) for line in told for number in re.findall(r"(\d+) = ", line)]
    assert len(told) >= 2 and numbers == list(range(1, len(numbers) + 1))
    drawn = {text.text for text in display.texts}
    assert all(str(number) in drawn for number in numbers)
