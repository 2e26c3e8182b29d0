"""The permit sheets of a plan: three at most, a set of their own."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.drawings.model import Sheet
from lynchet.drawings.permit_asks import permit_asks
from lynchet.drawings.permit_page import IDS
from lynchet.drawings.permit_plan import permit_plan
from lynchet.drawings.permit_walls import permit_walls
from lynchet.drawings.source import Planned
from lynchet.drawings.stamp import Stamp


def permit_sheet_names(plan: Planned) -> tuple[str, ...]:
    """Their names; none where no wall stands."""
    return IDS if plan.walls.runs else ()


def permit_sheets(plan: Planned, stamp: Stamp) -> Iterator[Sheet]:
    """Plan with distances, heights, section with what is asked of the office; numbered 1 to 3 of their own set.

    Args:
        plan: what is shown.
        stamp: firm, date, issue.
    """
    if permit_sheet_names(plan):
        yield permit_plan(plan, stamp)
        yield permit_walls(plan, stamp)
        yield permit_asks(plan, stamp)
