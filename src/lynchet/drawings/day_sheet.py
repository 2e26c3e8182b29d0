"""Day sheets: one tall page a day, two for a very full one, from what lies ready to how the place is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from lynchet.book.texts import Words
from lynchet.core.same import Same
from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.day_content import DayContent, day_contents
from lynchet.drawings.day_parts_set import Part, parts_of, set_part
from lynchet.drawings.day_places import picture_words
from lynchet.drawings.model import Item, Sheet, View
from lynchet.drawings.page import Page
from lynchet.drawings.paper import Box, Paper, paper_of
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.step_pictures import step_view
from lynchet.plan.model import Plan

SetDay = tuple[DayContent, tuple["Part", ...]]
"""What a day says, and on which pages."""
_PAD = 5.0
_BAR = {"us": (50.8, "2 in"), "metric": (40.0, "40 mm")}


def day_sheet_names(plan: Plan, words: Words) -> tuple[str, ...]:
    """Names of the sheets: "day-1", "day-2", "day-2-page-2"."""
    return tuple(_name(content, part) for content, parts in _set(plan, words) for part in parts)


def day_sheets(plan: Plan, stamp: Stamp, words: Words) -> Iterator[Sheet]:
    """The sheets of every day, one day after the other; none where nothing is built.

    Args:
        plan: with its days.
        stamp: firm, date, issue and sheet numbers.
        words: texts of one language.
    """
    for content, parts in _set(plan, words):
        yield from _sheets(plan, (content, parts), stamp, words)


def sheets_of_day(plan: Plan, number: int, stamp: Stamp, words: Words) -> Iterator[Sheet]:
    """The sheets of one day, by its number from 1."""
    yield from _sheets(plan, _set(plan, words)[number - 1], stamp, words)


def _set(plan: Plan, words: Words) -> tuple[SetDay, ...]:
    return _kept(Same(plan), words)


@lru_cache(maxsize=2)
def _kept(key: Same[Plan], words: Words) -> tuple[SetDay, ...]:
    """What every day says and on which pages: asked for by the numbers of the sheets, then by the sheets."""
    paper = paper_of(key.thing.project, carried=True)
    return tuple((content, parts_of(content, words, paper)) for content in day_contents(key.thing, words))


def _name(content: DayContent, part: Part) -> str:
    return f"day-{content.number}" + (f"-page-{part.number}" if part.number > 1 else "")


def _sheets(plan: Plan, day: SetDay, stamp: Stamp, words: Words) -> Iterator[Sheet]:
    content, parts = day
    paper = paper_of(plan.project, carried=True)
    for part in parts:
        page = Page()
        room = set_part(page, content, words, paper, part)
        _foot(page, paper, (words, plan.project.units, _from(stamp, words)))
        yield _sheet(plan, (content, part, room), (page, paper), stamp, words)


def _sheet(
    plan: Plan, day: tuple[DayContent, Part, Box], made: tuple[Page, Paper], stamp: Stamp, words: Words
) -> Sheet:
    """One page of a day; the first has the picture."""
    (content, part, room), (page, paper) = day, made
    name, number = _name(content, part), content.number
    count = content.expected.head[:1].lower() + content.expected.head[1:]
    title, alt = words("day.sheet", number=number), words("day.alt", number=number, readings=count)
    views: tuple[View, ...] = ()
    if part.number > 1:
        title = words("day.sheet_page", number=number, page=part.number)
        alt = words("day.alt_page", number=number, page=part.number)
    else:
        views = (step_view(plan, number, room, picture_words(words)),)
        alt = f"{alt} {views[0].alt}"
    fields = stamp.fields(name, title, "not to scale", plan)
    block, notes = title_block(paper, fields)
    marks: tuple[Item, ...] = (*frame_items(paper), *block, *page.items)
    cautions = (content.hold,) if part.hold else ()
    return Sheet(name, "day", paper, fields, views, marks, stamp.theme, words.lang, cautions, alt, tuple(notes))


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
