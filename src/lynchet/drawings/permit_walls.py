"""Permit sheet 2: the walls as seen from below, both heights of each, tiers together, and the rules as counted."""

from __future__ import annotations

from collections.abc import Callable

from lynchet.core.findings import Verdict
from lynchet.drawings import key
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Item, Line, Sheet, View
from lynchet.drawings.page import Page
from lynchet.drawings.page_parts import (
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
from lynchet.drawings.permit_heights import Heights, wall_heights
from lynchet.drawings.permit_page import UNDER_FLAG, Told, permit_page, permit_paper, room
from lynchet.drawings.permit_rows import WallTable, compared, wall_rows
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.strip import Column, KeyEntry

TITLE = "Permit 2: heights"
Rules = tuple[list[tuple[str, ...]], str]
"""Rows of the rules, and what is said under them."""
Way = tuple[WallTable, Rules]
"""A way to fill the page."""
_OVER = " OVER"
_LOAD = " LOAD"
_LOAD_WORDS = "LOAD: under the limit, but the rule also asks where a load stands on the ground above a wall, here {}."
_LEAST_MM = 26.0
_BESIDE_MM = 40.0
"""Beside the picture, left and right together, for names that run on past its end."""
_UNDER_MM = 6.0
_LARGEST = {"metric": 20, "us": 24}
_MEASURES = {"retained": "ground held", "exposed": "timber seen", "base_to_top": "lowest timber to top"}
_ADDED = {"never": "each alone", "always": "tiers added", "setback": "near tiers added"}
_RULES = (Column("rule", 0.36, "l"), Column("what is counted", 0.28, "l"), Column("of", 0.12), Column("limit", 0.10),
          Column("here", 0.14))  # fmt: skip
_SEEN = "Seen from the low side, looking up the slope. At each name: timber seen / lowest timber to top."
_HOW = "Both heights are the greatest along the wall. Walls that run away from you stand below the picture only."


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
    entries = (*key.entries(_marks(plan, figures), figures), _BURIED)
    others = key_height(side, entries, 3) + para_height(side, _HOW) + 20.0

    def free(way: Way) -> float:
        walls, (some, said) = way
        taken = walls.high_mm(side) + para_height(side, said) + table_height(side, _RULES, some)
        return bottom - y - others - taken

    walls, (rules, asked) = _way(plan, figures, found, free)
    below = bottom - y - free((walls, (rules, asked)))
    view = _view(plan, figures, (left - 5.0, y, right + 5.0, max(y + _LEAST_MM + name_rows_mm(plan), bottom - below)))
    y = key_columns(page, side, view.region[3] + 1.0, entries, 3)
    y = para(page, side, y, _HOW)
    y = section(page, side, y, "Heights of the walls, the lowest first")
    y = walls.set_on(page, side, y)
    y = section(page, side, y, "As the rules count them")
    y = table(page, (side, y), _RULES, rules)
    para(page, side, y, asked, "ink" if plan.project.place.known and not _stopped(plan) else "warn")
    alt = f"Walls seen from the low side; {len(found.stack)} stand one above the other."
    notes = tuple(f"not in the table: {' '.join(row)}" for row in walls.left_out)
    return permit_page(plan, stamp, Told(2, TITLE, (view,), page, alt, notes))


def _way(plan: Planned, figures: Figures, found: Heights, free: Callable[[Way], float]) -> Way:
    """Fill the page so that every wall has its row and the picture its least height, then is as large as may be.

    First with the walls in one column, then in two; where the place's rules are not known with all samples, then with
    those that are reached; only where that is not enough without some walls.
    """
    rows, rules = wall_rows(found, figures), (_rule_rows(plan, found, figures), _asked(plan))
    told = [rules] if plan.project.place.known else [rules, _reached(*rules)]
    least = _LEAST_MM + name_rows_mm(plan)
    for double in (False, True):
        ways = [(WallTable(rows, double), some) for some in told]
        fitting = [way for way in ways if free(way) >= least]
        if fitting:
            scales = [_scale(plan, figures, free(way)) for way in fitting]
            return fitting[scales.index(min(scales))]
    walls, some = ways[-1]
    kept = compared(found, [leg for check in plan.stability.heights for leg in check.counted])
    while len(walls.rows) > 1 and free((walls, some)) < least:
        walls = walls.without(kept)
    return walls, some


def _scale(plan: Planned, figures: Figures, high_mm: float) -> int:
    """The largest scale the width allows and the room left, names counted."""
    (left, _, right, _), low_high = room(permit_paper(plan)), elevation_box(plan)
    low, high = low_high
    inner = (right - left + 10.0 - _BESIDE_MM, max(20.0, high_mm - name_rows_mm(plan) - _UNDER_MM))
    return largest_scale((high[0] - low[0], high[1] - low[1]), inner, figures.system, _LARGEST[figures.system])


def _reached(rules: list[tuple[str, ...]], asked: str) -> Rules:
    """Only the samples that are reached, where the page is full, and how many others were looked at."""
    kept = [row for row in rules if row[-1].endswith((_OVER, _LOAD))]
    gone = len(rules) - len(kept)
    return kept, f"{asked} {gone} more {'is' if gone == 1 else 'are'} not reached." if gone else asked


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


def _rule_rows(plan: Planned, found: Heights, figures: Figures) -> list[tuple[str, ...]]:
    added = {rule.name: rule.tiers_add for rule in plan.project.place.heights}
    rows: list[tuple[str, ...]] = []
    for check in plan.stability.heights:
        why = (_LOAD if check.loaded else _OVER) if check.triggered else ""
        here = f"{figures.height(check.height_m)}{why}"
        rows.append((printable(check.rule), f"{_MEASURES[check.measure]}, {_ADDED[added.get(check.rule, 'never')]}",
                     _of_walls(check.counted, found), figures.height(check.limit_m), here))  # fmt: skip
    return rows


def _of_walls(counted: tuple[str, ...], found: Heights) -> str:
    """The walls a height is of: by name, or as the table sums them, or the first and the last of the stack."""
    if len(counted) == len(found.stack) > 1:
        return "sum of tiers"
    return ", ".join(counted) if len(counted) < 3 else f"{counted[0]} to {counted[-1]}, {len(counted)} walls"


def _asked(plan: Planned) -> str:
    flag = f"{UNDER_FLAG} " if _stopped(plan) else ""
    loaded = dict.fromkeys(leg for check in plan.stability.heights for leg in check.loaded)
    load = f" {_LOAD_WORDS.format(', '.join(loaded))}" if loaded else ""
    return f"{flag}{_rules_words(plan)}{load}"


def _rules_words(plan: Planned) -> str:
    if plan.project.place.known:
        return "The rules are those written in the project file; the office has the last word."
    return (
        "The rules of this place are not known here: samples from elsewhere, the strictest, as questions to the "
        "office, never law."
    )
