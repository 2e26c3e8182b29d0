"""A bend of 45 degrees, as of a corner cut off in equal parts, is one bend however the yard lies."""

from __future__ import annotations

from collections import Counter
from math import cos, sin

import pytest

from lawbook.case import plan
from yards import project_of, readings_over

CHAMFERED = [(0.0, 0.0), (6.0, 0.0), (6.0, 4.2), (5.2, 5.0), (0.0, 5.0)]


def _ends(turn: float, mirrored: bool) -> Counter[tuple[str, str]]:
    """How often runs end how, with the mitres of the short edge."""
    outline = CHAMFERED if not mirrored else [(-x, y) for x, y in reversed(CHAMFERED)]

    def at(point: tuple[float, float]) -> tuple[float, float]:
        x, y = point
        return round(x * cos(turn) - y * sin(turn), 5), round(x * sin(turn) + y * cos(turn), 5)

    def back(x: float, y: float) -> float:
        return 100.0 + 0.24 * (-x * sin(turn) + y * cos(turn))

    turned = [at(point) for point in outline]
    case = plan(*project_of(turned, readings_over(turned, back)))
    bent = [leg.id for leg in case.walls.legs if 1.0 < leg.length_m < 1.2]
    assert len(bent) == 1
    return Counter((end.kind, str(run.leg in bent)) for run in case.walls.runs for end in (run.start, run.end))


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_corner_cut_off_at_45_degrees_is_mitred_however_the_yard_lies(mirrored: bool) -> None:
    """Turned by any angle and rounded to a hundredth of a millimetre, the short edge is mitred and never lapped."""
    first = _ends(0.0, mirrored)
    assert first["mitre", "True"] > 2 and not first["lap", "True"] + first["butt", "True"]
    for turn in (0.2, 0.7853981634, 1.3, 2.1, 3.9, 5.5):
        assert _ends(turn, mirrored) == first
