"""What the three permit sheets share: a tall page with the whole title block and room for the office's stamp."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from lynchet.drawings.block import block_mm, corner_block, frame_items
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Item, ScaleBar, Sheet, Text, View
from lynchet.drawings.page import Page
from lynchet.drawings.paper import STRIP_MM, Box, Paper, paper_of, scale_words
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import NOT_AS_DRAWN, Stamp, plain_stamp

IDS = ("permit-1", "permit-2", "permit-3")
STATUS = "for permit"
_PAD = 5.0
UNDER_FLAG = "Some checks say stop: this sheet asks, it is no design to build from."


@dataclass(frozen=True)
class Told:
    """What one page holds."""

    number: int
    """1 to 3."""
    title: str
    views: tuple[View, ...]
    page: Page
    alt: str
    notes: tuple[str, ...] = ()


def permit_paper(plan: Planned) -> Paper:
    """A4 or Letter, upright; its block as high as the file's own words need."""
    paper = paper_of(plan.project, carried=True)
    fields = plain_stamp(plan.project).numbered(IDS).fields(IDS[0], "Permit", "as shown", plan)
    return replace(paper, block_mm=block_mm(paper, replace(fields, status=NOT_AS_DRAWN)))


def room(paper: Paper) -> Box:
    """Where a page's own content goes: the frame less the block at its foot, less a margin."""
    left, top, right, bottom = paper.frame
    return (left + _PAD, top, right - _PAD, bottom - paper.block_mm - 2.0)


def permit_page(plan: Planned, stamp: Stamp, told: Told) -> Sheet:
    """One page of the set, numbered in the set of three."""
    paper, figures = permit_paper(plan), Figures(plan.project.units)
    name = IDS[told.number - 1]
    own = replace(stamp.numbered(IDS), status=stamp.status or STATUS)
    scales = tuple(dict.fromkeys(view.scale for view in told.views))
    said = scale_words(scales[0], figures.system) if len(scales) == 1 else "no scale" if not scales else "as shown"
    fields = own.fields(name, told.title, said, plan)
    block, notes = corner_block(paper, fields)
    marks = (*frame_items(paper), *block, *_office(paper), *_bar(paper, scales, figures), *told.page.items)
    return Sheet(name, "permit", paper, fields, told.views, marks, stamp.theme, alt=told.alt,
                 notes=(*notes, *told.notes))  # fmt: skip


def _office(paper: Paper) -> Iterable[Item]:
    """Free room for stamp, date and signature."""
    left, _, right, bottom = paper.frame
    page = Page()
    page.rule(
        (left, bottom - paper.block_mm), (right - STRIP_MM, bottom - paper.block_mm), layer="title", pen="outline"
    )
    page.text((left + 2.0, bottom - paper.block_mm + 4.5), "For the office: stamp, date, signature", 2.2, role="mid",
              layer="title")  # fmt: skip
    yield from (replace(item, id=f"office-{item.id}") for item in page.items)


def _bar(paper: Paper, scales: tuple[int, ...], figures: Figures) -> Iterable[Item]:
    """A bar of true length for each scale, at the foot of the room for the office."""
    left, _, _, bottom = paper.frame
    for n, scale in enumerate(scales[:2]):
        step, steps, figs = figures.bar(scale)
        y = bottom - 4.0 - 8.0 * n
        yield Text(id=f"bar-words-{n}", layer="title", at=(left + 3.0, y), text=scale_words(scale, figures.system),
                   h=2.5, weight="semibold")  # fmt: skip
        yield ScaleBar(id=f"bar-{n}", layer="title", at=(left + 32.0, y - 1.4), scale=scale, step_m=step, steps=steps,
                       figures=figs)  # fmt: skip
