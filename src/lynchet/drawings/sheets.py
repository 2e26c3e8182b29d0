"""Every sheet of a plan that may be drawn, as files; what is kept back is not drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial
from itertools import chain

from lynchet.book.texts import FIRST, Words
from lynchet.core.beside import shared_out
from lynchet.drawings.cut_sheets import cut_sheet_names, cut_sheets
from lynchet.drawings.day_sheet import day_sheet_names, sheets_of_day
from lynchet.drawings.detail_sheets import detail_sheet_names, detail_sheets
from lynchet.drawings.drawn import Drawn, drawn
from lynchet.drawings.eye_sheet import eye_sheet, eye_sheet_names
from lynchet.drawings.first_look_sheet import first_look_sheet
from lynchet.drawings.model import Sheet
from lynchet.drawings.paper import LARGER, PageTooSmallError
from lynchet.drawings.permit_sheets import permit_sheets
from lynchet.drawings.planting_list import planting_list, planting_list_names
from lynchet.drawings.planting_sheet import planting_sheet, planting_sheet_names
from lynchet.drawings.rod_sheets import rod_sheet_names, rod_sheets
from lynchet.drawings.section import along_names, behind_sheet, section_sheet
from lynchet.drawings.section_sheets import section_sheet_names, section_sheets
from lynchet.drawings.setting_sheet import setting_sheet
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.soil_sheet import soil_sheet, soil_sheet_names
from lynchet.drawings.stamp import Stamp, stamp_of
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.wall_pages import wall_sheet_names
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.drawings.water_sheet import water_sheet, water_sheet_names
from lynchet.plan.further_pegs import sets_out
from lynchet.plan.model import DAY_SHEETS, Plan
from lynchet.plan.unpaused import unpaused

Maker = Callable[[], Iterable[Sheet]]
Shown = tuple[bool, bool, bool]
"""Whether what one builds from is drawn, the cut sheet among it, and the day sheets."""


def sheets_of(
    plan: Plan, stamp: Stamp | None = None, *, kept_back: bool = False, lang: str = FIRST
) -> dict[str, Sheet]:
    """Sheets by file name without ending, in the order of their numbers.

    The plans of the site and the terraces and the section are drawn even where the site is stopped, marked so: a person
    must see what the findings speak of. All else is for building, so a stop of the site keeps it back.

    Args:
        plan: what is drawn.
        stamp: firm, date and issue; sheets are numbered here.
        kept_back: draw also what is kept back (to test it).
        lang: language of the day sheets.
    """
    shown = _shown(plan, kept_back)
    stamp = _numbered(plan, stamp or stamp_of(plan), shown, lang)
    return {sheet.id: sheet for maker in _makers(plan, stamp, shown, lang) for sheet in maker()}


def _shown(plan: Plan, kept_back: bool = False) -> Shown:
    free = kept_back or "all" not in plan.withheld
    cut = kept_back or not {"all", "cut-sheet"} & plan.withheld.keys()
    days = kept_back or not {"all", DAY_SHEETS} & plan.withheld.keys()
    return free, cut, days


def _makers(plan: Plan, stamp: Stamp, shown: Shown, lang: str) -> Iterator[Maker]:
    """Makers of the sheets in their order, each of one sheet or of some that share much.

    Args:
        plan: what is drawn.
        stamp: with the numbers of the sheets.
        shown: as for the numbers.
        lang: language of the day sheets.
    """
    free, cut, days = shown
    yield lambda: [first_look_sheet(plan, stamp)]
    yield lambda: [site_sheet(plan, stamp)]
    yield lambda: [terraces_plan(plan, stamp)]
    if free:
        yield lambda: _there(water_sheet(plan, stamp))
    yield lambda: _there(section_sheet(plan, stamp), behind_sheet(plan, stamp))
    if free:
        yield lambda: section_sheets(plan, stamp)
        yield lambda: wall_sheets(plan, stamp)
        yield lambda: detail_sheets(plan, stamp)
        yield lambda: (*_there(setting_sheet(plan, stamp)), *rod_sheets(plan, stamp))
    if cut:
        yield lambda: cut_sheets(plan, plan.timber, stamp)
    if free:
        yield lambda: (*_there(planting_sheet(plan, stamp)), *planting_list(plan, stamp))
        yield from (partial(_view, plan, stamp, number) for number in range(len(eye_sheet_names(plan))))
        yield lambda: _there(soil_sheet(plan, stamp))
    if days:
        yield from (partial(sheets_of_day, plan, day.number, stamp, Words(lang)) for day in plan.works.days)
    if free:
        yield lambda: permit_sheets(plan, stamp)


def _view(plan: Plan, stamp: Stamp, number: int) -> Iterable[Sheet]:
    return _there(eye_sheet(plan, stamp, number))


def _there(*sheets: Sheet | None) -> tuple[Sheet, ...]:
    return tuple(sheet for sheet in sheets if sheet is not None)


def drawn_sheets(plan: Plan, lang: str = FIRST) -> tuple[Drawn, ...]:
    """Every sheet that may be drawn, as it is written; the day sheets in a language.

    Raises:
        PageTooSmallError: a sheet does not fit the paper the file asks for; says which paper holds all.
    """
    try:
        with unpaused():
            return _drawn(plan, lang)
    except PageTooSmallError as error:
        holds = next((paper for paper in LARGER[error.paper.name] if _fits(plan, paper, lang)), "")
        raise PageTooSmallError(error.paper, error.why, error.sheet, holds) from None


def _drawn(plan: Plan, lang: str) -> tuple[Drawn, ...]:
    """Drawn on two cores where there is a second; one sheet after the other, while what both look at is still known."""
    shown = _shown(plan)
    makers = _makers(plan, _numbered(plan, stamp_of(plan), shown, lang), shown, lang)
    return tuple(chain.from_iterable(shared_out([partial(_made, maker) for maker in makers])))


def _made(maker: Maker) -> list[Drawn]:
    return [drawn(sheet) for sheet in maker()]


def _fits(plan: Plan, paper: str, lang: str) -> bool:
    """Whether every sheet fits another paper."""
    project = replace(plan.project, sheet=replace(plan.project.sheet, paper=paper))
    try:
        return bool(_drawn(replace(plan, project=project), lang))
    except PageTooSmallError:
        return False


def _numbered(plan: Plan, stamp: Stamp, shown: Shown, lang: str) -> Stamp:
    """Sheet numbers in the order one needs them: the whole, walls, pegs, rod, sticks, plants, soil.

    Only what is drawn is counted; the permit sheets are a set of their own.

    Args:
        plan, stamp: as for the sheets.
        shown: what is drawn.
        lang: language of the day sheets.
    """
    free, cut, days = shown
    walls = wall_sheet_names(plan) if free else {}
    pegs = ("setting-out",) if sets_out(plan) else ()
    ids = ["first-look", "site", "terraces"]
    ids += water_sheet_names(plan) if free else ()
    ids += along_names(plan)
    if free:
        ids += section_sheet_names(plan)
        ids += dict.fromkeys(name for names in walls.values() for name in names)
        ids += (*detail_sheet_names(plan), *pegs, *rod_sheet_names(plan))
    ids += cut_sheet_names(plan, plan.timber) if cut else ()
    if free:
        ids += (*planting_sheet_names(plan), *planting_list_names(plan))
        ids += (*eye_sheet_names(plan), *soil_sheet_names(plan))
    ids += day_sheet_names(plan, Words(lang)) if days else ()
    numbers = {name: number for number, name in enumerate(ids, start=1)}
    # A wall that shares the sheet of another is found under its own name too.
    numbers |= {f"wall-{leg}": numbers[names[0]] for leg, names in walls.items()}
    return replace(stamp, numbers=tuple(numbers.items()))
