"""The day list: what is done each day, what is looked at before it is covered, how the day must end."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby

from lynchet.book.blocks import Block, Bullets, Caution, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.works.model import Day, Step, Works

_PART = re.compile(r" \(part \d+ of \d+\)$")


def day_pages(works: Works, words: Words) -> tuple[Block, ...]:
    """Every day, then upkeep."""
    return tuple(_blocks(works, words))


def _blocks(works: Works, words: Words) -> Iterator[Block]:
    programme, hours = works.programme, works.person_hours
    yield Heading(words("days.head"), 1)
    yield Para(words("days.intro", days=programme.days, low=programme.days_low, high=programme.days_high,
                     crew=programme.crew, hours=f"{hours.likely:.0f}", least=f"{hours.low:.0f}",
                     most=f"{hours.high:.0f}"))  # fmt: skip
    for day in works.days:
        yield from _day(day, words)
    if works.upkeep:
        yield Heading(words("days.upkeep_head"), 1)
        rows = tuple((one.what, one.when, one.why) for one in works.upkeep)
        yield Table(words.many("days.upkeep_heads"), rows, shares=(3, 2, 4))


def _day(day: Day, words: Words) -> Iterator[Block]:
    when = " ".join(part for part in (day.weekday.capitalize(), day.date) if part)
    yield Heading(words("days.day", number=day.number) + (f", {when}" if when else ""))
    steps = tuple(_together(list(group), words) for _, group in groupby(day.steps, key=lambda step: step.task))
    yield Bullets(steps, tick=True, name=f"day{day.number}")
    for text, after in _holds(day).items():
        named = "; ".join(what for what in after if what)
        yield Caution(words("days.hold_after", what=text, after=named) if named else words("days.hold", what=text))
    if day.evening:
        yield Para(words("days.evening"), "strong")
        yield Bullets(day.evening, tick=True, name=f"evening{day.number}")


def _holds(day: Day) -> dict[str, list[str]]:
    """What is looked at, each once, with the steps after which."""
    done = sorted({_PART.sub("", step.words) for step in day.steps}, key=len, reverse=True)
    found: dict[str, list[str]] = {}
    for hold in day.holds:
        after = next((what for what in done if hold.startswith(f"{what}: ")), "")
        found.setdefault(hold[len(after) + 2 :] if after else hold, []).append(after)
    return found


def _hours(hours: float, words: Words) -> str:
    return words("days.hours", hours=f"{hours:.1f}") if hours >= 0.1 else words("days.short")


def _together(steps: list[Step], words: Words) -> str:
    """Steps of one task on one day as one line: "parts 1 to 3 of 7"."""
    hours, said = sum(step.crew_h for step in steps), steps[0].words
    ends = [re.search(r"\(part (\d+) of (\d+)\)$", step.words) for step in (steps[0], steps[-1])]
    if len(steps) > 1 and ends[0] and ends[1]:
        parts = words("days.parts", first=ends[0][1], last=ends[1][1], of=ends[0][2])
        whole = ends[0][1] == "1" and ends[1][1] == ends[0][2]
        said = said[: ends[0].start()].rstrip() + ("" if whole else f" ({parts})")
    return words("days.step", what=said, hours=_hours(hours, words))
