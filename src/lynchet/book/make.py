"""The build book of a plan: its parts in the order of the job; what is kept back is not in it."""

from __future__ import annotations

from importlib.metadata import version

from lynchet.book.blocks import Block, Book, Heading, Para, Picture, join
from lynchet.book.parts.all_findings import all_findings, assumed
from lynchet.book.parts.first_page import first_page
from lynchet.book.parts.setting_card import setting_card
from lynchet.book.texts import Words
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet
from lynchet.drawings.paper import sheet_paper
from lynchet.drawings.sheets import sheets_of
from lynchet.drawings.svg import to_svg
from lynchet.plan.model import Plan


def build_book(plan: Plan, figures: tuple[tuple[str, str], ...], lang: str = "en") -> Book:
    """The build book.

    Args:
        plan: the plan.
        figures: the figures of the first page, in words.
        lang: language of the book's own words.
    """
    words = Words(lang)
    paper = sheet_paper(plan.project.units, carried=True)
    job = plan.project.name or "Plan"
    blocks = join(
        first_page(plan, figures, words),
        drawings(sheets_of(plan), words),
        () if "all" in plan.withheld else setting_card(plan, words),
        all_findings(plan, words),
        assumed(plan, words),
    )
    foot = words("book.foot", job=job, version=version("lynchet"))
    return Book(job, words("book.subtitle"), lang, (paper.width_mm, paper.height_mm), blocks, foot)


def drawings(sheets: dict[str, Sheet], words: Words) -> tuple[Block, ...]:
    """Every sheet on a page of its own size."""
    pictures = tuple(
        Picture(name, to_svg(sheet, lower(sheet), embed_font=False), sheet.fields.title, sheet.alt,
                sheet.paper.width_mm, sheet.paper.height_mm, page=True)
        for name, sheet in sheets.items()
    )  # fmt: skip
    return (Heading(words("sheets.head"), 1), Para(words("sheets.intro")), *pictures)
