"""Sticks cut so near to their length that a split end cannot be sawn off."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.timber.model import Stick
from lynchet.units.format import small
from lynchet.units.measures import System

TIGHT_M = {"metric": 0.015, "us": 0.015875}
"""15 mm, 5/8 in: what a split or crooked end takes at least. PRACTICE."""


def tight_count(sticks: Sequence[Stick], system: System) -> int:
    """Sticks of which no more than that is left over once all is cut from them."""
    return sum(stick.offcut_m <= TIGHT_M[system] + 1e-6 for stick in sticks)


def no_spare_words(sticks: Sequence[Stick], system: System) -> str:
    """What to know before timber is ordered: no stick is counted beyond those cut; empty where none is cut."""
    if not sticks:
        return ""
    tight, count = tight_count(sticks, system), len(sticks)
    said = "No spare stick is counted. "
    if tight:
        told = "is cut to within {} of its" if tight == 1 else "are cut to within {} of their"
        of = f"{tight} of {count} stick{'s' if count > 1 else ''} {told.format(small(TIGHT_M[system], system))} length"
        said += f"{of}: one split end stops work. "
    return said + (
        "Buy one more of the longest, or set `end_trim` under [[timber]] to what is sawn off every stick before it is "
        "measured."
    )
