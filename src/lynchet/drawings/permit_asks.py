"""Permit sheet 3: a section along the fall, and what is asked of the office, with room for its answers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.figures import Figures
from lynchet.drawings.first_look_picture import with_head_room, without_bands
from lynchet.drawings.letters import printable
from lynchet.drawings.lower import place_view
from lynchet.drawings.model import Item, Label, Sheet, View
from lynchet.drawings.page import Page
from lynchet.drawings.page_parts import headline, para, para_height, section
from lynchet.drawings.permit_heights import wall_heights
from lynchet.drawings.permit_page import Told, permit_page, permit_paper, room
from lynchet.drawings.permit_plan import TOUCHES_M, Way, buried_ways, ways
from lynchet.drawings.section_cells import cell, ready
from lynchet.drawings.section_line import section_cut
from lynchet.drawings.section_places import Place
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp

TITLE = "Permit 3: questions"
_MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
           "December")  # fmt: skip
_SECTION_MM = 88.0
_ANSWER_MM = 5.6
_NAMES_MM = 14.0
"""Over the section, for levels and names."""
_INSPECT = (
    "Which inspections are wanted, and how long before is the call: the trench before the stone, the drain before the "
    "fill, the end?"
)
_LOCATE = (
    "Buried lines: the locating service is told before any digging, and nobody digs before its answer. How many "
    "working days before the dig does it want the notice?"
)


def permit_asks(plan: Planned, stamp: Stamp) -> Sheet:
    """Sheet 3 of the set.

    Args:
        plan: what is shown.
        stamp: firm, date, issue.
    """
    figures, page = Figures(plan.project.units), Page()
    left, top, right, bottom = room(permit_paper(plan))
    side = (left, right)
    y = headline(page, side, top, "Permit sheet 3: section and questions", _start(plan))
    views: tuple[View, ...] = ()
    cut = section_cut(plan)
    if cut is not None:
        place = Place("A", "along the fall", ("Same scale up and along; the low side at the left.",), cut)
        box = (left - 0.5, y + 1.0, right + 0.5, y + _SECTION_MM)
        drawn = cell(with_head_room(ready(plan, place), box, figures, _NAMES_MM), box, figures)
        page.items.extend(drawn.heads)
        view = replace(drawn.view, items=tuple(_kept(drawn.view.items)))
        views = (view,)
        y = max(y + 40.0, view.region[3] + 1.0)
        numbered = [f"{one.number} = {one.text}" for one in place_view(view)[1] if one.number]
        y = para(page, side, y, "; ".join(numbered)) if numbered else y
    y = section(page, side, y, "What is asked of the office")
    notes = []
    for n, (said, lines) in enumerate(questions(plan, figures), start=1):
        text = f"{n}. {said}"
        high = para_height(side, text) + lines * _ANSWER_MM
        if y + high > bottom:
            notes.append(text)
            continue
        y = para(page, side, y, text)
        for _ in range(lines):
            y += _ANSWER_MM - 0.6
            page.rule((left + 4.0, y - 1.0), (right, y - 1.0), pen="hair")
            y += 0.6
    alt = "Section along the fall, and the questions to the building office."
    return permit_page(plan, stamp, Told(3, TITLE, views, page, alt, tuple(notes)))


def _kept(items: Iterable[Item]) -> Iterable[Item]:
    """All but the names of the beds, which nobody asks about here."""
    return (item for item in without_bands(items) if not (isinstance(item, Label) and item.id.startswith("bed-")))


def _start(plan: Planned) -> str:
    start = plan.project.works.start
    if not start:
        return "No day is set for the work yet."
    day = date.fromisoformat(start)
    return f"Work is to begin on {day.day} {_MONTHS[day.month - 1]} {day.year}."


def questions(plan: Planned, figures: Figures) -> list[tuple[str, int]]:
    """Each question with its facts, and how many lines its answer gets; the most important first."""
    found = wall_heights(plan)
    walls = (*found.stack, *found.others)
    asked: list[tuple[str, int]] = []
    if walls:
        high = max(walls, key=lambda wall: wall.seen_m)
        tallest = max(walls, key=lambda wall: wall.whole_m)
        asked.append((
            f"Do these walls need a permit? The highest shows {figures.height(high.seen_m)} of timber ({high.leg}), "
            f"the tallest is {figures.height(tallest.whole_m)} from its lowest timber to its top ({tallest.leg}). "
            "Is height counted as ground held, as timber seen, or from the lowest timber?", 1))  # fmt: skip
    if len(found.stack) > 1:
        apart = min((wall.setback_m for wall in found.stack if wall.setback_m is not None), default=None)
        near = f", at least {figures.words(apart)} apart, face to face" if apart is not None else ""
        asked.append((
            f"Are walls one above the other added up? Here {len(found.stack)} stand so{near}; together they show "
            f"{figures.height(found.seen_m)} of timber. From which set-back on do they count apart?", 1))  # fmt: skip
    asked.append((_distances(plan, figures), 1))
    asked += [(printable(finding.text), 0) for finding in _for_office(plan)]
    engineer = sum(finding.ask == "engineer" and finding.verdict >= Verdict.ASK for finding in plan.findings)
    if engineer:
        asked.append((f"{_checks(engineer)} for a licensed engineer. Does the office want the engineer's seal?", 1))
    asked.append((_INSPECT, 1))
    asked.append((_LOCATE, 1))
    if walls:
        asked.append(
            (f"Is a guard or a handrail asked for above a drop of {figures.height(max(w.seen_m for w in walls))}?", 1)
        )
    return asked


def _checks(count: int) -> str:
    return "One check asks" if count == 1 else f"{count} checks ask"


def _distances(plan: Planned, figures: Figures) -> str:
    found = ways(plan)
    if not found:
        return (
            "How far must walls, their stone and their ties stay from lot lines and buildings? No lot line is in the "
            "project file yet."
        )
    near = min(found, key=lambda way: way.length_m)
    return (
        f"How far must walls, their stone and their ties stay from lot lines and buildings? The nearest here is "
        f"{near.to} ({near.known}): {_apart(near.length_m, figures)} {near.nearest}.{_stone(plan, found, figures)}"
    )


def _stone(plan: Planned, walls: tuple[Way, ...], figures: Figures) -> str:
    """Where drain stone outside a wall, or a tie, comes nearer to a line or a building than the wall: how near."""
    buried = buried_ways(plan)
    nearer = [b for a, b in zip(walls, buried, strict=False) if b.length_m < a.length_m - TOUCHES_M]
    if not nearer:
        return ""
    near = min(nearer, key=lambda way: way.length_m)
    apart = "touches" if near.length_m < TOUCHES_M else f"comes to {figures.words(near.length_m)} from"
    return f" In the ground the {near.nearest} {apart} {near.to}."


def _apart(length_m: float, figures: Figures) -> str:
    return "it touches" if length_m < TOUCHES_M else f"{figures.words(length_m)} from"


def _for_office(plan: Planned) -> list[Finding]:
    """Other questions to the office, one of each cause; heights are asked above."""
    seen: dict[str, Finding] = {}
    for finding in plan.findings:
        if finding.ask == "office" and finding.code != "stability.height":
            seen.setdefault(finding.cause or finding.code, finding)
    return list(seen.values())
