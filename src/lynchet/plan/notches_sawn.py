"""Notches for pipes in timber that stands already: sawn on site, not laid open."""

from __future__ import annotations

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.standing import Standing
from lynchet.project.model import Project
from lynchet.units.format import length
from lynchet.walls.model import Walls
from lynchet.walls.seen import FROM_LEFT, all_seen
from lynchet.water.model import Notch, Water

_SAME_M = 0.05
"""Joints of the file nearer to the ends of a notch than this are that notch, built before. PRACTICE."""


def sawn_findings(project: Project, walls: Walls, water: Water, standing: Standing) -> list[Finding]:
    """A question for every notch that must be sawn into timber that stands; none for one that was built open.

    Args:
        project: the file.
        walls: what is built.
        water: its notches.
        standing: what stands, with its joints where the file gives them.
    """
    if not standing.any_stands:
        return []
    seen = all_seen(walls.legs, walls.runs, mirrored=project.frame.mirrored)
    found = []
    for notch in water.notches:
        sawn = [course for course in notch.courses if _through(standing, notch, course)]
        if sawn:
            at = length(seen[notch.leg].along(notch.station_m), project.units)
            wide = length(notch.width_m, project.units)
            text = (
                f"The pipe of drain {notch.drain} leaves through timber of wall {notch.leg} that stands: a notch "
                f"{wide} wide would be sawn into {len(sawn)} course{'s' if len(sawn) > 1 else ''} of it, {at} "
                f"{FROM_LEFT}. Ask before you saw: what stands loses its hold there; treat the cut ends and pin both "
                "sides."
            )
            cure = Cure(
                "other-outlet", "another way out for that drain (`outlet` under [drain]), past the end of the wall"
            )
            found.append(Finding("standing.notch_sawn", Verdict.ASK, text, notch.leg, source="PRACTICE", ask="engineer",
                                 cures=(cure,), cause="standing.notch_sawn"))  # fmt: skip
    return found


def _through(standing: Standing, notch: Notch, course: int) -> bool:
    """Whether timber of a course stands where a notch comes and is not open there by its joints."""
    if not standing.stands(notch.leg, course, notch.station_m):
        return False
    joints = standing.cuts(notch.leg, course) or ()
    return not all(any(abs(joint - end) <= _SAME_M for joint in joints) for end in notch.stations_m)
