"""How much work a plan may cost: an explicit input, so that every answer is complete and honest at its effort."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Effort:
    """Settings of the slow parts. A smaller effort gives wider bands and stated gaps, never missing parts."""

    name: Literal["live", "full"]
    drain_beam: int
    """Partial drain nets kept while pockets are joined, 1 or more."""
    slip_ends: int
    """Places tried for each end of a slip circle; from 44 the search is also finer in all else; with 10 or fewer the
    joints told are those of the weakest place of each leg alone (all are checked)."""
    cutting_work: int
    """Of exact cutting, counted in work done, so that a slow machine gives the same plan: nodes times entries of the
    matrix for each search (``timber.cut_work``); 0 = first-fit with its bound."""


LIVE = Effort("live", drain_beam=1, slip_ends=10, cutting_work=0)
FULL = Effort("full", drain_beam=6, slip_ends=44, cutting_work=2_000_000)


def effort_named(name: str) -> Effort:
    """LIVE or FULL by name."""
    return {"live": LIVE, "full": FULL}[name]
