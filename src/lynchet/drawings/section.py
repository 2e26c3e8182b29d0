"""The section sheet: a cut along the fall, what lies behind the highest wall it meets, larger, and what finds room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Item, Sheet, Text, View
from lynchet.drawings.numbers import numbered
from lynchet.drawings.paper import paper_of, scale_words
from lynchet.drawings.section_along import (
    TITLE,
    along_fall,
    along_picture,
    along_view,
    alt_of,
    below,
    detail_picture,
    detail_view,
    field_of,
    free_under,
    highest,
)
from lynchet.drawings.section_cells import cell
from lynchet.drawings.section_pages import Row, in_a_row, letters_joined, section_pages
from lynchet.drawings.section_used import used_in
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Content, Note, strip

ID = "section"
BEHIND_ID = "section-behind"
STOP_AND_CALL = (
    "if water runs into the open trench, if the soil at the bottom takes a boot print, or if the bank behind cracks. "
    "Keep heaps and barrows away from the edge of the digging. Nobody works alone in a trench."
)


@dataclass(frozen=True)
class _Shown:
    """Pictures of a sheet with their short names, and the words over them."""

    views: tuple[View, ...]
    names: tuple[str, ...]
    heads: tuple[Item, ...]


def section_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """The section along the fall, or None where no wall is met by it; the wall beside it where the paper holds both.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    found = along_fall(plan)
    if found is None:
        return None
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    field, picture = field_of(paper), along_picture(plan, found)
    whole = along_view(found, picture, figures, used_in(plan, found))
    heads = tuple(_head("A", field[1], field[0], f"{TITLE}, along the fall", _under(whole, figures)))
    if paper.small:
        return _sheet(plan, stamp, (ID, TITLE, alt_of(found)), _Shown((whole,), ("A–A",), heads))
    wall, room = highest(found), below(field, picture)
    detail = detail_view(plan, found, wall, (detail_picture(plan, found, wall, room), figures))
    heads += tuple(_head("W", room[1], field[0], f"Wall {wall}, what lies behind it", _under(detail, figures)))
    shown, title = _Shown((whole, detail), ("A–A", wall), heads), TITLE
    _, tail = section_pages(plan)
    if tail:
        shown = _with(plan, shown, tail)
        title = f"Sections A{' and' if len(tail) == 1 else ','} {letters_joined([one.place.letter for one in tail])}"
    return _sheet(plan, stamp, (ID, title, alt_of(found)), shown)


def _with(plan: Planned, shown: _Shown, tail: Row) -> _Shown:
    """The same with smaller sections side by side at the foot."""
    figures, box = Figures(plan.project.units), free_under(plan)
    assert box is not None
    whole, detail = shown.views
    left, top, right, _ = detail.region
    cells = [cell(one, place, figures) for one, place in in_a_row(tail, box)]
    views = (whole, replace(detail, region=(left, top, right, box[1] - 2.0)), *(one.view for one in cells))
    names = (*shown.names, *(f"{one.place.letter}–{one.place.letter}" for one in tail))
    return _Shown(views, names, (*shown.heads, *(item for one in cells for item in one.heads)))


def behind_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """What lies behind the highest wall of the section, on a sheet of its own; None where it stands with the section.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    found = along_fall(plan) if paper.small else None
    if found is None:
        return None
    field, wall = field_of(paper), highest(found)
    detail = detail_view(plan, found, wall, (detail_picture(plan, found, wall, field), figures))
    title = f"Wall {wall}, what lies behind it"
    heads = tuple(_head("W", field[1], field[0], title, _under(detail, figures)))
    return _sheet(plan, stamp, (BEHIND_ID, f"Behind wall {wall}", f"{title}."), _Shown((detail,), (wall,), heads))


def _sheet(plan: Planned, stamp: Stamp, named: tuple[str, str, str], shown: _Shown) -> Sheet:
    """The sheet of some pictures."""
    (name, title, alt), views = named, shown.views
    figures, paper = Figures(plan.project.units), paper_of(plan.project)
    scales = tuple(sorted({view.scale for view in views}))
    said = both_scales(scales[-1], scales[0], figures) if len(scales) < 3 else "as shown"
    fields = stamp.fields(name, title, said, plan)
    entries = key.entries([item for view in views for item in view.items], figures)
    notes_of = (Note("Stop and call", STOP_AND_CALL, warn=True), *numbered(views, shown.names))
    marks, notes = strip(paper, fields, Content(title, entries, notes_of, scales), figures)
    return Sheet(name, "section", paper, fields, views, (*shown.heads, *marks), stamp.theme, cautions=(STOP_AND_CALL,),
                 alt=alt, notes=notes)  # fmt: skip


def along_names(plan: Planned) -> tuple[str, ...]:
    """Names of the sheets; nothing where there is none."""
    if not along_fall(plan):
        return ()
    return (ID, BEHIND_ID) if paper_of(plan.project).small else (ID,)


def both_scales(one: int, two: int, figures: Figures) -> str:
    """Both scales, short: "1 : 50, 1 : 10", "¼ in, 1 in = 1 ft"."""
    first, second = scale_words(one, figures.system), scale_words(two, figures.system)
    if one == two:
        return first
    same = " = 1 ft"
    return f"{first.removesuffix(same) if second.endswith(same) else first}, {second}"


def _under(view: View, figures: Figures) -> str:
    return f"{scale_words(view.scale, figures.system)}. Same scale up and along; the low side at the left."


def _head(name: str, top: float, left: float, title: str, under: str) -> Iterable[Item]:
    yield Text(id=f"head-{name}", layer="labels", at=(left + 2.0, top + 5.0), text=title, h=4.0, weight="bold")
    yield Text(id=f"under-{name}", layer="labels", at=(left + 2.0, top + 10.5), text=under, h=2.5)
