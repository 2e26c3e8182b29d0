"""Permit sheet 2: the walls as seen from below, both heights of each, tiers together, and the rules as counted."""

from __future__ import annotations

from math import ceil

from lynchet.core.findings import Verdict
from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Item, Line, Sheet, View
from lynchet.drawings.page import Page
from lynchet.drawings.page_parts import (
    ROW_MM,
    headline,
    key_columns,
    key_height,
    para,
    para_height,
    section,
    table,
    table_height,
)
from lynchet.drawings.paper import Box, largest_scale
from lynchet.drawings.permit_elevation import elevation_box, elevation_items, name_rows_mm
from lynchet.drawings.permit_heights import Heights, WallHeight, wall_heights
from lynchet.drawings.permit_page import UNDER_FLAG, Told, permit_page, permit_paper, room
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, KeyEntry

TITLE = "Permit 2: heights"
_SUM = "sum of tiers"
_OVER = " OVER"
_LEAST_MM = 26.0
_BESIDE_MM = 40.0
"""Beside the picture, left and right together, for names that run on past its end."""
_UNDER_MM = 6.0
_LARGEST = {"metric": 20, "us": 24}
_MEASURES = {"retained": "ground held", "exposed": "timber seen", "base_to_top": "lowest timber to top"}
_ADDED = {"never": "each alone", "always": "tiers added", "setback": "near tiers added"}
_WALLS = (Column("wall", 0.18, "l"), Column("top at", 0.14), Column("ground held", 0.15), Column("timber seen", 0.16),
          Column("lowest timber to top", 0.20), Column("from wall below", 0.17))  # fmt: skip
_RULES = (Column("rule", 0.43, "l"), Column("what is counted", 0.31, "l"), Column("limit", 0.11),
          Column("here", 0.15))  # fmt: skip
_SEEN = "Seen from the low side, looking up the slope. At each name: timber seen / lowest timber to top."
_HOW = "Both heights are the greatest along the wall. Walls that run away from you stand in the table only."


def _dashes(x: float, y: float) -> list[Item]:
    pts = ((x - 8.0, y - 1.5), (x - 8.0, y + 1.0), (x + 8.0, y + 1.0), (x + 8.0, y - 1.5))
    return [Line(id="key-buried", layer="key", pts=pts, pen="fine", dash="short")]


_BURIED = KeyEntry("buried timber", "underside of the lowest timber, in the ground", _dashes)


def permit_walls(plan: Planned, stamp: Stamp) -> Sheet:
    """Sheet 2 of the set.

    Args:
        plan: what is shown.
        stamp: firm, date, issue.
    """
    figures, page, found = Figures(plan.project.units), Page(), wall_heights(plan)
    left, top, right, bottom = room(permit_paper(plan))
    side = (left, right)
    y = headline(page, side, top, "Permit sheet 2: heights of the walls", _SEEN)
    rows, rules, asked = _wall_rows(found, figures), _rule_rows(plan, figures), _asked(plan)
    entries = (*key.entries(_marks(plan, figures), figures), _BURIED)
    told = key_height(side, entries, 3) + para_height(side, _HOW) + 20.0 + table_height(side, _WALLS, rows)
    ways = [(rules, asked)] if plan.project.place.known else [(rules, asked), _reached(rules, asked)]
    free = [bottom - y - told - para_height(side, said) - table_height(side, _RULES, some) for some, said in ways]
    at = _fuller(plan, figures, free)
    (rules, asked), below = ways[at], bottom - y - free[at]
    view = _view(plan, figures, (left - 5.0, y, right + 5.0, max(y + _LEAST_MM + name_rows_mm(plan), bottom - below)))
    over = view.region[3] + below - bottom
    rows, notes = _fitting(rows, over)
    y = key_columns(page, side, view.region[3] + 1.0, entries, 3)
    y = para(page, side, y, _HOW)
    y = section(page, side, y, "Heights of the walls, the lowest first")
    y = table(page, (side, y), _WALLS, rows, next((n for n, row in enumerate(rows) if row[0] == _SUM), None))
    y = section(page, side, y, "As the rules count them")
    y = table(page, (side, y), _RULES, rules)
    para(page, side, y, asked, "ink" if plan.project.place.known and not _stopped(plan) else "warn")
    alt = f"Walls seen from the low side; {len(found.stack)} stand one above the other."
    return permit_page(plan, stamp, Told(2, TITLE, (view,), page, alt, notes))


def _fuller(plan: Planned, figures: Figures, free_mm: list[float]) -> int:
    """Of ways to fill the page, by what each leaves for the picture: the first that lets it be as large as any does."""
    scales = [_scale(plan, figures, room) for room in free_mm]
    return scales.index(min(scales))


def _scale(plan: Planned, figures: Figures, high_mm: float) -> int:
    """The largest scale the width allows and the room left, names counted."""
    (left, _, right, _), low_high = room(permit_paper(plan)), elevation_box(plan)
    low, high = low_high
    inner = (right - left + 10.0 - _BESIDE_MM, max(20.0, high_mm - name_rows_mm(plan) - _UNDER_MM))
    return largest_scale((high[0] - low[0], high[1] - low[1]), inner, figures.system, _LARGEST[figures.system])


def _reached(rules: list[tuple[str, ...]], asked: str) -> tuple[list[tuple[str, ...]], str]:
    """Only the samples that are reached, where the page is full, and how many others were looked at."""
    kept = [row for row in rules if row[-1].endswith(_OVER)]
    gone = len(rules) - len(kept)
    return kept, f"{asked} {gone} more {'is' if gone == 1 else 'are'} not reached." if gone else asked


def _fitting(rows: list[tuple[str, ...]], over_mm: float) -> tuple[list[tuple[str, ...]], tuple[str, ...]]:
    """The rows that fit where the page is over full, and the others as notes."""
    if over_mm <= 0:
        return rows, ()
    spare = ceil(over_mm / ROW_MM) + 1
    total = next((n for n, row in enumerate(rows) if row[0] == _SUM), -1)
    # From the end on, but never the sum.
    gone = [n for n in range(len(rows) - 1, 0, -1) if n != total][:spare]
    notes = tuple(f"not on the sheet: {' '.join(rows[n])}" for n in sorted(gone))
    kept = [row for n, row in enumerate(rows) if n not in gone]
    return [*kept, (f"{len(gone)} more", *[""] * (len(_WALLS) - 1))], notes


def _marks(plan: Planned, figures: Figures) -> list[Item]:
    return list(elevation_items(plan, figures, 100))


def _stopped(plan: Planned) -> bool:
    return any(finding.verdict is Verdict.STOP for finding in plan.findings)


def _view(plan: Planned, figures: Figures, box: Box) -> View:
    low, high = elevation_box(plan)
    size = (high[0] - low[0], high[1] - low[1])
    head = name_rows_mm(plan)
    scale = _scale(plan, figures, box[3] - box[1])
    k = 1000.0 / scale
    foot = box[1] + head + 3.0 + size[1] * k
    region = (box[0] + 4.5, box[1], box[2] - 4.5, foot + 4.0)
    at = ((box[0] + box[2]) / 2 - size[0] * k / 2 - 8.0, foot)
    items = tuple(elevation_items(plan, figures, scale))
    return View("walls", "elevation", scale, items, region, "Walls from the low side", low, at, alt="elevation")


def _wall_rows(found: Heights, figures: Figures) -> list[tuple[str, ...]]:
    """A row for each wall: those of the stack, their sums, the others."""
    rows = [_row(wall, figures) for wall in found.stack]
    if len(found.stack) > 1:
        heights = (figures.height(value) for value in (found.held_m, found.seen_m, found.whole_m))
        rows.append((_SUM, "", *heights, f"{len(found.stack)} walls"))
    return rows + [_row(wall, figures, "not added" if len(rows) > 1 else "") for wall in found.others]


def _row(wall: WallHeight, figures: Figures, else_said: str = "") -> tuple[str, ...]:
    apart = figures.words(wall.setback_m) if wall.setback_m is not None else else_said
    return (
        wall.leg,
        figures.level(wall.top_m),
        figures.height(wall.held_m),
        figures.height(wall.seen_m),
        figures.height(wall.whole_m),
        apart,
    )


def _rule_rows(plan: Planned, figures: Figures) -> list[tuple[str, ...]]:
    added = {rule.name: rule.tiers_add for rule in plan.project.place.heights}
    rows: list[tuple[str, ...]] = []
    for check in plan.stability.heights:
        here = f"{figures.height(check.height_m)}{_OVER if check.triggered else ''}"
        rows.append((printable(check.rule), f"{_MEASURES[check.measure]}, {_ADDED[added.get(check.rule, 'never')]}",
                     figures.height(check.limit_m), here))  # fmt: skip
    return rows


def _asked(plan: Planned) -> str:
    flag = f"{UNDER_FLAG} " if _stopped(plan) else ""
    return flag + _rules_words(plan)


def _rules_words(plan: Planned) -> str:
    if plan.project.place.known:
        return "The rules are those written in the project file; the office has the last word."
    return (
        "The rules of this place are not known here: samples from elsewhere, the strictest, as questions to the "
        "office, never law."
    )
