"""The days for a phone: what is needed, one view a step with its picture, then readings, hold point and evening."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.book.blocks import Block, Bullets, Caution, Entry, Heading, Para, Picture, Same, Screen
from lynchet.book.texts import Words
from lynchet.drawings.day_content import DayContent
from lynchet.drawings.day_steps import DayStep


def day_views(contents: Sequence[DayContent], pictures: Sequence[Picture], words: Words) -> tuple[Screen, ...]:
    """Views of every day, in the order in which they are met.

    Args:
        contents: the days.
        pictures: what stands at the end of each.
        words: texts.
    """
    return tuple(
        view for content, picture in zip(contents, pictures, strict=True) for view in _views(content, picture, words)
    )


def _views(content: DayContent, picture: Picture, words: Words) -> Iterator[Screen]:
    name = f"day-{content.number}"
    yield Screen(name, f"{words('day.number', number=content.number)}: {content.title}",
                 tuple(_morning(content, picture, words)), listed=True)  # fmt: skip
    for n, step in enumerate(content.steps, start=1):
        title = words("day.step_of", number=content.number, step=n, of=len(content.steps))
        blocks = (*_marked(words), *_step(content, step, words), Same(picture.name, picture.alt))
        yield Screen(f"{name}-step-{n}", title, blocks)
    title = words("day.end", number=content.number)
    yield Screen(f"{name}-end", title, (*_marked(words), *_end(content, words)))


def _marked(words: Words) -> Iterator[Block]:
    if words.unreviewed:
        yield Para(words.unreviewed, "note")


def _morning(content: DayContent, picture: Picture, words: Words) -> Iterator[Block]:
    yield from _marked(words)
    yield Para(f"{content.when}. {content.crew}" if content.when else content.crew, "lead")
    yield picture
    yield Heading(words("day.needs_head"), 2)
    needs = tuple(f"{need.count}  {need.words}" for need in content.needs)
    yield Bullets(needs, tick=True, name=f"day{content.number}/needs") if needs else Para(words("day.needs_none"))
    yield Para(words("day.tools", list=content.tools))
    yield Caution(f"{words('day.stop_head')}: {content.stop}")


def _step(content: DayContent, step: DayStep, words: Words) -> Iterator[Block]:
    name = f"day{content.number}/{step.task}" + (f".{step.part}" if step.part else "")
    yield Para(step.text, "lead")
    for text in step.more:
        yield Para(text)
    if step.caution:
        yield Caution(step.caution)
    if step.look:
        yield Bullets((words("day.look_first", text=step.look),), tick=True, name=f"{name}/look")
    if step.hold:
        yield Caution(f"{words('day.stop_sign')}. {content.hold}")
    yield Bullets((words("day.done"),), tick=True, name=f"{name}/done")


def _end(content: DayContent, words: Words) -> Iterator[Block]:
    expected = content.expected
    yield Heading(expected.head, 2)
    yield Para(expected.intro)
    for n, read in enumerate(expected.reads, start=1):
        yield Entry(read.place, f"{read.value} {read.tolerance}", f"day{content.number}/read{n}")
    if expected.off:
        yield Para(expected.off, "strong")
    yield Caution(f"{words('day.stop_sign')}. {content.hold}" + (f" {content.inspect}" if content.inspect else ""))
    yield Bullets((words("day.seen"),), tick=True, name=f"day{content.number}/hold")
    yield Heading(words("day.leave_head"), 2)
    yield Bullets(content.evening, tick=True, name=f"day{content.number}/evening")
