"""The setting-out plan: pegs, the known corners they are taped from, and how two tapes meet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import dist

from lynchet.core.plane import Point
from lynchet.drawings.block import frame_items, title_block
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable, wrap
from lynchet.drawings.lower import place_view
from lynchet.drawings.model import Area, Item, Label, Line, Sheet, Text, View
from lynchet.drawings.paper import Box, Paper, paper_of, scale_words
from lynchet.drawings.plan_banks import toe_lines
from lynchet.drawings.plan_built import wall_items
from lynchet.drawings.plan_layout import lay_out
from lynchet.drawings.plan_stays import area_lines
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.plan.further_pegs import further_pegs, sets_out, solid_lines
from lynchet.units.measures import System
from lynchet.walls.pegs import SettingPoint

ID = "setting-out"
TITLE = "Setting-out plan"
_ROOM = (12.0, 30.0, 12.0, 44.0)
_LINE_MM = 4.2
_SAME_M = 0.02
_PEG_ROOM = (24.0, 6.0)
"""mm kept beside and over points for their names."""
_MOST_LINES = 4, 16
"""Kept free for names without room: always, and where the plan does not fill its room; more run up into its foot."""
_MOST_OFF = 4
"""Names told of points off the sheet."""
HOW = (
    "Hook one tape on each of the two known corners that the setting-out card names, pull both level and tight, and "
    "drive the peg where their lengths cross, on the side drawn here. {}Then pull the "
    "check tapes of the card before you dig. The card is in the book and in setting-out.csv."
)
HOW_UNCHECKED = HOW.replace("Then pull the check tapes of the card before you dig. ", "")
PEGS = "Pegs stand on the face of the timber. A string from peg to peg, level, carries the heights of the card."
_SIGNS = (
    ("S", "corners of steps"), ("OUT", "outlets"), ("P", "pipes"), ("R", "pipes from roofs"), ("C", "cut-off drains"),
    ("c", "cleanouts"), ("t", "where banks meet the ground"), ("Z", "where timber and stone are set down"),
)  # fmt: skip
_ENDS = {"c": "D with c", "t": "A with t"}
"""What the names of points begin with; of cleanouts and banks, what they end with."""


def setting_sheet(plan: Planned, stamp: Stamp) -> Sheet | None:
    """The plan of pegs; None where no wall stands and no bank is shaped.

    Args:
        plan: what is shown.
        stamp: firm, date, issue and sheet numbers.
    """
    card = plan.walls.setting_out
    if not sets_out(plan):
        return None
    figures, paper = Figures(plan.project.units), paper_of(plan.project, carried=True)
    layout = lay_out(plan, paper, _ROOM)
    items: tuple[Item, ...] = (
        *_ground(plan),
        *wall_items(plan),
        *_built(plan),
        *_tapes(plan, figures),
        *_corners(plan),
        *_pegs(_all_pegs(plan)),
    )
    under = _foot_lines(plan, paper)
    view, numbered = _placed(plan, (layout.view, items), paper, len(under))
    fields = stamp.fields(ID, TITLE, scale_words(view.scale, figures.system), plan)
    block, notes = title_block(paper, fields)
    drawn = sum(item.id.startswith("tape-") and isinstance(item, Line) for item in view.items)
    how = (HOW if card.check_tapes else HOW_UNCHECKED).format(_PATTERN.get(drawn, ""))
    how += _off_words(peg for peg in _all_pegs(plan) if not _on(view.paper(peg.point_m), view.region))
    marks = (*frame_items(paper), *block, *_words(paper, plan.project.units, (how, numbered), under))
    alt = f"Plan of {len(card.points) or len(_all_pegs(plan))} pegs and the corners they are measured from."
    return Sheet(ID, "setting-out", paper, fields, (view,), marks, stamp.theme, alt=alt, notes=tuple(notes))


def _placed(plan: Planned, drawn: tuple[View, tuple[Item, ...]], paper: Paper, under: int) -> tuple[View, list[str]]:
    """The view in its room, and the lines that say the names without room, for which as much is kept free.

    Args:
        plan: what is shown.
        drawn: the view, and its items.
        paper: the sheet.
        under: how many lines stand under the plan.
    """
    (left, top, right, bottom), lines = paper.field, 1
    foot = bottom - 6.0 - _LINE_MM * under
    heights = [drawn[0].paper(point)[1] for point in _wall_points(plan)]
    spare = foot - 36.0 - top - 2 * _PEG_ROOM[1] - (max(heights) - min(heights))
    most = min(max(_MOST_LINES[0], int(spare / _LINE_MM)), _MOST_LINES[1])
    while True:
        room = (left + 4.5, top + 30.0, right - 4.5, foot - 6.0 - _LINE_MM * lines)
        framed = _in_the_middle(plan, drawn[0], room)
        # A corner far off the yard has no place on the paper; the table names it.
        items = tuple(one for one in drawn[1] if not isinstance(one, Label) or _on(framed.paper(one.anchor[0]), room))
        view = replace(framed, items=items, region=room, clip=True)
        said = [f"{one.number} = {one.text}" for one in place_view(view)[1] if one.number]
        numbered = _in_lines(said, right - left - 10.0)
        if len(numbered) <= lines or lines >= most:
            return view, numbered
        lines = min(len(numbered), most)


def _wall_points(plan: Planned) -> list[Point]:
    """Points of walls and banks, and the corners of the outline: what is shown, whatever lies past the edge."""
    card = plan.walls.setting_out
    pegs = [*(peg.point_m for peg in (*card.points, *card.moved)), *plan.project.area.outline_m]
    return [*pegs, *(point for bank in plan.walls.shaped for point in bank.toe_m)]


def _in_lines(said: Iterable[str], wide_mm: float) -> list[str]:
    """Names in as few lines as hold them, none of them broken."""
    lines: list[str] = []
    for one in said:
        longer = f"{lines[-1]}; {one}" if lines else one
        if lines and len(wrap(longer, wide_mm, 2.5, "semibold")) == 1:
            lines[-1] = longer
        else:
            lines.append(one)
    return lines


def _in_the_middle(plan: Planned, view: View, room: Box) -> View:
    """The view moved so that all points stand in the middle of its room; where they find none together, those of walls
    and banks keep theirs, and what lies past the edge is where timber and stone are set down, say."""
    near = [*(peg.point_m for peg in _all_pegs(plan)), *plan.project.area.outline_m]
    walls = _wall_points(plan)
    moved = []
    for axis in (0, 1):
        all_at = [view.paper(point)[axis] for point in near]
        kept = [view.paper(point)[axis] for point in walls]
        low, high = room[axis] + _PEG_ROOM[axis], room[axis + 2] - _PEG_ROOM[axis]
        fits = max(all_at) - min(all_at) <= high - low
        if axis == 0 and low <= min(all_at) and max(all_at) <= high:
            moved.append(0.0)
        elif fits:
            moved.append(0.5 * (low + high - min(all_at) - max(all_at)))
        else:
            middle = 0.5 * (low + high - min(all_at) - max(all_at))
            first, last = low - min(kept), high - max(kept)
            moved.append(min(max(middle, first), last) if first <= last else 0.5 * (first + last))
    x, y = view.at_paper
    return replace(view, at_paper=(x + moved[0], y + moved[1]))


def _on(at: tuple[float, float], room: Box) -> bool:
    return room[0] + 0.5 < at[0] < room[2] - 0.5 and room[1] + 0.5 < at[1] < room[3] - 0.5


def _ground(plan: Planned) -> Iterator[Item]:
    yield from (replace(line, key="") for line in area_lines(plan))
    for n, house in enumerate(plan.project.houses):
        yield Area(id=f"house-{n}", layer="house", rings=(house.outline_m,), fill="paper", hatch="house", pen="cut")


def _used(plan: Planned) -> dict[str, tuple[float, float]]:
    """Known corners that some peg or moved corner is taped from, or a check tape runs to."""
    card = plan.walls.setting_out
    banks = (one.peg for one in further_pegs(plan) if one.kind == "bank")
    names = {name for peg in (*card.points, *card.moved, *banks) for name in (peg.from_a, peg.from_b)}
    names |= {name for one in card.check_tapes for name in (one.from_point, one.to_point)}
    return {name: point for name, point in card.known_m if name in names}


def _corners(plan: Planned) -> Iterator[Item]:
    for n, (name, point) in enumerate(_used(plan).items()):
        yield Label(id=f"corner-{n}", layer="labels", anchor=(point,), lines=(printable(name),), h=2.5, weight="bold",
                    priority=1, role="water")  # fmt: skip


def _built(plan: Planned) -> Iterator[Item]:
    """Outlines of steps, outer lines of banks, and pipes without holes, so that their points are seen as theirs."""
    for flight in plan.terraces.flights:
        for tread in flight.treads:
            yield Line(id=f"tread-{tread.id}", layer="walls", pts=(*tread.outline_m, tread.outline_m[0]), pen="fine")
    for name, points in toe_lines(plan.walls):
        yield Line(id=f"bank-{name}", layer="bank", pts=points, pen="fine", role="earth")
    for name, points, _ in solid_lines(plan):
        yield Line(id=f"pipe-{name}", layer="water", pts=points, pen="fine", role="water")


def _all_pegs(plan: Planned) -> list[SettingPoint]:
    """Those of walls and of the area, then those of steps and pipes; of the drop zone its corners."""
    card = plan.walls.setting_out
    return [*card.points, *card.moved, *(one.peg for one in further_pegs(plan) if one.kind != "heap")]


def _pegs(pegs: Iterable[SettingPoint]) -> Iterator[Item]:
    """Pegs that stand in one spot share a label."""
    groups: list[list[SettingPoint]] = []
    for peg in pegs:
        near = next((group for group in groups if dist(group[0].point_m, peg.point_m) < _SAME_M), None)
        if near is None:
            groups.append([peg])
        else:
            near.append(peg)
    for n, group in enumerate(groups):
        yield Label(id=f"peg-{n}", layer="labels", anchor=(group[0].point_m,), style="spot",
                    lines=(", ".join(peg.id for peg in group),), h=2.5, weight="semibold", priority=0)  # fmt: skip


def _tapes(plan: Planned, figures: Figures) -> Iterable[Item]:
    """The two tapes of the peg farthest from its corners, as a pattern."""
    card = plan.walls.setting_out
    known = dict(card.known_m)
    pegs = card.points or [one.peg for one in further_pegs(plan) if one.kind == "bank"]
    peg = max(pegs, key=lambda one: (min(one.distance_a_m, one.distance_b_m), one.id))
    for letter, name, far in (("a", peg.from_a, peg.distance_a_m), ("b", peg.from_b, peg.distance_b_m)):
        if far < _SAME_M:
            continue
        line, dash = (known[name], peg.point_m), "hidden" if letter == "a" else "short"
        yield Line(id=f"tape-{letter}", layer="dimensions", pts=line, pen="fine", dash=dash, role="water")  # type: ignore[arg-type]
        yield Label(id=f"tape-{letter}-length", layer="labels", anchor=line, kind="line", role="water", h=2.5,
                    lines=(f"{peg.id}: {figures.timber(far)}",), weight="semibold", optional=True)  # fmt: skip


_PATTERN = {1: "One tape is drawn as a pattern. ", 2: "Two tapes are drawn as a pattern. "}


def _foot_lines(plan: Planned, paper: Paper) -> tuple[str, ...]:
    """What stands under the plan: where pegs stand, and what the names of other points mean that are on it."""
    names = [one.peg.id for one in further_pegs(plan) if one.kind != "heap"]
    there = {re.sub(r".*\.([ct])\d+$|^([A-Z]+).*", r"\1\2", name) for name in names}
    signs = [f"{_ENDS.get(sign, sign)}: {words}" for sign, words in _SIGNS if sign in there]
    said = " ".join(
        (*((PEGS,) if plan.walls.setting_out.points else ()), *((f"{'; '.join(signs)}.",) if signs else ()))
    )
    return tuple(wrap(said, paper.field[2] - paper.field[0] - 10.0, 2.5))


def _off_words(pegs: Iterable[SettingPoint]) -> str:
    """Points that lie past the edge of the paper, the first by name."""
    names = [peg.id for peg in pegs]
    if not names:
        return ""
    more = f" and {len(names) - _MOST_OFF} more" if len(names) > _MOST_OFF else ""
    return f" Past the edge of this sheet: {', '.join(names[:_MOST_OFF])}{more}; the card has them."


def _words(paper: Paper, units: System, shown: tuple[str, list[str]], notes: tuple[str, ...]) -> Iterator[Item]:
    """How tapes are held, over the plan; under it what its points are.

    Args:
        paper: the sheet.
        units: for the bar.
        shown: what stands over the plan, and names without room.
        notes: lines under the plan.
    """
    how, numbered = shown
    left, top, right, bottom = paper.field
    yield Text(id="head", layer="key", at=(left + 4.0, top + 9.5), text=TITLE.upper(), h=5.0, weight="bold")
    lines = wrap(how, right - left - 10.0, 2.5)
    for n, line in enumerate(lines):
        yield Text(id=f"how-{n}", layer="key", at=(left + 4.0, top + 15.5 + _LINE_MM * n), text=line, h=2.5)
    for n, line in enumerate(notes):
        y = bottom - 9.8 - _LINE_MM * (len(notes) - 1 - n)
        yield Text(id=f"note-{n}", layer="key", at=(left + 4.0, y), text=line, h=2.5)
    for n, line in enumerate(numbered):
        y = bottom - 9.8 - _LINE_MM * (len(notes) + len(numbered) - 1 - n)
        yield Text(id=f"numbered-{n}", layer="key", at=(left + 4.0, y), text=line, h=2.5, weight="semibold")
    long, said = (50.8, "2 in") if units == "us" else (40.0, "40 mm")
    yield Line(id="true", layer="key", pts=((left + 4.0, bottom - 5.0), (left + 4.0 + long, bottom - 5.0)), pen="cut")
    yield Text(id="true-words", layer="key", at=(left + 7.0 + long, bottom - 4.0), h=2.5,
               text=f"This bar is {said} long. If it is not, print again at 100 %.")  # fmt: skip
