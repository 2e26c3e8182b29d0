"""The first look on one page: the word, why, walls and heights, sticks, soil, money, days, what next, a picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot

from lynchet.book.signs import signed
from lynchet.core.findings import Verdict
from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.first_look_picture import plan_picture, section_picture
from lynchet.drawings.letters import PITCH_NOTE, printable, wrap
from lynchet.drawings.model import ScaleBar, Sheet, View
from lynchet.drawings.page import Page
from lynchet.drawings.page_parts import Side, headline, section
from lynchet.drawings.paper import paper_of, scale_words
from lynchet.drawings.permit_heights import WallHeight, wall_heights
from lynchet.drawings.stamp import Stamp
from lynchet.plan.figures import Figures as Counted
from lynchet.plan.figures import figures as counted
from lynchet.plan.figures import rounded_money
from lynchet.plan.model import Plan
from lynchet.plan.next_steps import next_steps
from lynchet.units.format import TIMBER, area, volume

ID = "first-look"
TITLE = "First look"
WORDS = {
    Verdict.OK: "Nothing speaks against it.",
    Verdict.WATCH: "It can be built as planned; mind the points below.",
    Verdict.ASK: "Before you dig or order, get the answers below.",
    Verdict.STOP: "Not like this: see why; findings.txt says what would help.",
}
FOOT = "A first look, no plan to build from. Local codes, permits and lot lines come first."
_FILL = {Verdict.OK: "planted", Verdict.WATCH: "soil", Verdict.ASK: "warn tone", Verdict.STOP: "warn"}
_LINE = 2.5 * PITCH_NOTE
_NAME_MM = 22.0
_SECTION_MM = 74.0
_FIGURES_MM = 84.0
_LEAST_MM = 66.0
"""Most and least for the figures and the plan beside them."""


def first_look_sheet(plan: Plan, stamp: Stamp, helps: str = "") -> Sheet:
    """The page of a plan.

    Args:
        plan: what is told.
        stamp: firm, date, issue and sheet numbers.
        helps: what was found to leave no stop, with what it changes; empty where nothing was tried or nothing helps.
    """
    figures, paper, page = Figures(plan.project.units), paper_of(plan.project, carried=True), Page()
    fields = stamp.fields(ID, TITLE, "as shown", plan)
    block, notes = title_block(paper, fields)
    left, top, right, bottom = paper.field
    side = (left + 5.0, right - 5.0)
    y = headline(page, side, top, f"First look: {_job(plan)}", FOOT)
    y = _verdict(page, side, y + 1.0, plan, "Not like this: see why." if helps else WORDS[plan.verdict])
    if helps:
        y = _help(page, side, y, helps)
    steps = next_steps(plan)
    low = bottom - 5.0 - 10.5 - sum(_step_high(side, step) for step in steps)
    drawn = bool(plan.walls.runs)
    column = ((side[0] + side[1]) / 2 + 4.0 if drawn else side[0], side[1])
    high = min(_FIGURES_MM, max(_LEAST_MM, _rows_high(plan, column) + 3.0))
    middle = low - high - (_section_mm(plan, side, figures) if drawn else 0.0)
    dropped = _reasons(page, side, (y, middle), plan)
    views = _pictures(plan, page, (side, middle, figures), high) if drawn else ()
    _figures(page, column, middle, plan)
    _steps(page, side, low, steps)
    alt = f"{plan.verdict.words}. {WORDS[plan.verdict]}"
    return Sheet(ID, "look", paper, fields, views, (*frame_items(paper), *block, *page.items), stamp.theme, alt=alt,
                 cautions=(FOOT,), notes=(*notes, *dropped))  # fmt: skip


def _job(plan: Plan) -> str:
    name = printable(plan.project.name)
    return "your yard" if name.lower() in ("", TITLE.lower()) else name


def _verdict(page: Page, side: Side, y: float, plan: Plan, said: str) -> float:
    """The word in a box, so that it is read at arm's length, and a sentence beside it."""
    stop = plan.verdict is Verdict.STOP
    wide = 62.0
    page.bar((side[0], side[0] + wide), (y, y + 13.0), fill=_FILL[plan.verdict], pen="cut")
    page.text((side[0] + wide / 2, y + 9.4), plan.verdict.words.upper(), 6.0, wide - 6.0, weight="bold", anchor="c",
              role="paper" if stop else "ink", layer="key")  # fmt: skip
    for n, line in enumerate(wrap(said, side[1] - side[0] - wide - 5.0, 3.5, "semibold")):
        page.text((side[0] + wide + 5.0, y + 5.6 + 5.6 * n), line, 3.5, weight="semibold")
    return y + 16.0


def _help(page: Page, side: Side, y: float, helps: str) -> float:
    """What would help, set as the reasons are."""
    page.text((side[0], y + 3.6), "would help", 2.5, _NAME_MM - 2.0, weight="bold")
    for line in wrap(printable(helps), side[1] - side[0] - _NAME_MM, 2.5, "semibold"):
        page.text((side[0] + _NAME_MM, y + 3.6), line, weight="semibold")
        y += _LINE
    return y + 1.2


def _reasons(page: Page, side: Side, place: tuple[float, float], plan: Plan) -> tuple[str, ...]:
    """Five findings at most, as many as fit, each with its word; those that do not fit come back as notes."""
    y, foot = place
    dropped = []
    for finding, count in plan.top:
        more = f" (+{count - 1} like it)" if count > 1 else ""
        lines = wrap(printable(signed(finding.text)) + more, side[1] - side[0] - _NAME_MM, 2.5)
        fitting = int((foot - y - 2.0) / _LINE)
        if fitting < min(2, len(lines)):
            dropped.append(finding.text)
            continue
        if len(lines) > fitting:
            dropped.append(finding.text)
            lines = (*_whole_sentences(lines[: fitting - 1], side), "… in full with the findings")
        page.text((side[0], y + 3.6), finding.verdict.words, 2.5, _NAME_MM - 2.0, weight="bold",
                  role="warn" if finding.verdict >= Verdict.ASK else "ink")  # fmt: skip
        for line in lines:
            page.text((side[0] + _NAME_MM, y + 3.6), line)
            y += _LINE
        y += 1.2
    if not plan.top:
        page.text((side[0], y + 3.6), "No check found anything against it.")
    return tuple(dropped)


def _whole_sentences(lines: Sequence[str], side: Side) -> tuple[str, ...]:
    """The lines up to the last sentence that ends in them; all of them where none does."""
    kept = " ".join(lines)
    end = max(kept.rfind(f"{mark} ") for mark in ".?!")
    return tuple(wrap(kept[: end + 1], side[1] - side[0] - _NAME_MM, 2.5)) if end > 0 else tuple(lines)


def _pictures(plan: Plan, page: Page, look: tuple[Side, float, Figures], high: float) -> tuple[View, ...]:
    """Plan at the left beside the figures, section under both."""
    side, y, figures = look
    middle = (side[0] + side[1]) / 2
    section(page, side, y, "Plan")
    top, signs = plan_picture(plan, (side[0] - 4.5, y + 7.0, middle + 4.5, y + high - 2.0), figures)
    page.items.extend(signs)
    page.text((side[0] + 16.0, y + 6.0), scale_words(top.scale, figures.system))
    step, steps, figs = figures.bar(top.scale)
    page.items.append(ScaleBar(id="bar-plan", layer="key", at=(side[0] + 40.0, y + 5.6), scale=top.scale, step_m=step,
                               steps=steps, figures=figs))  # fmt: skip
    found = section_picture(plan, (side[0] - 0.5, y + high + 1.0, side[1] + 0.5, y + high + 1.0 + _SECTION_MM), figures)
    if found is None:
        return (top,)
    page.items.extend(found[1])
    return top, found[0]


def _section_mm(plan: Plan, side: Side, figures: Figures) -> float:
    """What the section takes once it is drawn."""
    found = section_picture(plan, (side[0] - 0.5, 0.0, side[1] + 0.5, _SECTION_MM), figures)
    return found[0].region[3] + 3.0 if found else 0.0


def _figures(page: Page, side: Side, y: float, plan: Plan) -> None:
    """The job in figures, name over value."""
    page.text((side[0], y + 6.0), "IN FIGURES", 3.2, weight="bold")
    y += 9.0
    for name, values in _rows(plan):
        lines = _row_lines(values, side)
        page.text((side[0], y + 3.4), name, 2.5, role="mid")
        for line in lines:
            page.text((side[0] + 20.0, y + 3.4), line, weight="semibold")
            y += 3.9
        y += 1.6
        page.rule((side[0], y - 0.4), (side[1], y - 0.4), pen="hair")


def _row_lines(values: tuple[str, ...], side: Side) -> list[str]:
    return [line for value in values for line in wrap(printable(value), side[1] - side[0] - 20.0, 2.5)]


def _rows_high(plan: Plan, side: Side) -> float:
    """What the figures take, their head with them."""
    return 9.0 + sum(len(_row_lines(values, side)) * 3.9 + 1.6 for _, values in _rows(plan))


def _tallest(plan: Plan, walls: Sequence[WallHeight], courses: int) -> str:
    """The greatest height of timber; with its wall where that is not the one of so many courses told before it."""
    one = max(walls, key=lambda wall: wall.whole_m)
    told = f"{Figures(plan.project.units).words(one.whole_m, TIMBER)} with buried timber"
    same = abs(one.whole_m - courses * plan.project.timber.course_m) < 0.5 * plan.project.timber.course_m
    return told if same else f"{told}: wall {one.leg}"


def _rows(plan: Plan) -> Iterable[tuple[str, tuple[str, ...]]]:
    found, units = counted(plan), Figures(plan.project.units)
    if plan.refused or not found.walls:
        yield "walls", ("no wall is planned",)
        return
    heights = wall_heights(plan)
    walls = (*heights.stack, *heights.others)
    yield "ground", (f"falls {units.ratio(hypot(*plan.terraces.fall))}",)
    yield "terraces", (f"{found.terraces}, on {found.walls} lines of wall",)
    yield (
        "highest",
        (
            f"holds {units.words(found.highest_m, TIMBER)}, {found.highest_courses} courses",
            *([_tallest(plan, walls, found.highest_courses)] if walls else []),
        ),
    )
    if len(heights.stack) > 1:
        yield "all tiers", (f"{units.words(heights.seen_m, TIMBER)} seen, {len(heights.stack)} walls added up",)
    ties = f", {found.ties} tie{'s' * (found.ties > 1)} among them" if found.ties else ""
    yield "timber", (f"about {found.sticks} sticks{ties}",)
    yield "beds", (f"{area(found.bed_m2, plan.project.units)} of level ground",)
    yield "soil", tuple(_soil(found, plan))
    hands = "one person" if found.crew == 1 else f"{found.crew} people"
    if found.days:
        yield "work", (f"{found.days} days of {hands} ({found.days_low} to {found.days_high} days)",)
    yield "money", tuple(_money(found))


def _soil(found: Counted, plan: Plan) -> Iterable[str]:
    if not found.barrows:
        yield "what is dug is used"
        return
    way = "goes away" if found.away_loose_m3 > 0 else "comes in"
    yield f"{volume(abs(found.away_loose_m3), plan.project.units)} loose {way}:"
    parts = ((found.barrows, "barrow"), (found.loads, "load"))
    yield " or ".join(f"{count} {what}{'' if count == 1 else 's'}" for count, what in parts)


def _money(found: Counted) -> Iterable[str]:
    if found.money is None:
        yield found.money_words
        return
    low, high = rounded_money(found.money.low), rounded_money(found.money.high)
    yield f"{low if low == high else f'{low} to {high}'} {found.currency}".rstrip()
    if found.money_words:
        yield found.money_words


def _step_high(side: Side, step: str) -> float:
    return len(wrap(printable(step), side[1] - side[0] - 8.0, 2.8)) * 4.9 + 1.2


def _steps(page: Page, side: Side, y: float, steps: tuple[str, ...]) -> None:
    """What to measure or ask next, each with a box to tick."""
    y = section(page, side, y, "Next")
    for step in steps:
        page.bar((side[0], side[0] + 3.8), (y, y + 3.8), pen="visible")
        for line in wrap(printable(step[:1].upper() + step[1:]), side[1] - side[0] - 8.0, 2.8):
            page.text((side[0] + 7.0, y + 3.4), line, 2.8)
            y += 4.9
        y += 1.2
