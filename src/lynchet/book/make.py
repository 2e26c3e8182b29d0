"""The build book of a plan: its parts in the order of the job; what is kept back is not in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib.metadata import version

from lynchet.book.blocks import Block, Book, Heading, OnPaper, Para, Picture, Table, join
from lynchet.book.parts.all_findings import all_findings, assumed
from lynchet.book.parts.cut_sheet import cut_sheet
from lynchet.book.parts.day_pages import day_pages
from lynchet.book.parts.day_views import day_views
from lynchet.book.parts.first_page import first_page
from lynchet.book.parts.order_pages import order_pages
from lynchet.book.parts.plant_pages import plant_pages
from lynchet.book.parts.setting_card import setting_card
from lynchet.book.parts.sheet_notes import sheet_notes
from lynchet.book.parts.soil_pages import soil_pages
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.day_places import picture_words
from lynchet.drawings.drawn import Drawn
from lynchet.drawings.paper import paper_of
from lynchet.drawings.step_pictures import step_picture_svg
from lynchet.plan.model import DAY_SHEETS, Plan

_DAY = "day"
"""Kind of the day sheets."""


def build_book(plan: Plan, sheets: Sequence[Drawn], lang: str = "en") -> Book:
    """The build book.

    Args:
        plan: the plan.
        sheets: its sheets, those that are not kept back.
        lang: language of the book's own words.
    """
    words = Words(lang)
    paper = paper_of(plan.project, carried=True)
    job, units = plan.project.name or "Plan", plan.project.units
    blocks = join(
        first_page(plan, words),
        drawings(sheets, words),
        () if "all" in plan.withheld else setting_card(plan, words),
        cut_sheet(plan, words),
        soil_pages(plan, words),
        order_pages(plan.works, units, bool({"all", "order-list"} & plan.withheld.keys()), words),
        plant_pages(plan.planted, units == "us", words),
        _days(plan, sheets, words),
        all_findings(plan, words),
        assumed(plan, words),
        sheet_notes(sheets, words),
    )
    foot = words("book.foot", job=job, version=version("lynchet"))
    return Book(job, words("book.subtitle"), lang, (paper.width_mm, paper.height_mm), blocks, foot)


def drawings(sheets: Sequence[Drawn], words: Words) -> tuple[Block, ...]:
    """Every sheet on a page of its own size; those of the days come with the days."""
    shown = [one for one in sheets if one.sheet.kind != _DAY]
    rows = tuple((str(one.sheet.fields.number), one.sheet.fields.title, one.sheet.paper.name, one.sheet.fields.scale)
                 for one in shown)  # fmt: skip
    listed = (Table(words.many("sheets.list_heads"), rows, "rlll", (0.7, 3.6, 1.0, 2.2)),) if rows else ()
    printed = OnPaper((Para(words("sheets.intro")), *listed))  # a phone lists them to jump to, and prints nothing
    return (Heading(words("sheets.head"), 1, "drawings"), printed, *(_picture(one) for one in shown))


def _days(plan: Plan, sheets: Sequence[Drawn], words: Words) -> tuple[Block, ...]:
    """The days; of a plan with a stop the word that they are kept back."""
    if "all" in plan.withheld:
        return ()
    if DAY_SHEETS not in plan.withheld:
        return days(plan, sheets, words)
    kept = Para(words("days.kept_back"), "strong")
    return (Heading(words("days.head"), 1, flows=True), kept) if plan.works.days else ()


def days(plan: Plan, sheets: Sequence[Drawn], words: Words) -> tuple[Block, ...]:
    """The days: sheets for the printed book, views for a phone."""
    papers = tuple(_picture(one) for one in sheets if one.sheet.kind == _DAY)
    contents = day_contents(plan, words)
    views = day_views(contents, tuple(_step_pictures(plan, words)), words)
    listed = tuple((str(one.number), one.when or "–", one.title, one.crew) for one in contents)
    return day_pages(plan.works, (papers, listed), views, words)


def _picture(one: Drawn) -> Picture:
    paper, fields = one.sheet.paper, one.sheet.fields
    return Picture(one.name, one.svg(embed_font=False), fields.title, one.sheet.alt, paper.width_mm, paper.height_mm,
                   page=True, anchor=f"sheet-{fields.number}-{one.name.lower()}")  # fmt: skip


def _step_pictures(plan: Plan, words: Words) -> Iterator[Picture]:
    """What stands at the end of every day, for a phone."""
    say = picture_words(words)
    for day in plan.works.days:
        svg, alt = step_picture_svg(plan, day.number, say=say)
        yield Picture(f"day-{day.number}", svg, words("day.sheet", number=day.number), alt, 95.0, 74.1)
