"""A day sheet set by measure: each part draws itself downward and says where it ends, so that it can be tried first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lynchet.book.texts import Words
from lynchet.drawings.day_content import DayContent
from lynchet.drawings.day_needs import Need
from lynchet.drawings.day_steps import DayStep
from lynchet.drawings.letters import LEAST_MM, PITCH_LIST, RESERVE, fit, width, wrap
from lynchet.drawings.model import Line, Symbol
from lynchet.drawings.page import Page

READ_WIDE = 56.0
"""Width of the column of readings."""
WRITE_MM = (24.0, 9.0)
"""A box to write a reading into with a gloved hand."""
_TICK = 3.8
_HEAD = 3.5
_GAP = 3.0


@dataclass(frozen=True)
class Fit:
    """How closely a day is set: the first that fits is taken."""

    h: float
    picture_mm: float
    """Least height of the picture."""
    tight: bool = False
    """Needs in the least letters."""
    needs: float = 0.0
    """Letters of what must lie ready; 0 = after those of the steps."""

    @property
    def needs_h(self) -> float:
        """Height of the letters of what must lie ready."""
        return self.needs or (self.h if self.tight else min(2.8, max(2.4, self.h)))


FITS = (
    Fit(3.2, 100.0), Fit(3.0, 90.0), Fit(2.8, 78.0), Fit(2.65, 72.0), Fit(2.5, 64.0), Fit(2.35, 50.0),
)  # fmt: skip
"""The roomiest first: what is said is the same in all of them; what would need smaller letters takes two pages."""
MORE_FITS = (*FITS[1:5], Fit(2.5, 54.0), Fit(2.5, 46.0), Fit(2.35, 38.0), Fit(LEAST_MM, 28.0, tight=True))
"""For the first page of a day that takes several."""


def tick(page: Page, x: float, base: float, size: float = _TICK) -> None:
    """A box to tick, its foot a little under the base line."""
    y = base + 0.6
    page.items.append(
        Line(id=f"tick-{len(page.items):04d}", layer="labels", closed=True, pen="visible",
             pts=((x, y - size), (x + size, y - size), (x + size, y), (x, y)))
    )  # fmt: skip


def lines(page: Page, at: tuple[float, float], room: float, text: str, h: float, **look: Any) -> float:
    """A paragraph from its first base line; where the next base line would stand."""
    x, y = at
    weight = "semibold" if look.get("weight") == "semibold" else "regular"
    for line in wrap(text, room, h, weight):  # type: ignore[arg-type]
        page.text((x, y), line, h, **look)
        y += h * PITCH_LIST
    return y


def head(page: Page, content: DayContent, words: Words, box: tuple[float, float, float]) -> float:
    """Number of the day, its title, who and with what."""
    left, top, right = box
    number = words("day.number", number=content.number)
    page.text((left, top + 15.0), number, 9.0, weight="bold")
    x = left + width(number, 9.0, "bold") + 7.0
    room = right - x
    title = next((h for h in (5.0, 4.6, 4.2) if width(content.title, h, "bold") <= room), 0.0)
    if title:
        page.text((x, top + 10.0), content.title, title, weight="bold")
    else:  # two lines of a long title
        rows = wrap(content.title, room, 3.6, "bold")
        for n, row in enumerate(rows):
            page.text((x, top + 8.2 + n * 5.4), row, 3.6, weight="bold")
        top += 3.8 + 5.4 * (len(rows) - 2)
    who = f"{content.when}. {content.crew}" if content.when else content.crew
    y = lines(page, (x, top + 15.2), room, who, 2.8)
    y = lines(page, (x, y + 0.2), room, words("day.tools", list=content.tools), 2.5)
    y = max(y - 0.2, top + 19.6)
    if words.unreviewed:
        page.text((left, y + 1.2), words.unreviewed, 2.5, right - left, role="warn", weight="semibold")
        y += 3.4
    return y


def needs(page: Page, content: DayContent, words: Words, box: tuple[float, float, float], h: float = 2.8) -> float:
    """What must lie ready, in two columns with boxes to tick."""
    left, top, right = box
    page.text((left, top + 6.0), words("day.needs_head"), _HEAD, weight="bold")
    first = top + 11.8
    if not content.needs:
        page.text((left, first), words("day.needs_none"), h)
        return first + _GAP
    count_wide = max(width(need.count, h, "bold") for need in content.needs) + 2.2
    column = (right - left - 5.0) / 2
    room = column - _TICK - 2.0 - count_wide
    high = [_need_high(need, room, h) for need in content.needs]
    split = _split(high)
    ends = []
    for side, rows in ((0, content.needs[:split]), (1, content.needs[split:])):
        x, y = left + side * (column + 5.0), first
        for need in rows:
            tick(page, x, y)
            page.text((x + _TICK + 2.0, y), need.count, h, weight="bold")
            lines(page, (x + _TICK + 2.0 + count_wide, y), room, need.words, h)
            y += _need_high(need, room, h)
        ends.append(y)
    return max(ends) - h * PITCH_LIST + 1.6


def _need_high(need: Need, room: float, h: float) -> float:
    return len(wrap(need.words, room, h)) * h * PITCH_LIST + 1.3


def _split(high: list[float]) -> int:
    """How many rows go into the left column, so that the longer of the two is as short as can be."""
    return min(range(1, len(high) + 1), key=lambda n: (round(max(sum(high[:n]), sum(high[n:])), 3), -n))


def go_on(page: Page, content: DayContent, words: Words, box: tuple[float, float, float]) -> float:
    """The head of a page on which a day goes on: which day, which of its pages."""
    left, top, right = box
    said = words("day.number", number=content.number)
    page.text((left, top + 11.0), said, 6.0, weight="bold")
    page.text((left + width(said, 6.0, "bold") + 5.0, top + 11.0), words("day.goes_on"), 3.5, weight="bold")
    if words.unreviewed:
        page.text((left, top + 16.0), words.unreviewed, 2.5, right - left, role="warn", weight="semibold")
        return top + 17.4
    return top + 13.6


def steps(
    page: Page, content: DayContent, words: Words, box: tuple[float, float, float], part: tuple[int, int, float]
) -> float:
    """Steps with their numbers; the caution and the look beside the step concerned.

    Args:
        page: where they are set.
        content: the day.
        words: texts.
        box: left, top and right, mm.
        part: the first step and the one after the last, counted from 0, and the height of their letters, mm.
    """
    left, top, right = box
    first, end, h = part
    page.text((left, top + 6.0), words("day.steps_head"), _HEAD, weight="bold")
    y = top + 8.2 + h * 1.4
    wide = width("00", 3.2, "bold") + 1.4
    x = left + _TICK + 1.6
    for n, step in enumerate(content.steps[first:end], start=first + 1):
        tick(page, left, y)
        page.text((x + wide - 1.4, y), str(n), min(3.2, h + 0.2), weight="bold", anchor="r")
        y = max(y + _TICK + 0.9, _step(page, step, words, (x + wide, y, right), h) + 0.32 * h)
    return y - h * PITCH_LIST + 2.2


def _step(page: Page, step: DayStep, words: Words, at: tuple[float, float, float], h: float) -> float:
    x, y, right = at
    room, small = right - x, max(LEAST_MM, h - 0.2)
    y = lines(page, (x, y), room, " ".join((step.text, *step.more)), h)
    if step.caution:
        y = lines(page, (x, y), room, step.caution, small, role="warn", weight="semibold")
    if step.look:
        y = lines(page, (x, y), room, words("day.look_first", text=step.look), small, weight="semibold")
    if step.hold:
        y = lines(page, (x, y), room, words("day.then_hold"), small, role="warn", weight="semibold")
    return y


def readings(page: Page, content: DayContent, words: Words, box: tuple[float, float, float]) -> float:
    """What a staff or tape must show, with a box for what it does show."""
    left, top, right = box
    expected = content.expected
    page.text((left, top + 6.0), expected.head, _HEAD, right - left, weight="bold")
    y = lines(page, (left, top + 10.8), right - left, expected.intro, 2.5) + 1.2
    wide, high = WRITE_MM
    for read in expected.reads:
        y = lines(page, (left, y), right - left, read.place, 2.5) - 2.9
        page.bar((right - wide, right), (y, y + high), pen="visible", fill="paper")
        page.text((right - 1.2, y + high - 1.4), words("day.read"), LEAST_MM, anchor="r", role="mid")
        room = right - wide - 1.4 - left
        said, h = fit(read.value, room, 3.2, "bold")
        page.text((left, y + 3.9), said, h, weight="bold")
        page.text((left, y + 8.2), read.tolerance, 2.5, room)
        y += high + 3.8
    if expected.off:
        y = lines(page, (left, y + 0.4), right - left, expected.off, 2.5)
    return y - 1.6


def hold(page: Page, content: DayContent, words: Words, box: tuple[float, float, float]) -> float:
    """The one hold point, full width, with room for a name."""
    left, top, right = box
    x, room = left + 15.0, right - left - 18.0
    h = next((h for h in (3.2, 3.0, 2.8, 2.65, 2.5) if width(content.hold, h, "semibold") * RESERVE <= room), 3.0)
    count = len(wrap(content.hold, room, h, "semibold"))
    high = 2.4 + count * h * PITCH_LIST + 6.0 + (4.2 if content.inspect else 0.0)
    page.bar((left, right), (top, top + high), fill="warn tone", pen="visible", role="warn")
    page.items.append(
        Symbol(id="hold-sign", layer="labels", name="stop", at=(left + 7.2, top + high / 2), role="warn",
               text=words("day.stop_sign"))
    )  # fmt: skip
    y = lines(page, (x, top + 2.4 + h), room, content.hold, h, weight="semibold")
    if content.inspect:
        y = lines(page, (x, y - 0.4), room, content.inspect, 2.5)
    sign = words("day.sign")
    page.text((x, top + high - 2.4), sign, 2.5)
    start = x + width(sign, 2.5) + 2.0
    page.rule((start, top + high - 2.0), (right - 4.0, top + high - 2.0), layer="labels", pen="fine")
    return top + high


def evening(page: Page, content: DayContent, words: Words, box: tuple[float, float, float]) -> float:
    """How the place is left, in two columns with boxes to tick, and when to stop and call."""
    left, top, right = box
    page.text((left, top + 5.4), words("day.leave_head"), _HEAD, weight="bold")
    h, column = 2.5, (right - left - 5.0) / 2
    room = column - _TICK - 1.6
    high = [max(_TICK + 0.9, len(wrap(text, room, h)) * h * PITCH_LIST + 0.9) for text in content.evening]
    split = _split(high)
    ends = []
    for side, texts in ((0, content.evening[:split]), (1, content.evening[split:])):
        x, y = left + side * (column + 5.0), top + 10.8
        for text in texts:
            tick(page, x, y)
            y = max(y + _TICK + 0.9, lines(page, (x + _TICK + 1.6, y), room, text, h) + 0.9)
        ends.append(y)
    return _call(page, content, words, (left, max(ends) + 1.2, right))


def turn(
    page: Page, content: DayContent, words: Words, box: tuple[float, float, float], goes: tuple[int, int]
) -> float:
    """Where the day goes on, with which step on which page of its own; and when to stop and call."""
    left, top, right = box
    step, number = goes
    page.text((left, top + 5.4), words("day.turn", step=step, page=number), _HEAD, right - left, weight="bold")
    return _call(page, content, words, (left, top + 11.4, right))


def notes(page: Page, words: Words, box: tuple[float, float, float]) -> None:
    """Room to write in."""
    left, top, right = box
    page.text((left, top + 6.0), words("day.notes_head"), _HEAD, right - left, weight="bold")


def _call(page: Page, content: DayContent, words: Words, box: tuple[float, float, float]) -> float:
    """When to stop and call, from a base line."""
    left, y, right = box
    title = words("day.stop_head")
    page.text((left, y), title, 2.8, weight="bold", role="warn")
    start = left + width(title, 2.8, "bold") + 2.2
    h = 2.8 if width(content.stop, 2.8) * RESERVE <= right - start else 2.5
    return lines(page, (start, y), right - start, content.stop, h, role="warn") - h * PITCH_LIST + 2.0
