"""A plan: everything computed for one project, in frozen results."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from functools import cached_property
from math import inf

from lynchet.core.findings import Finding, Verdict, worst
from lynchet.core.standing import Standing
from lynchet.earth.model import Earth
from lynchet.ground.model import Ground
from lynchet.plan.effort import Effort
from lynchet.plan.of_use import of_use
from lynchet.planting.model import Planted
from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.stability.thresholds import STANDS
from lynchet.terraces.model import Terraces
from lynchet.timber.model import Timber
from lynchet.walls.model import Piece, Walls
from lynchet.water.model import Water
from lynchet.works.model import Works

DAY_SHEETS = "day-sheets"
STOPPED_SHEETS = ("cut-sheet", DAY_SHEETS)
"""What any stop keeps back, and any question that changes lengths."""


@dataclass(frozen=True)
class Plan:
    """What the pipeline gives. Outer rooms read it and compute nothing of the trade."""

    project: Project
    standing: Standing
    effort: Effort
    ground: Ground
    terraces: Terraces
    walls: Walls
    water: Water
    stability: Stability
    pieces: tuple[Piece, ...]
    earth: Earth
    timber: Timber
    planted: Planted
    works: Works
    clashes: tuple[Finding, ...]
    joint_findings: tuple[Finding, ...]
    """What laying the pieces had to give up (a shorter joint offset)."""
    standing_findings: tuple[Finding, ...] = ()
    """What of the file's standing walls cannot be kept, or is out of level."""

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Every finding of every stage that has a use, the worst first; within a verdict in the order of the stages."""
        found = [
            *self.ground.findings,
            *self.terraces.findings,
            *self.standing_findings,
            *self.walls.findings,
            *self.water.findings,
            *self.stability.findings,
            *self.clashes,
            *self.joint_findings,
            *self.earth.findings,
            *self.timber.findings,
            *self.planted.findings,
            *self.works.findings,
        ]
        used = of_use(self.project, self.planted, found)
        return tuple(sorted(used, key=lambda finding: -int(finding.verdict)))

    @property
    def verdict(self) -> Verdict:
        """The word on the whole plan."""
        return worst(self.findings)

    @property
    def top(self) -> tuple[tuple[Finding, int], ...]:
        """Five findings at most, one for each cause, the worst first, each with how many places share its cause.

        A cause is told by its worst place: of equal verdicts the one whose factor is smallest. A wall that what pushes
        overcomes goes before other causes of its verdict, and is left out for no cause that is not a stop.
        """
        groups: dict[str, list[Finding]] = {}
        for finding in self.findings:
            if finding.verdict is not Verdict.OK:
                groups.setdefault(finding.cause or finding.code, []).append(finding)
        told = [(min(group, key=_badness), len(group)) for group in groups.values()]
        kept = sorted(told, key=lambda one: (one[0].verdict < Verdict.STOP, not _falls(one[0]), *_rank(one[0])))[:5]
        return tuple(sorted(kept, key=lambda one: _rank(one[0])))

    @property
    def withheld(self) -> dict[str, tuple[str, ...]]:
        """Sheets kept back, each with the places whose findings keep it back; "all" = everything to build from.

        Any stop keeps back the day sheets with the cut sheet: they tell people to build what does not stand. So does a
        question that keeps back the cut sheet: they name its pieces.
        """
        found: dict[str, list[str]] = {}
        legs = {leg.id for leg in self.walls.legs}
        for finding in self.findings:
            more = STOPPED_SHEETS if finding.verdict is Verdict.STOP or "cut-sheet" in finding.withholds else ()
            for sheet in (*finding.withholds, *more):
                places = found.setdefault(sheet, [])
                place = said_place(finding.place, legs)
                if place not in places:
                    places.append(place)
        return {sheet: tuple(places) for sheet, places in found.items()}

    @property
    def refused(self) -> bool:
        """True where the yard could not be laid out at all."""
        return self.terraces.refused


_CUT_OPEN = ("standing.notch_sawn", "standing.notch_asked")


def said_place(place: str, legs: Set[str]) -> str:
    """A place in a name that sheets use: of a part of a drain or of stone the wall it belongs to, of a flight that
    finds no room the wall it was to climb."""
    if "@" in place:
        return f"steps over {place.partition('@')[2]}"
    parts = place.split("/")
    whole = (name for part in parts for name in (part, part.partition(".")[0]) if name in legs)
    return place if len(parts) == 1 else next(whole, parts[0])


def _falls(finding: Finding) -> bool:
    """Whether a wall gives way by the sum itself: what holds is less than what pushes."""
    return finding.code.startswith("stability.") and finding.ratio is not None and finding.ratio < STANDS


def _rank(finding: Finding) -> tuple[int, float]:
    """By verdict, walls that give way first, the worst of them before the others, then what cuts into timber that
    stands; the rest in the order found."""
    if _falls(finding):
        return -int(finding.verdict), finding.ratio or 0.0
    return -int(finding.verdict), STANDS + 1.0 if finding.code in _CUT_OPEN else inf


def _badness(finding: Finding) -> tuple[int, float]:
    """Worst first: by verdict, then by what a factor leaves."""
    return -int(finding.verdict), inf if finding.ratio is None else finding.ratio
