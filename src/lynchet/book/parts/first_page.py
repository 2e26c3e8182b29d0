"""The first page: the word, why, what to ask, what is kept back, the figures, the cautions."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lynchet.book.blocks import Block, Bullets, Caution, Contents, Flag, Heading, Para, Picture, Screen, Table
from lynchet.book.parts.job_figures import job_figures
from lynchet.book.parts.what_to_do import what_to_do
from lynchet.book.texts import Words
from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.first_look_picture import phone_picture
from lynchet.drawings.stamp import stamp_of
from lynchet.plan.cautions import TEXTS, caution_names, plant_cautions
from lynchet.plan.model import Plan
from lynchet.plan.next_steps import next_steps


def first_page(plan: Plan, words: Words) -> tuple[Block, ...]:
    """The page everybody reads.

    Args:
        plan: the plan.
        words: texts.
    """
    return tuple(_blocks(plan, words))


def _blocks(plan: Plan, words: Words) -> Iterator[Block]:
    yield Screen("first-look", words("first.look_head"), tuple(_look(plan, words)), listed=True)
    yield Heading(plan.project.name or words("book.subtitle"), 1)
    yield Heading(words("first.verdict_head"), 2)
    yield from _top(plan, words)
    yield from _cures(plan, words)
    asked = _asked(plan, words)
    if asked:
        yield Heading(words("first.ask_head"), 2)
        yield Bullets(asked, tick=True, name="ask")
    to_do = what_to_do(plan, bool(asked), words)
    if to_do:
        yield Heading(words("first.do_head"), 2)
        yield Bullets(to_do, tick=True, name="do")
    kept = _kept(plan, words)
    if kept:
        yield Heading(words("first.kept_head"), 2)
        yield Bullets(kept)
    yield Heading(words("first.cautions_head"), 2)
    if words.unreviewed:
        yield Para(words.unreviewed, "note")
    for text in _cautions(plan, words):
        yield Caution(text)
    yield Heading(words("first.figures_head"), 2)
    yield Table(("", ""), job_figures(plan, words), shares=(2, 3))
    yield Contents(words("book.contents"))


def _cautions(plan: Plan, words: Words) -> tuple[str, ...]:
    """The usual cautions in the language of the words where it has them, each else whole in English."""
    named = (words(f"cautions.{n}") if words.has(f"cautions.{n}") else TEXTS[n] for n in caution_names(plan))
    return (*named, *plant_cautions(plan))


def _look(plan: Plan, words: Words) -> Iterator[Block]:
    """What a phone shows first: the word, the weightiest reason, the figures, plan and section, what to do next."""
    reason = plan.top[0][0].text if plan.top else words("first.none")
    yield Flag(plan.verdict.key, plan.verdict.words, reason)
    yield from _cures(plan, words)
    yield Table(("", ""), job_figures(plan, words), shares=(2, 3))
    drawn = phone_picture(plan, stamp_of(plan))
    if drawn is not None:
        svg, (wide, high) = drawn
        yield Picture("first-look-small", svg, "Plan and section", "Plan and section of the walls, small.", wide, high)
    yield Bullets(tuple(step[:1].upper() + step[1:] for step in next_steps(plan)), tick=True, name="next")


def _cures(plan: Plan, words: Words) -> Iterator[Block]:
    """Where a stop's cures are told: they are tried while this is drawn."""
    if plan.verdict is Verdict.STOP:
        yield Para(words("first.cures"), "strong")


def _top(plan: Plan, words: Words) -> Iterator[Block]:
    top = plan.top
    if not top:
        yield Flag(plan.verdict.key, plan.verdict.words, words("first.none"))
    for finding, count in top:
        more = (words("first.more", count=count - 1),) if count > 1 else ()
        yield flag_of(finding, more)


def flag_of(finding: Finding, more: tuple[str, ...] = ()) -> Flag:
    """A finding as a line with its word."""
    return Flag(finding.verdict.key, finding.verdict.words, finding.text, more)


def _asked(plan: Plan, words: Words) -> tuple[str, ...]:
    """One line for each body and cause: whom to ask and what; what stands over it is only named again."""
    above = {finding.text for finding, _ in plan.top}
    seen: dict[tuple[str, str], str] = {}
    for finding in plan.findings:
        if finding.ask and finding.verdict >= Verdict.ASK:
            said = words("first.above", text=_opening(finding.text)) if finding.text in above else finding.text
            seen.setdefault((finding.ask, finding.cause or finding.code), said)
    return tuple(words("first.ask", who=who[:1].upper() + who[1:], text=text) for (who, _), text in seen.items())


def _opening(text: str) -> str:
    """A text up to its first stop: "Walls A0 and W2"."""
    return re.split(r"[:;.] ", text, maxsplit=1)[0].rstrip(".")


def _kept(plan: Plan, words: Words) -> tuple[str, ...]:
    found = []
    for sheet, places in plan.withheld.items():
        name = words("first.kept_all") if sheet == "all" else sheet.replace("-", " ")
        where = ", ".join(place or words("first.site") for place in places)
        found.append(words("first.kept", sheet=name, places=where))
    return tuple(found)
