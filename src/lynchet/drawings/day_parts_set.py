"""On which pages a day stands: one where everything has room, else as many as it takes; nothing is ever left out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from lynchet.book.texts import Words
from lynchet.core.same import Same
from lynchet.drawings import day_page
from lynchet.drawings.day_content import DayContent
from lynchet.drawings.day_page import FITS, MORE_FITS, READ_WIDE, Fit
from lynchet.drawings.page import Page, Trial
from lynchet.drawings.paper import Box, Paper

FOOT_MM = 7.0
"""Of the line with the bar."""
_PAD = 5.0
_PICTURE_HEAD = 8.0
_MOST_PICTURE = 112.0
_LETTERS = (3.2, 3.0, 2.8, 2.65, 2.5)
"""Of steps on a page without a picture, the largest that fit."""
_KEPT = 0.92
"""Share of its picture's height that a page keeps where its letters grow."""
_LEAST_STEPS = 2
"""On each of two pages, where there are enough for both: one alone is read apart from what it belongs to."""
_SMALLER_MM = 46.0
"""As small a picture gives room for a second step."""
_NOTES_MM = 26.0
"""Least room worth a head for notes."""


@dataclass(frozen=True)
class Part:
    """What stands on one page of a day."""

    how: Fit
    first: int
    """The first step, counted from 0, and the one after the last."""
    end: int
    hold: bool
    """Whether the hold point stands on it: where its step does."""
    number: int = 1
    last: bool = True


def parts_of(content: DayContent, words: Words, paper: Paper) -> tuple[Part, ...]:
    """The pages of a day.

    Args:
        content: what it says.
        words: texts of its language.
        paper: of the sheets.
    """
    count = len(content.steps)
    for how in FITS:
        one = Part(how, 0, count, hold=True)
        if _room(content, words, paper, one) >= how.picture_mm:
            return (_larger(content, words, paper, one),)
    return _several(content, words, paper)


def _larger(content: DayContent, words: Words, paper: Paper, part: Part) -> Part:
    """The same page with its steps in the largest letters that leave its picture the height it has, or nearly so."""
    how, room = part.how, _room(content, words, paper, part)
    for h in _LETTERS:
        if h > how.h:
            tried = replace(part, how=replace(how, h=h, needs=how.needs_h, tight=False))
            if _room(content, words, paper, tried) >= max(how.picture_mm, _KEPT * room):
                return tried
    return part


def _several(content: DayContent, words: Words, paper: Paper) -> tuple[Part, ...]:
    """A first page as roomy as can be, so long as the second holds the rest in letters of full size; less roomy where
    it would have a single step and there are enough for two on both."""
    found: tuple[Part, ...] = ()
    single: tuple[Part, ...] = ()
    for how in MORE_FITS:
        if single and how.picture_mm < _SMALLER_MM:
            break
        longest = _longest(content, words, paper, Part(how, 0, 0, hold=False, last=False))
        first = _larger(content, words, paper, _shared(content, longest))
        found = (first, *_rest(content, words, paper, first))
        if first.end > 0 and len(found) == 2 and found[1].how.h >= _LETTERS[2]:
            if first.end >= _LEAST_STEPS or len(content.steps) < 2 * _LEAST_STEPS:
                return found
            single = single or found
    return single or found


def _shared(content: DayContent, first: Part) -> Part:
    """The first page with so many steps that the second has more than a single one, where there are enough for both."""
    end = len(content.steps) - _LEAST_STEPS
    if not _LEAST_STEPS <= end < first.end:
        return first
    return replace(first, end=end, hold=any(step.hold for step in content.steps[:end]))


def _rest(content: DayContent, words: Words, paper: Paper, first: Part) -> tuple[Part, ...]:
    """The pages after the first."""
    count, found = len(content.steps), [first]
    while not found[-1].last:
        before = found[-1]
        held = any(part.hold for part in found)
        for h in _LETTERS:
            end = Part(Fit(h, 0.0), before.end, count, not held, before.number + 1)
            if _room(content, words, paper, end) >= 0.0:
                break
        else:
            more = replace(end, last=False, hold=False, end=before.end)
            end = _longest(content, words, paper, more)
            end = end if end.end > before.end else replace(end, end=before.end + 1)
        found.append(end)
    return tuple(found[1:])


def _longest(content: DayContent, words: Words, paper: Paper, part: Part) -> Part:
    """A page that is not the last with as many steps as it holds; one step at least is left for the next."""
    best = part
    for end in range(part.first + 1, len(content.steps)):
        hold = any(step.hold for step in content.steps[part.first : end])
        one = replace(part, end=end, hold=hold)
        if _room(content, words, paper, one) < part.how.picture_mm:
            break
        best = one
    return best


def _room(content: DayContent, words: Words, paper: Paper, part: Part) -> float:
    """Height left for the picture, or free on a page without one; negative where what is said has no room."""
    left, top, right, _ = paper.field
    x0, x1 = left + _PAD, right - _PAD
    _, held = _foot(content, words, paper, part)
    if part.number > 1:
        y = _end(day_page.go_on, content, words, (x0, top, x1))
        return held - 2.0 - _end(day_page.steps, content, words, (x0, y, x1), (part.first, part.end, part.how.h))
    y = _end(day_page.head, content, words, (x0, top, x1))
    y = _end(day_page.needs, content, words, (x0, y, x1), part.how.needs_h)
    return _work_starts(content, words, (x0, y, right, held), part) - 1.0 - (y + _PICTURE_HEAD)


def _end(
    set_on: Callable[..., float], content: DayContent, words: Words, box: tuple[float, ...], *more: object
) -> float:
    """Where a piece of a page ends.

    Args:
        set_on: sets it.
        content, words: of the day.
        box: left, top and right.
        more: what ``set_on`` takes after these.
    """
    return _kept_end(set_on, Same(content), words, box, more)


@lru_cache(maxsize=1 << 10)
def _kept_end(
    set_on: Callable[..., float],
    content: Same[DayContent],
    words: Words,
    box: tuple[float, ...],
    more: tuple[object, ...],
) -> float:
    """Of all the pages tried for a day most pieces are alike: each is tried once, on a page nobody sees."""
    return set_on(Trial(), content.thing, words, box, *more)


def set_part(page: Page, content: DayContent, words: Words, paper: Paper, part: Part) -> Box:
    """Set one page: head and needs from the top, the rest from the foot up; what is left between.

    Args:
        page: where it is set.
        content: what the day says.
        words: texts.
        paper: of the sheet.
        part: what stands on it.
    """
    left, top, right, _ = paper.field
    x0, x1 = left + _PAD, right - _PAD
    closing, held = _foot(content, words, paper, part)
    if part.hold:
        day_page.hold(page, content, words, (left + 4.2, held, right - 4.2))
    else:
        _rule(page, left, right, closing)
    close, more = _close(part)
    close(page, content, words, (x0, closing, x1), *more)
    if part.number > 1:
        return _later(page, content, words, (left, top, right, held), part)
    return _first(page, content, words, (left, top, right, held), part)


def _foot(content: DayContent, words: Words, paper: Paper, part: Part) -> tuple[float, float]:
    """Where what stands at the foot begins, and where the hold point over it does: there too where it has none."""
    left, _, right, bottom = paper.field
    box = (left + _PAD, 0.0, right - _PAD)
    close, more = _close(part)
    closing = bottom - FOOT_MM - _end(close, content, words, box, *more)
    return closing, closing - 1.0 - _end(day_page.hold, content, words, box) if part.hold else closing


def _work_starts(content: DayContent, words: Words, box: Box, part: Part) -> float:
    """Where steps and readings begin on the first page of a day, between the needs over them and the hold point."""
    x0, y, right, held = box
    split = right - READ_WIDE
    work = max(
        _end(day_page.steps, content, words, (x0, 0.0, split - 3.0), (part.first, part.end, part.how.h)),
        _end(day_page.readings, content, words, (split + 3.0, 0.0, right - _PAD)),
    )
    return min(held - 2.0 - work, y + _PICTURE_HEAD + _MOST_PICTURE)


def _first(page: Page, content: DayContent, words: Words, box: Box, part: Part) -> Box:
    """The first page of a day above its hold point: head, needs, picture, steps and readings."""
    left, top, right, held = box
    x0, x1, split = left + _PAD, right - _PAD, right - READ_WIDE
    y = day_page.head(page, content, words, (x0, top, x1))
    _rule(page, left, right, y)
    y = day_page.needs(page, content, words, (x0, y, x1), part.how.needs_h)
    start = _work_starts(content, words, (x0, y, right, held), part)
    _rule(page, left, right, y)
    page.text((x0, y + 6.0), words("day.picture_head"), 3.5, weight="bold")
    _rule(page, left, right, start)
    day_page.steps(page, content, words, (x0, start, split - 3.0), (part.first, part.end, part.how.h))
    day_page.readings(page, content, words, (split + 3.0, start, x1))
    page.rule((split, start), (split, held - 1.4), layer="title", pen="fine")
    return x0, y + _PICTURE_HEAD, x1, start - 1.0


def _later(page: Page, content: DayContent, words: Words, box: Box, part: Part) -> Box:
    """A page on which a day goes on, above its hold point: the steps over its whole width, then room for notes."""
    left, top, right, held = box
    x0, x1 = left + _PAD, right - _PAD
    y = day_page.go_on(page, content, words, (x0, top, x1))
    _rule(page, left, right, y)
    y = day_page.steps(page, content, words, (x0, y, x1), (part.first, part.end, part.how.h))
    if held - 2.0 - y >= _NOTES_MM:
        _rule(page, left, right, y + 1.0)
        day_page.notes(page, words, (x0, y + 1.0, x1))
    return x0, y, x1, held - 2.0


def _close(part: Part) -> tuple[Callable[..., float], tuple[object, ...]]:
    """What stands at the foot: how the place is left, or where the day goes on; and what it takes beside the day."""
    return (day_page.evening, ()) if part.last else (day_page.turn, ((part.end + 1, part.number + 1),))


def _rule(page: Page, left: float, right: float, y: float) -> None:
    page.rule((left, y), (right, y), layer="title", pen="thin")
