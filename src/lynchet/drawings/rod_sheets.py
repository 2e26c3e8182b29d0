"""The gauge rod at full size: strips to cut out and glue on a lath, a mark at the top of every course."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.model import Item, Line, Sheet, Symbol, Text
from lynchet.drawings.paper import paper_of
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.units.measures import INCH

_STRIP_MM = 38.0
_APART_MM = 6.0
_TOP_MM = 30.0
_PER_PAGE = 4
_NEAR_FOOT_MM = 15.0
"""Nearer to the foot of a strip than this, the words of a mark stand above it."""
_LONG_M = {"metric": 0.200, "us": 7 * INCH}
_FINE_M = {"metric": 0.005, "us": INCH / 8}
_FIGURE_EVERY = {"metric": 10, "us": 8}
_HALF_EVERY = {"metric": 2, "us": 4}


def rod_sheets(plan: Planned, stamp: Stamp) -> tuple[Sheet, ...]:
    """The rod, four strips a page; none where no wall stands.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    names = rod_sheet_names(plan)
    return tuple(_sheet(plan, stamp, (name, n, len(names))) for n, name in enumerate(names))


def rod_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Names of the sheets: "gauge-rod", "gauge-rod-2"."""
    gauge = plan.walls.setting_out.gauge_m
    if not gauge:
        return ()
    pages = ceil(_strips(plan) / _PER_PAGE)
    return tuple("gauge-rod" + (f"-{n}" if n > 1 else "") for n in range(1, pages + 1))


def _strips(plan: Planned) -> int:
    return max(1, ceil(plan.walls.setting_out.gauge_m[-1] / _LONG_M[plan.project.units] - 1e-9))


def _sheet(plan: Planned, stamp: Stamp, of: tuple[str, int, int]) -> Sheet:
    name, page, pages = of
    units = plan.project.units
    paper, figures = paper_of(plan.project, carried=True), Figures(units)
    title = "Gauge rod" + (f", {page + 1} of {pages}" if pages > 1 else "")
    fields = stamp.fields(name, title, "1 : 1", plan)
    block, notes = title_block(paper, fields)
    left, top, _, bottom = paper.field
    items: list[Item] = [*frame_items(paper), *block, *_head(title, (left + 5.0, top), (figures, bottom))]
    for n in range(page * _PER_PAGE, min((page + 1) * _PER_PAGE, _strips(plan))):
        x = left + 5.0 + (n - page * _PER_PAGE) * (_STRIP_MM + _APART_MM)
        items += _strip(plan, figures, n, (x, top + _TOP_MM))
    alt = "Strips of a measuring rod at full size, with a mark at the top of every course."
    return Sheet(name, "rod", paper, fields, (), tuple(items), stamp.theme, alt=alt, notes=tuple(notes))


def _head(title: str, at: tuple[float, float], page: tuple[Figures, float]) -> Iterator[Item]:
    (x, top), (figures, bottom) = at, page
    yield Text(id="head", layer="key", at=(x, top + 9.5), text=title.upper(), h=5.0, weight="bold")
    said = "Print at 100 %. Cut the strips out, glue them end to end on a straight lath, A at the bottom."
    yield Text(id="how", layer="key", at=(x, top + 15.5), text=said, h=2.5)
    more = "Zero is the underside of the lowest timber of the job; each thick mark is the top of a course."
    yield Text(id="zero", layer="key", at=(x, top + 19.7), text=more, h=2.5)
    long_mm, size = (101.6, "4 in") if figures.system == "us" else (100.0, "100 mm")
    yield Line(id="true", layer="key", pts=((x, bottom - 6.0), (x + long_mm, bottom - 6.0)), pen="cut")
    check = f"This bar is {size} long. If it is not, print again at 100 %."
    yield Text(id="true-words", layer="key", at=(x, bottom - 10.0), text=check, h=2.3)


def _strip(plan: Planned, figures: Figures, n: int, at: tuple[float, float]) -> Iterator[Item]:
    """One strip, from ``n`` lengths up; the paper's y runs down."""
    units = plan.project.units
    (x, y), long_m, name = at, _LONG_M[units], f"s{n:02d}"
    high = long_m * 1000.0
    ring = ((x, y), (x + _STRIP_MM, y), (x + _STRIP_MM, y + high), (x, y + high))
    yield Line(id=f"{name}-cut", layer="key", pts=ring, closed=True, pen="fine", dash="hidden")
    yield Text(id=f"{name}-name", layer="labels", at=(x, y - 2.0), text=f"strip {chr(65 + n)}", h=2.8, weight="bold")
    marks = [(k, mark) for k, mark in enumerate(plan.walls.setting_out.gauge_m, start=1)
             if n * long_m + 1e-9 < mark <= (n + 1) * long_m + 1e-9]  # fmt: skip
    taken = [y + high - (mark - n * long_m) * 1000.0 for _, mark in marks]
    if n:
        # Over the words of a mark that stands near the foot, else at the foot.
        near = [place - 11.2 for place in taken if place > y + high - _NEAR_FOOT_MM]
        glue = f"glue on {chr(64 + n)} here"
        yield Text(id=f"{name}-glue", layer="labels", at=(x + 2.0, min([y + high - 1.6, *near])), text=glue, h=2.2,
                   role="mid")  # fmt: skip
    yield from _ticks(figures, (x, y, name), n, taken)
    for (k, mark), place in zip(marks, taken, strict=True):
        yield Line(id=f"{name}-m{k}", layer="walls", pts=((x, place), (x + _STRIP_MM, place)), pen="outline")
        yield Symbol(id=f"{name}-h{k}", layer="walls", name="head", at=(x, place), turn_deg=180.0)
        under = place + (-11.0 if place > y + high - _NEAR_FOOT_MM else 0.0)
        name_at = (x + 5.0, under + 5.4)
        yield Text(id=f"{name}-c{k}", layer="labels", at=name_at, text=f"course {k}", h=3.2, weight="bold")
        said = figures.timber(mark) if units == "us" else f"{mark * 1000:.0f} mm"
        yield Text(id=f"{name}-l{k}", layer="labels", at=(x + 5.0, under + 9.6), text=said, h=2.3)


def _ticks(figures: Figures, at: tuple[float, float, str], n: int, taken: list[float]) -> Iterator[Item]:
    """Fine divisions along the right edge, figures where they do not meet a course's words."""
    x, y, name = at
    fine, long_m = _FINE_M[figures.system], _LONG_M[figures.system]
    count = round(long_m / fine)
    for k in range(1, count):
        whole, half = k % _FIGURE_EVERY[figures.system] == 0, k % _HALF_EVERY[figures.system] == 0
        place = y + (count - k) * fine * 1000.0
        reach = 9.0 if whole else 6.0 if half else 3.0
        edge = x + _STRIP_MM
        yield Line(id=f"{name}-t{k}", layer="dimensions", pts=((edge - reach, place), (edge, place)), pen="hair")
        if whole and all(abs(place - mark) > 12.0 for mark in taken) and k < count - 1:
            value = n * long_m + k * fine
            said = f"{value / INCH:.0f}″" if figures.system == "us" else f"{value * 1000:.0f}"
            yield Text(id=f"{name}-f{k}", layer="dimensions", at=(edge - reach - 1.0, place + 0.9), text=said, h=2.2,
                       anchor="r")  # fmt: skip
