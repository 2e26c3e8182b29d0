"""The Changes sheet: one page or two of what went, what it saves and what gets worse between two versions."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.blocks import Block, Book, Bullets, Caution, Flag, Heading, Para, Table
from lynchet.drawings.paper import paper_of
from lynchet.plan.cautions import ALWAYS
from lynchet.plan.model import Plan
from lynchet.schemes.changes import Changes, FindingChanged
from lynchet.schemes.changes_words import FIGURES, figure_rows, file_lines, gained_and_lost, headline, went
from lynchet.schemes.two_yards import two_yards_text


def changes_book(after: Plan, found: Changes, names: tuple[str, str]) -> Book:
    """The sheet.

    Args:
        after: plan of the version at hand.
        found: what differs.
        names: of the two files, the earlier first.
    """
    paper = paper_of(after.project, carried=True)
    title = "Changes"
    blocks = (Heading(title, 1), *_body(after, found, names))
    foot = f"{after.project.firm.name or after.project.name}: changes from {names[0]} to {names[1]}"
    return Book(title, after.project.name, "en", (paper.width_mm, paper.height_mm), blocks, foot)


def _body(after: Plan, found: Changes, names: tuple[str, str]) -> Iterator[Block]:
    units = after.project.units
    yield Para(f"{after.project.name}: {names[1]} against {names[0]}.")
    if found.other_yard:
        yield Flag("ask", "two yards?", two_yards_text(found.other_yard))
    yield Para(headline(found), "lead")
    if found.file:
        yield Heading("What was changed in the file", 2)
        yield Bullets(tuple(file_lines(found)))
    if found.none:
        return
    yield Heading("Before and now", 2)
    rows = tuple(figure_rows(found, units))
    yield Table(FIGURES, rows, "lrr", (2, 2, 2), together=True)
    gains, losses = gained_and_lost(found, units)
    for head, texts in (("What is gained", gains), ("What is lost", losses)):
        if texts:
            yield Heading(head, 2)
            yield Para("; ".join(texts) + ".")
    yield from _flags("What gets worse", [one for one in found.findings if one.turn in ("new", "worse")])
    yield from _flags("What gets better", [one for one in found.findings if one.turn in ("gone", "better")])
    changed = tuple(went(found, units))
    if changed:
        yield Heading("What went, came, grew or shrank", 2)
        yield Para("Money of a line is cost, before overhead and profit.", "note")
        yield Bullets(changed)
    yield Caution(f"{ALWAYS[1]} {ALWAYS[2]}")


def _flags(head: str, found: list[FindingChanged]) -> Iterator[Block]:
    if found:
        yield Heading(head, 2)
    for one in found:
        before = (f"before: {one.before.words}",) if one.turn in ("worse", "better", "gone") else ()
        label = "no more" if one.turn == "gone" else one.after.words
        yield Flag(one.after.key, label, one.text, before)
