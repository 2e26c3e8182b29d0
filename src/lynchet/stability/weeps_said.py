"""Weep holes in words: how many there are and where none is counted, and what would hold were they blocked too."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from lynchet.core.findings import Finding, Verdict
from lynchet.stability.checks import check
from lynchet.stability.model import CASES, WEEP_BORE_M, Place
from lynchet.stability.places import Yard, blocked
from lynchet.stability.spread import spread
from lynchet.stability.thresholds import SHUT_CASES
from lynchet.stability.words import Word
from lynchet.units.format import small

SOURCE = "PRACTICE: bore, spacing and care of weep holes"
_APART = {"metric": "1.2 m", "us": "4 ft"}
_SHUT = [CASES.index(case) for case in SHUT_CASES]


def rests_on_holes(word: Word) -> bool:
    """Whether a word on a wall is one that its weep holes are told beside."""
    watched = word.case in SHUT_CASES and word.verdict is Verdict.WATCH
    return watched and word.place.weep_m is not None and word.row >= 0


def blocked_factors(yard: Yard, places: Sequence[Place], words: Iterable[Word]) -> Mapping[tuple[str, str], float]:
    """The least of what holds over what pushes with an outlet shut on each wall that rests on weep holes, those shut
    too; by wall and case.

    Args:
        yard: the earlier results.
        places: of all walls.
        words: on the walls.
    """
    legs = {word.place.leg for word in words if rests_on_holes(word)}
    if not legs:
        return {}
    found = blocked(yard, [place for place in places if place.leg in legs])
    table = spread(check(yard.project, found), found)
    least = np.minimum(table.sliding, table.overturning)
    rows = np.flatnonzero(np.isin(table.case, _SHUT))
    factors: dict[tuple[str, str], float] = {}
    for place, case, factor in zip(*(one[rows].tolist() for one in (table.place, table.case, least)), strict=True):
        key = found[place].leg, CASES[case]
        factors[key] = min(factor, factors.get(key, factor))
    return factors


def weep_findings(yard: Yard) -> list[Finding]:
    """Where holes are bored, and along which walls they find no place; nothing where the file asks for none."""
    if not yard.project.brief.weeps:
        return []
    units, counts = yard.project.units, Counter(hole.leg for hole in yard.weeps.holes)
    bare = yard.weeps.bare
    text = ""
    if counts:
        walls = ", ".join(f"{leg} ({count})" for leg, count in sorted(counts.items()))
        text = (
            f"Weep holes of {small(WEEP_BORE_M, units)}, bored through the lowest timber seen over the ground, "
            f"at most {_APART[units]} apart, let water out where a drain is shut: walls "
            f"{walls}. The checks with an outlet shut count on them there: keep them open, rinse them each year."
        )
        stands = yard.walls.standing.stands
        old = {hole.leg for hole in yard.weeps.holes if stands(hole.leg, hole.course, hole.station_m)}
        if old:
            text += f" In timber that stands ({', '.join(sorted(old))}) bore them now where none is yet."
    if bare:
        text += (
            f" {'On parts of' if counts else 'On'} {', '.join(bare)} weep holes find no place (too little of the wall "
            "is seen, the stone behind ends lower, a lap, a step or an outlet is too near, or soil of a bank lies "
            "before it): there none is counted."
        )
    if not text:
        return []
    return [Finding("stability.weeps", Verdict.OK, text.strip(), place="site", source=SOURCE)]
