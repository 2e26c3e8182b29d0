"""Day sheets: one tall page a day, from what lies ready in the morning to how the place is left at night."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.book.texts import Words
from lynchet.drawings import day_page
from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.day_content import DayContent, day_contents
from lynchet.drawings.day_page import FITS, READ_WIDE, Fit
from lynchet.drawings.day_places import picture_words
from lynchet.drawings.model import Item, Sheet
from lynchet.drawings.page import Page, Trial
from lynchet.drawings.paper import Box, Paper, paper_of
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.step_pictures import step_view
from lynchet.plan.model import Plan

_PAD = 5.0
_PICTURE_HEAD = 8.0
_MOST_PICTURE = 112.0
_FOOT = 7.0
_BAR = {"us": (50.8, "2 in"), "metric": (40.0, "40 mm")}


def day_sheet_names(plan: Plan) -> tuple[str, ...]:
    """Names of the sheets: "day-1", "day-2"."""
    return tuple(f"day-{day.number}" for day in plan.works.days)


def day_sheets(plan: Plan, stamp: Stamp, words: Words) -> tuple[Sheet, ...]:
    """One sheet a day; none where nothing is built.

    Args:
        plan: with its days.
        stamp: firm, date, issue and sheet numbers.
        words: texts of one language.
    """
    return tuple(day_sheet(plan, content, stamp, words) for content in day_contents(plan, words))


def day_sheet(plan: Plan, content: DayContent, stamp: Stamp, words: Words) -> Sheet:
    """The sheet of one day."""
    paper = paper_of(plan.project, carried=True)
    name = f"day-{content.number}"
    fields = stamp.fields(name, words("day.sheet", number=content.number), "–", plan)
    block, notes = title_block(paper, fields)
    page, picture = _set(content, words, paper)
    _foot(page, paper, (words, plan.project.units, _from(stamp, words)))
    view = step_view(plan, content.number, picture, picture_words(words))
    count = content.expected.head[:1].lower() + content.expected.head[1:]
    alt = " ".join((words("day.alt", number=content.number, readings=count), view.alt))
    marks: tuple[Item, ...] = (*frame_items(paper), *block, *page.items)
    return Sheet(
        name, "day", paper, fields, (view,), marks, stamp.theme, words.lang, (content.hold,), alt, tuple(notes)
    )


def _set(content: DayContent, words: Words, paper: Paper) -> tuple[Page, Box]:
    """The roomiest page whose picture gets its least height, or as much as it can ever get; and the picture's place."""
    picture = _page(Trial(), content, words, paper, FITS[-1])
    most = picture[3] - picture[1] - 0.5
    for how in FITS:
        picture = _page(Trial(), content, words, paper, how)
        if picture[3] - picture[1] >= min(how.picture_mm, most):
            break
    page = Page()
    return page, _page(page, content, words, paper, how)


def _page(page: Page, content: DayContent, words: Words, paper: Paper, how: Fit) -> Box:
    """Head and needs from the top, the rest from the foot up; what is left between is the picture's."""
    left, top, right, bottom = paper.field
    x0, x1 = left + _PAD, right - _PAD
    y = day_page.head(page, content, words, (x0, top, x1))
    _rule(page, left, right, y)
    y = day_page.needs(page, content, words, (x0, y, x1), how.h if how.tight else min(2.8, max(2.4, how.h)))
    heights = [_high(day_page.hold, content, words, x1 - x0), _high(day_page.evening, content, words, x1 - x0)]
    split = right - READ_WIDE
    work = max(
        day_page.steps(Trial(), content, words, (x0, 0.0, split - 3.0), how),
        day_page.readings(Trial(), content, words, (split + 3.0, 0.0, x1)),
    )
    foot = bottom - _FOOT
    start = foot - heights[1] - 1.0 - heights[0] - 2.0 - work
    start = min(start, y + _PICTURE_HEAD + _MOST_PICTURE)
    _rule(page, left, right, y)
    page.text((x0, y + 6.0), words("day.picture_head"), 3.5, weight="bold")
    picture = (x0, y + _PICTURE_HEAD, x1, start - 1.0)
    _rule(page, left, right, start)
    day_page.steps(page, content, words, (x0, start, split - 3.0), how)
    day_page.readings(page, content, words, (split + 3.0, start, x1))
    hold_top = foot - heights[1] - 1.0 - heights[0]
    page.rule((split, start), (split, hold_top - 1.4), layer="title", pen="fine")
    day_page.hold(page, content, words, (left + 4.2, hold_top, right - 4.2))
    day_page.evening(page, content, words, (x0, foot - heights[1], x1))
    return picture


def _high(part: object, content: DayContent, words: Words, wide: float) -> float:
    """Height of a part drawn over a width, tried on a page of its own."""
    assert callable(part)
    end: float = part(Trial(), content, words, (0.0, 0.0, wide))
    return end


def _rule(page: Page, left: float, right: float, y: float) -> None:
    page.rule((left, y), (right, y), layer="title", pen="thin")


def _from(stamp: Stamp, words: Words) -> str:
    """Which sheets the marks of the pieces lead to."""
    found = []
    for start, text in (("cut-sheet", "cuts"), ("wall-", "walls"), ("setting-out", "pegs"), ("water", "water")):
        numbers = [number for name, number in stamp.numbers if name.startswith(start)]
        if numbers:
            found.append(words(f"day.from.{text}", sheets=_range(numbers)))
    return "; ".join(found)


def _range(numbers: Sequence[int]) -> str:
    low, high = min(numbers), max(numbers)
    return str(low) if low == high else f"{low}–{high}"


def _foot(page: Page, paper: Paper, said: tuple[Words, str, str]) -> None:
    """Where the marks lead, and a bar that tells whether the page is printed true."""
    words, units, sheets = said
    left, _, right, bottom = paper.field
    long, size = _BAR[units]
    y = bottom - 5.6
    x = right - _PAD - long
    page.rule((x, y), (x + long, y), layer="labels", pen="cut")
    text = words("day.bar", size=size)
    page.text((x - 2.0, y + 0.8), text, 2.2, anchor="r", role="mid")
    if sheets:
        page.text((left + _PAD, y + 0.8), sheets, 2.2, x - left - 2 * _PAD - 36.0, role="mid")
