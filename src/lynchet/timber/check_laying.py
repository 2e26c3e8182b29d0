"""An independent test of where the joints of courses lie."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.courses import Rules, Span, Spans, Walls, spans_of
from lynchet.timber.cut_orders import units

FAULTS = ("order", "long", "short", "end", "forbidden", "offset")


def laying_faults(spans: Spans, joints: Sequence[Sequence[Sequence[int]]], rules: Rules) -> tuple[Counter[str], int]:
    """Faults by name and the number of pieces looked at.

    Args:
        spans: walls and courses.
        joints: stations by wall and course, as laid.
        rules: offset, shortest, longest piece, clearance from the ends; the grid is not looked at.
    """
    faults: Counter[str] = Counter()
    pieces = 0
    for wall, laid in zip(spans, joints, strict=True):
        below: Sequence[int] = ()
        for span, row in zip(wall, laid, strict=True):
            stations = [span.start, *row, span.end]
            if all(a < b for a, b in pairwise(stations)):
                lengths = [b - a for a, b in pairwise(stations)]
                pieces += len(lengths)
                faults += _course_faults(span, row, lengths, rules)
                faults["offset"] += sum(1 for x in below for y in row if abs(x - y) < rules.offset)
            else:
                faults["order"] += 1
            below = row
    return faults, pieces


def _course_faults(span: Span, row: Sequence[int], lengths: Sequence[int], rules: Rules) -> Counter[str]:
    near = [at for at in row if at - span.start < rules.end_clear or span.end - at < rules.end_clear]
    return Counter(
        long=sum(1 for length in lengths if length > rules.longest),
        short=sum(1 for length in lengths if length < rules.shortest),
        end=len(near),
        forbidden=sum(1 for at in row if span.forbids(at)),
    )


@dataclass(frozen=True)
class LayingCheck:
    """What is wrong with a laying."""

    legal: bool
    faults: list[str]
    fault_counts: list[int]
    pieces: int
    """Those of courses out of order left out."""


_SAID = {
    "order": "joints out of order, or not within their course", "long": "pieces longer than the longest",
    "short": "pieces shorter than the shortest", "end": "joints too near an end of their course",
    "forbidden": "joints in a forbidden place", "offset": "joints too near one in the course below",
}  # fmt: skip


def _laying_steps(given: Mapping[str, Any], result: LayingCheck) -> list[Step]:
    counts = dict(zip(result.faults, result.fault_counts, strict=True))
    return [Step(_SAID[name], "counted", counts.get(name, 0)) for name in FAULTS]


@calculator(
    source="Rules of laying: joints apart, pieces within limits",
    known="PRACTICE",
    example={
        "walls": [{"courses": [{"from_m": 0.0, "to_m": 6.0}, {"from_m": 0.0, "to_m": 6.0}]}],
        "joints_m": [[[2.4, 4.8], [1.2, 3.6]]],
        "offset_m": 0.6, "shortest_m": 1.2, "longest_m": 4.8,
    },
    working=_laying_steps,
    caution="Joints one above the other make a wall that opens like a gate.",
)  # fmt: skip
def check_laying(
    *,
    walls: Walls,
    joints_m: list[list[list[float]]],
    offset_m: NotNegative,
    shortest_m: Positive,
    longest_m: Positive,
    end_clear_m: NotNegative = 0.0,
) -> LayingCheck:
    """Test where the joints of courses lie against the rules of laying.

    Equation: joints rise strictly between the ends of their course (order; such a course is looked at no further, its
    joints still serve the next course); every piece from the shortest to the longest (short, long); every joint clear
    of both ends (end), not strictly inside a forbidden stretch (forbidden), and at least the offset from every joint of
    the course below in the same wall (offset).

    Symbols: stations along the wall; courses from the bottom up.

    Limits: compared in 0.01 mm; a distance equal to its limit is allowed. Counted once per course out of order, piece,
    joint or pair of joints.
    """
    refuse_if(
        units(longest_m) < units(shortest_m),
        "longest_m",
        f"longest {longest_m:g} m found",
        f"not below the shortest, {shortest_m:g} m",
    )
    spans = spans_of(walls)
    matching = [len(wall) for wall in spans] == [len(wall) for wall in joints_m]
    refuse_if(
        not matching, "joints_m", "joints that do not match the walls and courses found", "one list for each course"
    )
    joints = [[[units(at) for at in row] for row in wall] for wall in joints_m]
    rules = Rules(units(offset_m), units(shortest_m), units(longest_m), units(end_clear_m))
    counts, pieces = laying_faults(spans, joints, rules)
    found = [name for name in FAULTS if counts[name]]
    return LayingCheck(not found, found, [counts[name] for name in found], pieces)
