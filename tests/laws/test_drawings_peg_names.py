"""The setting-out plan of a crowded yard: names of pegs that find no room stand under it by number, on the page."""

from __future__ import annotations

import re
from pathlib import Path

from flight_yards import flight_plan
from lynchet.drawings.faults import faults
from lynchet.drawings.lower import lower
from lynchet.drawings.setting_sheet import setting_sheet
from lynchet.drawings.stamp import Stamp
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project

BETWEEN_BANKS = """lynchet = 1
units = "us"
[ground]
held = "level"
steps = { cross_fall = "3 %", each = [
    { rise = "9 1/2 in", run = "6 ft" }, { rise = "14 in", run = "6 ft" }, { rise = "13 1/4 in", run = "6 ft" },
    { rise = "16 in", run = "6 ft" }, { rise = "7 in", run = "5 ft" } ] }
[area]
outline = [[0, 0], [26, 0], [27, 29], [3, 29]]
edges = [{ from = 1, finish = "bank", width = "4 ft" }, { from = 2, finish = "house" },
    { from = 3, finish = "bank", width = "10 ft" } ]
[[house]]
outline = [[3, 29], [27, 29], [27, 55], [3, 55]]
[[steps]]
line = [[9, -3], [9, 27]]
width = "3 ft 6 in"
[access]
truck_stop = [45, 60]
[soil]
feel = "sticky"
[brief]
path_strip = "2 ft"
"""


def test_many_names_without_room_keep_off_the_plan(tmp_path: Path) -> None:
    """Seven lines of them where the house above leaves the paper free: the plan moves up, and nothing meets."""
    file = tmp_path / "banks.toml"
    file.write_text(BETWEEN_BANKS, encoding="utf-8")
    sheet = setting_sheet(plan_project(read_project(file), effort=LIVE), Stamp(date="12 May 2026"))
    assert sheet is not None
    display = lower(sheet)
    told = [text for text in display.texts if re.search(r"\d+ = \S", text.text)]
    assert len(told) > 4, "more than are always kept free"
    assert faults(display, sheet.paper) == []


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
