"""A notch in timber that stands is asked about, unless it was built open."""

from __future__ import annotations

from demo_plans import demo
from lynchet.core.findings import Verdict
from lynchet.core.standing import LegStanding, Standing
from lynchet.plan.notches_sawn import sawn_findings


def test_a_notch_through_standing_timber_is_asked_about() -> None:
    """Every wall of the L garden with a notch stands to its top: with joints at both ends of each notch it was built
    open and nothing is said; with joints elsewhere each notch is a question about its wall."""
    plan = demo("l_garden")
    notches = plan.water.notches
    assert notches

    def _said(off_m: float) -> list[str]:
        legs = []
        for leg in plan.walls.legs:
            own = [notch for notch in notches if notch.leg == leg.id]
            tops = [segment.top for segment in leg.segments]
            if own and tops:
                cuts = tuple((course, tuple(end + off_m for notch in own for end in notch.stations_m))
                             for course in range(leg.lowest_course, max(tops) + 1))  # fmt: skip
                legs.append(LegStanding(leg.id, built=max(tops), cuts=cuts))
        found = sawn_findings(plan.project, plan.walls, plan.water, Standing(tuple(legs)))
        assert all(one.verdict is Verdict.ASK and "saw" in one.text for one in found)
        return sorted(one.place for one in found)

    assert _said(0.0) == []
    assert _said(0.4) == sorted(notch.leg for notch in notches)
    assert sawn_findings(plan.project, plan.walls, plan.water, Standing()) == []
