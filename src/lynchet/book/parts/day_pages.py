"""The days in the book: a sheet a day on paper, more for a full one, one view a step on a phone; then upkeep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.book.blocks import Block, Heading, OnPaper, Para, Picture, Table
from lynchet.book.texts import Words
from lynchet.works.model import Works

Printed = tuple[Sequence[Picture], Sequence[tuple[str, ...]]]
"""The day sheets, and a line for each day: number, when, what, who."""


def day_pages(works: Works, printed: Printed, views: Sequence[Block], words: Words) -> tuple[Block, ...]:
    """Every day, then upkeep.

    Args:
        works: days and upkeep.
        printed: what the printed book has of the days.
        views: the days for a phone.
        words: texts.
    """
    return tuple(_blocks(works, printed, views, words))


def _blocks(works: Works, printed: Printed, views: Sequence[Block], words: Words) -> Iterator[Block]:
    programme, hours = works.programme, works.person_hours
    yield Heading(words("days.head"), 1, "days")
    yield Para(words("days.intro", days=programme.days, low=programme.days_low, high=programme.days_high,
                     crew=programme.crew, hours=f"{hours.likely:.0f}", least=f"{hours.low:.0f}",
                     most=f"{hours.high:.0f}"))  # fmt: skip
    sheets, lines = printed
    if sheets:
        listed = Table(words.many("days.list_heads"), tuple(lines), "rlll", (0.6, 2.4, 4.0, 2.6))
        yield OnPaper((Para(words("days.sheets_note")),))
        yield listed
        yield OnPaper(tuple(sheets))
    yield from views
    if works.upkeep:
        yield Heading(words("days.upkeep_head"), 1, "upkeep", flows=True)
        rows = tuple((one.what, one.when, one.why) for one in works.upkeep)
        yield Table(words.many("days.upkeep_heads"), rows, shares=(3, 2, 4))
