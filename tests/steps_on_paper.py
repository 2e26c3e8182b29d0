"""What the pages of the days of a plan leave unsaid, told for tests: nothing may be."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.texts import Words
from lynchet.drawings.day_content import DayContent, day_contents
from lynchet.drawings.day_parts_set import Part, parts_of, set_part
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Text
from lynchet.drawings.page import Page
from lynchet.drawings.paper import Paper, paper_of
from lynchet.plan.model import Plan

LEAST_PICTURE_MM = 20.0


def unsaid(plan: Plan, words: Words) -> list[str]:
    """One line for each thing of a day that its pages do not say; empty where all stands there."""
    paper = paper_of(plan.project, carried=True)
    return [text for content in day_contents(plan, words) for text in unsaid_of(content, words, paper)]


def unsaid_of(content: DayContent, words: Words, paper: Paper) -> Iterator[str]:
    """The same of one day."""
    day, pages, numbers, holds = f"day {content.number}", [], [], 0
    parts = parts_of(content, words, paper)
    for part in parts:
        texts, room = _set(content, words, paper, part)
        if room < (LEAST_PICTURE_MM if part.number == 1 else 0.0):
            yield f"{day}: page {part.number} is too full"
        numbers += [int(text.text) for text in texts if text.anchor == "r" and text.text.isdigit()]
        holds += sum(text.text == printable(words("day.sign")) for text in texts)
        pages.append(" ".join(text.text for text in texts))
    if numbers != list(range(1, len(content.steps) + 1)):
        yield f"{day}: steps {numbers} of {len(content.steps)}"
    if holds != 1 or printable(content.hold) not in " ".join(pages):
        yield f"{day}: the hold point stands on it {holds} times"
    yield from (f"{day}: {text}" for text in _wished(content, words) if printable(text) not in " ".join(pages))
    yield from (f"{day}: step {n} and its hold point are apart" for n in _apart(content, parts))


def _set(content: DayContent, words: Words, paper: Paper, part: Part) -> tuple[list[Text], float]:
    page = Page()
    box = set_part(page, content, words, paper, part)
    return [item for item in page.items if isinstance(item, Text)], box[3] - box[1]


def _wished(content: DayContent, words: Words) -> Iterator[str]:
    for step in content.steps:
        yield " ".join((step.text, *step.more))
        yield step.caution
        yield words("day.look_first", text=step.look) if step.look else ""
    yield from content.evening
    yield content.stop
    yield from (need.words for need in content.needs)


def _apart(content: DayContent, parts: tuple[Part, ...]) -> Iterator[int]:
    for n, step in enumerate(content.steps):
        if step.hold and not any(part.hold and part.first <= n < part.end for part in parts):
            yield n + 1
