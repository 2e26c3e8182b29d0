"""The gauge rod at full size: strips to cut out and glue on a lath, a mark at the top of every course.

Every wall counts its courses from its own lowest, so a mark names the course of each wall that ends there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import wrap
from lynchet.drawings.model import Item, Line, Sheet, Symbol, Text
from lynchet.drawings.paper import paper_of
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.units.measures import INCH
from lynchet.walls.rod import rod_courses

_STRIP_MM = 38.0
_APART_MM = 6.0
_TOP_MM = 34.0
_PER_PAGE = 4
_NAMES_MM, _NAMES_H, _NAMES_PITCH = 23.5, 2.8, 4.4
"""Room for the names of the courses that end at a mark, left of the divisions, and their lines."""
_HIGH_MM = 4.2
"""What the height under the names takes."""
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
    more = "Zero is the underside of the lowest timber of the job. Each thick mark is the top of the courses named:"
    yield Text(id="zero", layer="key", at=(x, top + 19.7), text=more, h=2.5)
    counted = "“W2 1” = wall W2, course 1. Every wall counts its courses from its own lowest, as on its wall sheet."
    yield Text(id="counted", layer="key", at=(x, top + 23.9), text=counted, h=2.5)
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
    marks: list[_Mark] = []
    for k, (at_m, names) in enumerate(_named(plan), start=1):
        if n * long_m + 1e-9 < at_m <= (n + 1) * long_m + 1e-9:
            below = marks[-1].place if marks else y + high
            marks.append(_Mark(k, at_m, y + high - (at_m - n * long_m) * 1000.0, names, below, not marks))
    if n:
        # Over the words of a mark that stands near the foot, else at the foot.
        near = [mark.words[0] - 0.6 for mark in marks if mark.words[1] > y + high - 4.0]
        glue = f"glue on {chr(64 + n)} here"
        yield Text(id=f"{name}-glue", layer="labels", at=(x + 2.0, min([y + high - 1.6, *near])), text=glue, h=2.2,
                   role="mid")  # fmt: skip
    yield from _ticks(figures, (x, y, name), n, [mark.words for mark in marks])
    for mark in marks:
        yield from _mark_items(mark, f"{name}-m{mark.number}", x, figures)


def _named(plan: Planned) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Every mark with the lines that name its courses: "A0 2, W2 1"."""
    for at, courses in zip(plan.walls.setting_out.gauge_m, rod_courses(plan.walls), strict=True):
        # A name is not torn from its number.
        said = ", ".join(f"{leg}\u00a0{row}" for leg, row in courses)
        lines = wrap(said, _NAMES_MM, _NAMES_H, "bold")
        yield at, tuple(line.replace("\u00a0", " ") for line in lines)


@dataclass(frozen=True)
class _Mark:
    """A mark on a strip: number and height of the rod, its place on the paper, what it is called."""

    number: int
    at_m: float
    place: float
    names: tuple[str, ...]
    below: float
    """Place of the mark below it, of a wall that stands off the others; of the foot of the strip under the lowest."""
    lowest: bool

    @property
    def words(self) -> tuple[float, float]:
        """Top and foot of its words: under it, or over it near the foot of the strip or another mark."""
        high = 1.6 + len(self.names) * _NAMES_PITCH + _HIGH_MM
        over = self.place + high > self.below - (3.2 if self.lowest else 0.0)
        return (self.place - high, self.place) if over else (self.place, self.place + high)


def _mark_items(mark: _Mark, name: str, x: float, figures: Figures) -> Iterator[Item]:
    yield Line(id=name, layer="walls", pts=((x, mark.place), (x + _STRIP_MM, mark.place)), pen="outline")
    yield Symbol(id=f"{name}-head", layer="walls", name="head", at=(x, mark.place), turn_deg=180.0)
    y = mark.words[0] + 1.6
    for k, line in enumerate(mark.names):
        y += _NAMES_PITCH
        yield Text(id=f"{name}-course-{k}", layer="labels", at=(x + 5.0, y - 0.4), text=line, h=_NAMES_H, weight="bold")
    said = figures.timber(mark.at_m) if figures.system == "us" else f"{mark.at_m * 1000:.0f} mm"
    yield Text(id=f"{name}-high", layer="labels", at=(x + 5.0, y + 3.2), text=said, h=2.3)


def _ticks(figures: Figures, at: tuple[float, float, str], n: int, taken: list[tuple[float, float]]) -> Iterator[Item]:
    """Fine divisions along the right edge, figures where they do not meet a mark or its words."""
    x, y, name = at
    fine, long_m = _FINE_M[figures.system], _LONG_M[figures.system]
    count = round(long_m / fine)
    for k in range(1, count):
        whole, half = k % _FIGURE_EVERY[figures.system] == 0, k % _HALF_EVERY[figures.system] == 0
        place = y + (count - k) * fine * 1000.0
        reach = 9.0 if whole else 6.0 if half else 3.0
        edge = x + _STRIP_MM
        yield Line(id=f"{name}-t{k}", layer="dimensions", pts=((edge - reach, place), (edge, place)), pen="hair")
        if whole and all(not low - 2.5 < place < high + 2.5 for low, high in taken) and k < count - 1:
            value = n * long_m + k * fine
            said = f"{value / INCH:.0f}″" if figures.system == "us" else f"{value * 1000:.0f}"
            yield Text(id=f"{name}-f{k}", layer="dimensions", at=(edge - reach - 1.0, place + 0.9), text=said, h=2.2,
                       anchor="r")  # fmt: skip
