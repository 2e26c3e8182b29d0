"""The day list: what is done each day, what is looked at before it is covered, how the day must end."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.blocks import Block, Bullets, Caution, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.works.model import Day, Works


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
    when = " ".join(part for part in (day.weekday, day.date) if part)
    yield Heading(words("days.day", number=day.number) + (f", {when}" if when else ""))
    steps = tuple(words("days.step", what=step.words, hours=f"{step.crew_h:.1f}") for step in day.steps)
    yield Bullets(steps, tick=True, name=f"day{day.number}")
    for hold in day.holds:
        yield Caution(words("days.hold", what=hold))
    if day.evening:
        yield Para(words("days.evening"), "strong")
        yield Bullets(day.evening, tick=True, name=f"evening{day.number}")
