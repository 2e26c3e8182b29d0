"""A wide sheet round one plan view: numbers for labels without a place, strip, title block."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import place_view
from lynchet.drawings.model import Sheet, View
from lynchet.drawings.paper import paper_of, scale_words
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, Content, KeyEntry, Note, Rows, spare_of, strip


@dataclass(frozen=True)
class Told:
    """What a sheet says beside its view."""

    id: str
    kind: str
    title: str
    alt: str
    parts: tuple[Note | Rows, ...]
    caution: str = ""
    words: tuple[tuple[str, str], ...] = ()
    """What stands for {names} in the words of the key."""
    entries: tuple[KeyEntry, ...] = ()
    """Entries of the key that are this sheet's own, before the rest."""


def plan_sheet(plan: Planned, stamp: Stamp, view: View, told: Told) -> Sheet:
    """The sheet of a view with all its items."""
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    fields = stamp.fields(told.id, told.title, scale_words(view.scale, figures.system), plan)
    marks, notes = strip(paper, fields, _content(plan, view, told), figures)
    cautions = (told.caution,) if told.caution else ()
    return Sheet(told.id, told.kind, paper, fields, (view,), marks, stamp.theme, cautions=cautions, alt=told.alt,
                 notes=notes)  # fmt: skip


def spare_mm(plan: Planned, stamp: Stamp, view: View, told: Told) -> float:
    """Height that stays free in the strip when all is set close; negative where something would be left out."""
    fields = stamp.fields(told.id, told.title, scale_words(view.scale, plan.project.units), plan)
    return spare_of(paper_of(plan.project), fields, _content(plan, view, told))


def _content(plan: Planned, view: View, told: Told) -> Content:
    figures = Figures(plan.project.units)
    _, placed = place_view(view)
    numbered = tuple((str(one.number), one.text) for one in placed if one.number)
    parts = told.parts
    if numbered:
        columns = (Column("no.", 0.12, "l"), Column("stands for", 0.88, "l"))
        rows = Rows("Numbers on the plan", columns, numbered, "at the end of the book", in_full=True)
        parts = (*parts[:1], rows, *parts[1:])
    entries = (*told.entries, *key.entries(key.seen(view), figures, dict(told.words)))
    return Content(told.title, entries, parts, (view.scale,))
