"""The engineer's folder of a plan: every check with formula, numbers, result and source; printed also where the site is
stopped and all else is kept back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib.metadata import version

from lynchet.book.blocks import Block, Book, Heading, Para, Picture, Table, join
from lynchet.book.engineer_texts import heads, said
from lynchet.book.parts.all_findings import assumed, finding_blocks
from lynchet.book.parts.engineer_basis import engineer_basis
from lynchet.book.parts.engineer_checks import engineer_checks
from lynchet.book.parts.engineer_front import engineer_front
from lynchet.book.parts.engineer_levels import engineer_levels
from lynchet.book.parts.sheet_notes import sheet_notes
from lynchet.book.texts import Words
from lynchet.drawings.drawn import Drawn
from lynchet.drawings.paper import paper_of
from lynchet.plan.model import Plan

_ROOMS = ("ground", "terraces", "walls", "water", "stability", "earth", "timber", "plan")
"""Rooms whose findings an engineer answers; planting and money are not his."""
_KINDS = ("site", "terraces", "section", "wall", "water", "details")
"""Drawings that tell the design; nothing one cuts, buys or pegs out from."""


def build_engineer(plan: Plan, sheets: Sequence[Drawn]) -> Book:
    """The folder as a book.

    Args:
        plan: the plan.
        sheets: its sheets, those that are not kept back.
    """
    words, project = Words("en"), plan.project
    paper = paper_of(project, carried=True)
    job = project.name or "Plan"
    blocks = join(
        engineer_front(plan), engineer_basis(plan), engineer_levels(plan), engineer_checks(plan),
        tuple(_findings(plan, words)), assumed(plan, words), tuple(_drawings(plan, sheets, words)),
    )  # fmt: skip
    foot = said("front.foot", job=job, issue=project.sheet.issue, version=version("lynchet"))
    title, size = f"{said('front.title')}: {job}", (paper.width_mm, paper.height_mm)
    return Book(title, said("front.subtitle"), "en", size, blocks, foot)


def _findings(plan: Plan, words: Words) -> Iterator[Block]:
    yield Heading(said("findings.head"), 1)
    yield Para(words("findings.intro"))
    told: set[str] = set()
    for finding in plan.findings:
        if finding.code.partition(".")[0] in _ROOMS:
            yield from finding_blocks(finding, (plan.project.units, words), told)


def _drawings(plan: Plan, sheets: Sequence[Drawn], words: Words) -> Iterator[Block]:
    yield Heading(said("drawings.head"), 1)
    yield Para(said("drawings.intro", unit=said(f"drawings.{'feet' if plan.project.units == 'us' else 'metres'}")))
    shown = [one for one in sheets if one.sheet.kind in _KINDS]
    fields = [one.sheet.fields for one in shown]
    rows = tuple((str(f.number), f.title, one.sheet.paper.name, f.scale) for f, one in zip(fields, shown, strict=True))
    if rows:
        yield Table(heads("drawings.heads"), rows, "rlll", (0.7, 3.6, 1.0, 2.2))
    yield from sheet_notes(shown, words)
    for one in shown:
        paper = one.sheet.paper
        yield Picture(one.name, one.svg(embed_font=False), one.sheet.fields.title, one.sheet.alt, paper.width_mm,
                      paper.height_mm, page=True)  # fmt: skip
