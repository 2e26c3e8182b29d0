"""Day sheets: nothing is lost between the plan and the days, every page fits, figures are those of the setting-out."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import pytest

from days_and_order import not_adding_up
from demo_plans import DEMOS, demo
from lynchet.book.texts import Words
from lynchet.drawings.day_content import DayContent, day_contents
from lynchet.drawings.day_figures import barrows, marks, tape
from lynchet.drawings.day_parts_set import parts_of
from lynchet.drawings.day_sheet import day_sheet_names, day_sheets, sheets_of_day
from lynchet.drawings.display import Display
from lynchet.drawings.faults import crossed, faults
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area, Line, Sheet, Text
from lynchet.drawings.paper import paper_of
from lynchet.drawings.stamp import Stamp
from lynchet.plan.building_days import days_of
from lynchet.plan.day_parts import DayParts, day_parts
from lynchet.plan.day_readings import MOST, readings
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project_text
from random_yards import realistic
from steps_on_paper import unsaid, unsaid_of

SEEDS = (0, 3, 18)
STAMP = Stamp(firm="Invented Terraces", date="12 May 2026", numbers=(("cut-sheet", 9), ("wall-A0", 5)))


@cache
def _plan(name: str, units: str = "") -> Plan:
    """A demo, or a random yard by its seed; in other units where asked."""
    if name.isdigit():
        project, _ = realistic(int(name))
        return plan_project(project, effort=LIVE)
    plan = demo(name)
    if units in ("", plan.project.units):
        return plan
    return plan_project(replace(plan.project, units=units), effort=LIVE)  # type: ignore[arg-type]


@cache
def _days(name: str) -> tuple[DayParts, ...]:
    return day_parts(_plan(name))


YARDS = (*DEMOS, *(str(seed) for seed in SEEDS))


@pytest.mark.parametrize("name", YARDS)
def test_everything_comes_on_one_day(name: str) -> None:
    """Every piece, tie, timber of steps, pin, screw and plant that does not stand yet is on exactly one day."""
    plan, days = _plan(name), _days(name)
    standing = plan.walls.standing
    wished = [
        piece.id for piece in plan.pieces
        if not standing.stands(piece.leg, piece.course, (min(piece.start_m) + max(piece.end_m)) / 2)
    ]  # fmt: skip
    assert sorted(piece.id for day in days for piece in day.pieces) == sorted(wished)
    assert sorted(tie.id for day in days for tie in day.ties) == sorted(tie.id for tie in plan.stability.ties)
    assert sorted(one.id for day in days for one in day.treads) == sorted(one.id for one in plan.timber.steps)
    fixings = sum(sum(day.fixings.values()) for day in days)
    assert fixings == len(plan.stability.pins) + len(plan.timber.fasteners)
    assert sum(sum(day.plants.values()) for day in days) == sum(one.count for one in plan.planted.plantings)


@pytest.mark.parametrize("name", YARDS)
def test_pins_and_screws_come_with_their_timber(name: str) -> None:
    """Every pin and screw is needed on a day on which timber of its own wall and course is laid, and on no other."""
    plan, days = _plan(name), days_of(_plan(name))
    laid = {(one.leg, one.course, days.day_of(one.id)) for one in (*plan.pieces, *plan.stability.ties)}
    fixings = (*plan.stability.pins, *plan.timber.fasteners)
    assert fixings
    assert [one.id for one in fixings if (one.leg, one.course, days.day_of(one.id)) not in laid] == []
    assert not any(day.fixings and not (day.pieces or day.ties) for day in _days(name))


@pytest.mark.parametrize("name", YARDS)
def test_shares_of_the_days_make_the_tasks(name: str) -> None:
    """What the days take of a task adds up to the task, each share beginning where the one before ended."""
    plan, days = _plan(name), _days(name)
    for task in plan.works.tasks:
        shares = [share for day in days for share in day.shares if share.task.id == task.id]
        assert shares[0].start == pytest.approx(0.0) and shares[-1].end == pytest.approx(1.0)
        assert all(b.start == pytest.approx(a.end) for a, b in pairwise(shares))
        assert sum(share.quantity for share in shares) == pytest.approx(task.quantity)
        assert [shares[0].first, shares[-1].last] == [1, shares[-1].of]


@pytest.mark.parametrize("name", YARDS)
def test_readings_are_those_of_the_setting_out(name: str) -> None:
    """The top of a lowest course reads what the card gives for its underside, less one course; three a day at most."""
    plan = _plan(name)
    under: dict[str, list[float]] = {}
    for level in plan.walls.setting_out.levels:
        if level.what == "underside of the lowest course":
            under.setdefault(level.place, []).append(level.below_mark_m - plan.project.timber.course_m)
    beds = {one.place: one.below_mark_m for one in plan.walls.setting_out.levels if one.what == "finished bed"}
    checked = 0
    for day in _days(name):
        found = readings(plan, day)
        assert len(found) <= MOST
        for reading in found:
            assert reading.tolerance_m > 0
            if reading.what == "first course":
                assert any(reading.value_m == pytest.approx(wish, abs=1e-6) for wish in under[reading.place])
                checked += 1
            if reading.what == "bed":
                assert reading.value_m == pytest.approx(beds[reading.place], abs=1e-9)
                checked += 1
    assert checked


@cache
def _sheets(name: str, units: str = "", lang: str = "en") -> tuple[Sheet, ...]:
    """The day sheets of a yard, drawn once for all that look at them."""
    units = "" if units == _plan(name).project.units else units
    return tuple(day_sheets(_plan(name, units), STAMP, Words(lang))) if units or lang != "en" else _own(name)


@cache
def _own(name: str) -> tuple[Sheet, ...]:
    return tuple(day_sheets(_plan(name), STAMP, Words()))


def _of_day(name: str, number: int) -> tuple[Sheet, ...]:
    """Those of one day."""
    return tuple(one for one in _sheets(name) if one.id == f"day-{number}" or one.id.startswith(f"day-{number}-"))


def _drawn(sheets: Iterable[Sheet]) -> list[tuple[Sheet, Display]]:
    return [(sheet, lower(sheet)) for sheet in sheets]


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize(("name", "units"), [(name, units) for name in DEMOS for units in ("metric", "us")])
def test_no_day_sheet_has_a_fault(name: str, units: str, lang: str) -> None:
    """On A4 and Letter, in both languages: no text meets another, leaves its place, is covered, crossed or cut."""
    plan = _plan(name, units)
    drawn = _drawn(_sheets(name, units, lang))
    assert tuple(sheet.id for sheet, _ in drawn) == day_sheet_names(plan, Words(lang))
    assert [sheet.id for sheet, _ in drawn if "page" not in sheet.id] == [
        f"day-{day.number}" for day in plan.works.days
    ]
    for sheet, display in drawn:
        assert sheet.paper.name == ("A4" if units == "metric" else "Letter")
        assert faults(display, sheet.paper) == [], sheet.id
        own = [one for one in crossed(display) if "label" not in one]
        assert own == [], sheet.id
        cut = [text.text for text in display.texts if text.text.endswith("…") and text.of.startswith("text-")]
        assert cut == [] and sheet.notes == (), sheet.id
        said = " ".join(text.text for text in display.texts)
        assert (Words("es").unreviewed in said) == (lang == "es")


class _Longer(Words):
    """Texts more than a quarter longer than English, as a translation may be."""

    def _found(self, name: str) -> Any:
        found = super()._found(name)
        return [_longer(one) for one in found] if isinstance(found, list) else _longer(str(found))


def _longer(text: str) -> str:
    """28 % more letters: every word of four letters or more grows, blanks stay."""
    wanted, words = round(0.28 * len(text)), text.split(" ")
    long = [n for n, word in enumerate(words) if len(word) > 3 and "{" not in word]
    for n in long:
        words[n] = words[n][:2] + "e" * -(-wanted // max(1, len(long))) + words[n][2:]
    return " ".join(words)


@pytest.mark.parametrize("name", DEMOS)
def test_texts_a_quarter_longer_still_fit(name: str) -> None:
    """With every text 28 % longer or more no sheet has a fault, and every step still stands on paper."""
    assert len(_longer("Lay the first course at {where}: {marks}.")) >= 1.25 * len("Lay the first course at {where}: .")
    for sheet, display in _drawn(day_sheets(_plan(name), STAMP, _Longer())):
        assert faults(display, sheet.paper) == [], sheet.id
    assert unsaid(_plan(name), _Longer()) == []


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize(("name", "units"), [(name, units) for name in DEMOS for units in ("metric", "us")])
def test_nothing_a_day_says_is_left_to_the_phone(name: str, units: str, lang: str) -> None:
    """Every step with how it is done, its caution and look, every need, the hold point with its step, the evening."""
    assert unsaid(_plan(name, units), Words(lang)) == []


@pytest.mark.parametrize(("name", "units"), [(name, units) for name in DEMOS for units in ("metric", "us")])
def test_what_the_days_need_is_what_is_ordered(name: str, units: str) -> None:
    """Stone, compost, mulch, pipe, drip line, every pin and screw and plant of the days add up to the order list."""
    assert not_adding_up(_plan(name, units)) == []


@pytest.mark.parametrize("name", YARDS)
def test_a_sheet_says_what_its_day_says(name: str) -> None:
    """All pieces counted in the needs; a box to write in for every reading; on every page when to stop and call."""
    plan, words = _plan(name), Words()
    for content, today in zip(day_contents(plan, words), _days(name), strict=True):
        pieces = len(today.pieces) + len(today.ties) + len(today.treads)
        assert sum(need.pieces for need in content.needs) == pieces
        sheets = _of_day(name, content.number)
        for sheet in sheets:
            said = " ".join(item.text for item in sheet.marks if isinstance(item, Text))
            assert words("day.stop_head") in said and "phone" not in said
        boxes = [item for item in sheets[0].marks if isinstance(item, Area) and item.fill == "paper"]
        assert len(boxes) == len(content.expected.reads)
        for box in boxes:
            (x0, y0), _, (x1, y1), _ = box.rings[0]
            assert x1 - x0 >= 24.0 - 1e-9 and y1 - y0 >= 9.0 - 1e-9


@pytest.mark.parametrize(("units", "long_mm"), [("metric", 40.0), ("us", 50.8)])
def test_the_bar_is_as_long_as_it_says(units: str, long_mm: float) -> None:
    """The bar at the foot measures 40 mm, or 2 in, on paper."""
    sheet = _sheets("side_yard", units)[0]
    bars = [item for item in sheet.marks if isinstance(item, Line) and item.pen == "cut" and item.id.startswith("rule")]
    (bar,) = bars
    assert abs(bar.pts[1][0] - bar.pts[0][0]) == pytest.approx(long_mm)


def test_a_day_too_full_for_a_page_goes_on_upon_the_next() -> None:
    """Steps thrice and eightfold on a day: more pages, each going on where the one before ended, nothing left out."""
    plan, words = _plan("side_yard"), Words()
    content = day_contents(plan, words)[1]
    paper = _sheets("side_yard")[0].paper
    counts = []
    for times in (1, 3, 8):
        full = replace(content, steps=tuple(replace(step, hold=False) for step in content.steps) * times)
        assert list(unsaid_of(full, words, paper)) == []
        parts = parts_of(full, words, paper)
        assert [part.number for part in parts] == list(range(1, len(parts) + 1))
        assert all(one.end == two.first for one, two in pairwise(parts)) and parts[-1].end == len(full.steps)
        counts.append(len(parts))
    assert counts[0] < counts[1] < counts[2]


def test_marks_in_short() -> None:
    """Letters that follow one another are drawn together; others, and other courses, are not."""
    assert marks(["1a", "1b", "1c", "2a"]) == "1a–1c, 2a"
    assert marks(["1a", "1b", "2b", "2d"]) == "1a, 1b, 2b, 2d"
    assert marks(["T1", "T2", "T3"]) == "T1–T3"
    assert marks([]) == ""


def test_figures_as_on_the_tape() -> None:
    """5 ft 2 1/2 in is 1.5875 m; three barrows carry 0.21 m³ in barrows of 0.08 m³."""
    assert tape(1.5875, "us") == "5 ft 2½ in" and tape(1.5875, "metric") == "1588 mm"
    assert barrows(0.21, 0.08) == 3 and barrows(0.16, 0.08) == 2


def test_one_day_alone_is_drawn_as_among_all() -> None:
    """The sheets of a day by itself are those of the same day in the row of all."""
    plan = _plan("side_yard")
    number = plan.works.days[1].number
    assert tuple(sheets_of_day(plan, number, STAMP, Words())) == _of_day("side_yard", number)


def test_contents_are_made_once_a_language() -> None:
    """Spanish and English say the same figures: counts, sizes and tolerances do not depend on the language."""
    english, spanish = (day_contents(_plan("l_garden"), Words(lang)) for lang in ("en", "es"))
    for one, two in zip(english, spanish, strict=True):
        assert [need.pieces for need in one.needs] == [need.pieces for need in two.needs]
        assert [read.value for read in one.expected.reads] == [read.value for read in two.expected.reads]
        assert len(one.steps) == len(two.steps) and len(one.evening) == len(two.evening)
        assert isinstance(one, DayContent) and one.title != two.title


@pytest.mark.parametrize("name", YARDS)
def test_the_hold_point_is_said_at_the_step_it_follows(name: str) -> None:
    """One step at most is followed by the hold point; the box names its number and the step itself says to stop."""
    plan, words = _plan(name), Words()
    for content, today in zip(day_contents(plan, words), _days(name), strict=True):
        at = [number for number, step in enumerate(content.steps, start=1) if step.hold]
        assert len(at) == bool(today.day.holds)
        for number in at:
            assert (
                content.hold.startswith(f"After step {number}: ") and content.steps[number - 1].task in today.day.holds
            )
            said = [item.text for sheet in _of_day(name, content.number) for item in sheet.marks
                    if isinstance(item, Text)]  # fmt: skip
            assert words("day.then_hold") in said


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_mark_where_there_is_digging_is_carried_out_first(lang: str) -> None:
    """The readings of a bare slope count from a corner of its area: its height is carried out before anything is dug,
    later readings count from there, and the built-in name is in the language of the sheet."""
    project = _plan("side_yard").project
    slope = replace(project, ground=replace(project.ground, kind="slope", mark=None))
    plan, words = plan_project(slope, effort=LIVE), Words(lang)
    mark = {"en": "ground at area corner 0", "es": "el suelo en la esquina 0 del área"}[lang]
    days = day_contents(plan, words)
    setting = next(step for day in days for step in day.steps if step.task == "site/set out")
    assert setting.text.startswith(words("day.carry", mark=mark)) and mark in setting.text
    levels = [day.expected.intro for day in days if "“" in day.expected.intro]
    assert levels and all(intro.startswith(words("day.readings_carried", mark=mark)) for intro in levels)


@pytest.mark.parametrize("name", YARDS)
def test_every_wall_laid_has_a_reading_before_one_has_two(name: str) -> None:
    """Two readings of timber or stone on one wall only where every wall whose timber is laid has one."""
    plan = _plan(name)
    for today in _days(name):
        found = [one for one in readings(plan, today) if one.what in ("first course", "course", "stone")]
        read = [one.place for one in found]
        laid = {piece.leg for piece in today.pieces} | {one.place for one in found if one.what == "stone"}
        assert len(set(read)) == min(len(read), len(laid))


@pytest.mark.parametrize("units", ["metric", "us"])
def test_lengths_along_the_ground_are_told_in_metres_or_feet(units: str) -> None:
    """Open trench in the evening is said as one paces it, never as thousands of millimetres or hundreds of inches."""
    plan = _plan("l_garden", units)
    told = [text for content in day_contents(plan, Words()) for text in content.evening if "trench open:" in text]
    mark = " m of trench" if units == "metric" else " ft "
    assert told and all(mark in text for text in told)


def test_compost_that_is_ordered_is_mixed_in_on_the_day_of_the_bed_soil() -> None:
    """Each step that spreads bed soil says how deep compost is forked in; none does where none is asked for."""
    plan = demo("side_yard")
    deep = plan.project.planting.compost_m
    assert any(line.key == "compost" for line in plan.works.order) and deep > 0
    bare = replace(plan, project=replace(plan.project, planting=replace(plan.project.planting, compost_m=0.0)))
    for one, wanted in ((plan, True), (bare, False)):
        days = day_contents(one, Words("en"))
        steps = [step for day in days for step in day.steps if "bed soil in" in step.text]
        assert steps
        assert all(any("compost" in text for text in (step.text, *step.more)) == wanted for step in steps)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_steps_that_are_timber_all_through_are_not_filled(units: str) -> None:
    """Where no box has room between its timbers neither the step's words nor its picture speak of filling it."""
    plan = _plan("l_garden", units)
    assert plan.timber.steps and not any(piece.hollow for piece in plan.timber.steps)
    drawn = _drawn(_sheets("l_garden", units, "en"))
    words = " ".join(text.text for _, display in drawn for text in display.texts)
    assert "timber all through" in words
    assert "fill it, tamp it" not in words and "box of timber" not in words


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_bed_is_read_to_the_level_its_picture_says(units: str) -> None:
    """The finished soil of a bed has one figure on its day's sheet, label and reading alike."""
    seen = 0
    for _, display in _drawn(_sheets("l_garden", units, "en")):
        lines = [text.text for text in display.texts]
        for line in lines:
            if line.startswith("bed soil up to "):
                seen += 1
                figure = re.match(r"bed soil up to ([^a]*?)(?: above| below|$)", line)
                assert figure and figure[1] in lines, line
    assert seen >= 3


LOW = """
lynchet = 1
units = "{units}"
[ground]
slope = {{ fall = "9 %", cross_fall = "1 %" }}
held = "level"
[area]
length = "9 m"
depth = "8 m"
[soil]
class = "SM"
[[timber]]
section = "150 mm x 150 mm"
stock = [{{ length = "2.4 m" }}, {{ length = "4.8 m" }}]
[brief]
terraces = 4
embedment = "75 mm"
freeboard = "50 mm"
[works]
crew = 2
hours_a_day = 7
"""


@pytest.mark.parametrize("units", ["us", "metric"])
def test_fill_stops_where_the_picture_has_the_ground_for_bed_soil(units: str) -> None:
    """What is dug out for the soil of a bed has one figure: in the picture, and where fill stops under it."""
    plan = plan_project(read_project_text(LOW.format(units=units)), effort=LIVE)
    by_day: dict[str, str] = {}
    for sheet, display in _drawn(day_sheets(plan, STAMP, Words())):
        day = sheet.id.split("-page")[0]
        by_day[day] = by_day.get(day, "") + " " + " ".join(text.text for text in display.texts)
    seen = 0
    for words in by_day.values():
        dug = re.search(r"dug out to (.*?) (?:above|below) the mark for bed soil", words)
        stop = re.search(r"Where bed soil goes, stop at (.*?) (?:above|below) the mark:", words)
        if dug and stop:
            seen += 1
            assert dug[1] == stop[1], (dug[0], stop[0])
    assert seen >= 1


NEEDED = {
    "level string or laser": "carry", "fork it in": "fork", "Bore weep holes": "bit", "in timber that stands": "bit",
    "Two tapes": "tape", "with its drill": "drill", "Lay the drip line": "rule", "Sawing:": "saw", "hose": "hose",
    "tamp it hard": "tamper", "Stretch a level string": "strings", "carry the height": "carry",
}  # fmt: skip
"""Words of a day that cannot be followed without a tool, and the tool."""


@pytest.mark.parametrize("name", (*DEMOS, "3"))
def test_a_day_lists_the_tools_its_words_call_for(name: str) -> None:
    """Whoever takes along what the head names can do every step and every reading: PRACTICE, word by word."""
    words, seen = Words("en"), set[str]()
    for day in day_contents(_plan(name), words):
        steps = (f"{step.text} {' '.join(step.more)} {step.caution}" for step in day.steps)
        told = " ".join((day.expected.intro, *steps))
        for call, tool in NEEDED.items():
            if call in told:
                seen.add(tool)
                spoken = words(f"day.tool.{tool}", level="", bore="").strip().split("{")[0]
                assert spoken.lstrip(" ,") in day.tools, (day.number, call, day.tools)
        if "Sawing:" in told:
            assert words("day.tool.rule") in day.tools or words("day.tool.tape") in day.tools, day.number
    assert {"carry", "saw", "tamper"} <= seen


@pytest.mark.parametrize("name", YARDS)
def test_the_inspector_is_called_at_every_trench_and_drain(name: str) -> None:
    """A task an inspector may want to see ends with the call on its day, beside its step or in the day's hold point."""
    plan, call = _plan(name), Words("en")("day.hold.inspect")
    contents = day_contents(plan, Words("en"))
    for day, today in zip(contents, day_parts(plan), strict=True):
        for task in (plan.works.task(one) for one in today.day.holds):
            told = [step for step in day.steps if step.task == task.id and (call in step.look or step.hold)]
            assert bool(told and (not told[-1].hold or day.inspect)) or not task.inspect, (day.number, task.id)


@pytest.mark.parametrize("name", DEMOS)
def test_no_page_of_two_has_a_single_step(name: str) -> None:
    """Of a day on two pages with four steps or more each page has two at least: one alone is read apart."""
    plan = _plan(name, "metric")
    shown = 0
    for content in day_contents(plan, Words()):
        parts = parts_of(content, Words(), paper_of(plan.project, carried=True))
        if len(parts) == 2 and len(content.steps) >= 4:
            assert all(part.end - part.first >= 2 for part in parts), content.number
            shown += 1
    assert shown
