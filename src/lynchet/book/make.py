"""The build book of a plan: its parts in the order of the job; what is kept back is not in it."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import version

from lynchet.book.blocks import Block, Book, Heading, Para, Picture, join
from lynchet.book.parts.all_findings import all_findings, assumed
from lynchet.book.parts.cut_sheet import cut_sheet
from lynchet.book.parts.day_pages import day_pages
from lynchet.book.parts.first_page import first_page
from lynchet.book.parts.order_pages import order_pages
from lynchet.book.parts.plant_pages import plant_pages
from lynchet.book.parts.setting_card import setting_card
from lynchet.book.parts.soil_pages import soil_pages
from lynchet.book.texts import Words
from lynchet.drawings.paper import sheet_paper
from lynchet.drawings.sheets import Drawn
from lynchet.plan.model import Plan


def build_book(plan: Plan, sheets: Sequence[Drawn], lang: str = "en") -> Book:
    """The build book.

    Args:
        plan: the plan.
        sheets: its sheets, those that are not kept back.
        lang: language of the book's own words.
    """
    words = Words(lang)
    paper = sheet_paper(plan.project.units, carried=True)
    job, units = plan.project.name or "Plan", plan.project.units
    blocks = join(
        first_page(plan, words),
        drawings(sheets, words),
        () if "all" in plan.withheld else setting_card(plan, words),
        cut_sheet(plan, words),
        soil_pages(plan, words),
        order_pages(plan.works, units, bool({"all", "order-list"} & plan.withheld.keys()), words),
        plant_pages(plan.planted, units == "us", words),
        () if "all" in plan.withheld else day_pages(plan.works, (), (), words),
        all_findings(plan, words),
        assumed(plan, words),
    )
    foot = words("book.foot", job=job, version=version("lynchet"))
    return Book(job, words("book.subtitle"), lang, (paper.width_mm, paper.height_mm), blocks, foot)


def drawings(sheets: Sequence[Drawn], words: Words) -> tuple[Block, ...]:
    """Every sheet on a page of its own size."""
    pictures = tuple(
        Picture(one.name, one.svg(embed_font=False), one.sheet.fields.title, one.sheet.alt,
                one.sheet.paper.width_mm, one.sheet.paper.height_mm, page=True)
        for one in sheets
    )  # fmt: skip
    return (Heading(words("sheets.head"), 1), Para(words("sheets.intro")), *pictures)
