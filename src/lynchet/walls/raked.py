"""Soil at the edge of a bed with no timber before it: too short and low for a wall, raked to a slope."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from lynchet.core.findings import Finding, Verdict
from lynchet.core.intervals import Interval, joined, without
from lynchet.terraces.model import WallLine
from lynchet.terraces.worth_a_wall import LEAST_M
from lynchet.units.format import DIGGING
from lynchet.units.format import length as length_text
from lynchet.units.format import small as small_text
from lynchet.units.measures import System
from lynchet.walls.model import Leg, Run
from lynchet.walls.seen import FROM_LEFT, Seen
from lynchet.walls.stretches import differs

_LEAST_LONG_M = 0.02
"""A stretch shorter than this is none."""


def raked_findings(
    lines: Iterable[WallLine], legs: Mapping[str, Leg], runs: Sequence[Run], seen: Mapping[str, Seen], units: System
) -> list[Finding]:
    """Stretches of the lines of walls beside which the levels differ and nothing stands, line by line.

    Args:
        lines: wall lines; open edges, banks and houses have findings of their own.
        legs: what is built on them, by id.
        runs: all timber.
        seen: every wall from its low side.
        units: to write lengths in.
    """
    found = []
    for line in lines:
        if line.finish == "wall":
            leg = legs[line.id]
            bare = _bare(leg, [run for run in runs if run.leg == leg.id])
            found += [_finding(leg, bare, seen[leg.id], units)] if bare else []
    return found


def _bare(leg: Leg, runs: Iterable[Run]) -> list[Interval]:
    """Where the levels differ by more than the rake takes up and no timber of the line stands."""
    built = [(segment.start_m, segment.end_m) for segment in leg.segments]
    built += [(min(ends), max(ends)) for run in runs for ends in (run.outer_m, run.inner_m)]
    parts = [part for span in leg.spans if (part := differs(span, LEAST_M))]
    return [part for part in without(joined(parts, 1e-9), joined(built, 1e-9)) if part[1] - part[0] > _LEAST_LONG_M]


def _finding(leg: Leg, bare: Sequence[Interval], seen: Seen, units: System) -> Finding:
    worst = max(_worst_m(leg, part) for part in bare)
    text = (
        f"Soil stands up to {small_text(worst, units)} high without timber at wall {leg.id}, "
        f"{_where(bare, seen, units)}: too short and low for a wall of its own. Rake it to 1 in 2, and keep it planted "
        "or mulched."
    )
    return Finding("walls.raked", Verdict.WATCH, text, leg.id, demand=worst, capacity=LEAST_M, unit="m",
                   source="PRACTICE", cause="walls.raked")  # fmt: skip


def _worst_m(leg: Leg, part: Interval) -> float:
    """Greatest difference of levels along a stretch: levels are straight along each span."""
    start, end = part
    ends = [(span, max(start, span.start_m), min(end, span.end_m)) for span in leg.spans]
    return max(
        abs(left - right) for span, a, b in ends if b > a for left, right in (span.levels_at(a), span.levels_at(b))
    )


def _where(bare: Sequence[Interval], seen: Seen, units: System) -> str:
    """Stretches as one stands before the wall."""
    found = []
    for low, high in sorted(seen.span(*part) for part in bare):
        size = length_text(high - low, units, DIGGING)
        if high <= _LEAST_LONG_M:
            found.append(f"over {size} beside its left end")
        elif low >= seen.end_m - seen.start_m - _LEAST_LONG_M:
            found.append(f"over {size} beside its right end")
        else:
            ends = length_text(max(low, 0.0), units, DIGGING), length_text(high, units, DIGGING)
            found.append(f"from {ends[0]} to {ends[1]} {FROM_LEFT}")
    return " and ".join(found)
