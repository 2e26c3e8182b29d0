"""The few figures by which people compare plans."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.core.findings import Verdict
from lynchet.plan.model import Plan


@dataclass(frozen=True)
class Figures:
    """One plan in a line."""

    verdict: Verdict
    stops: int
    """Findings that stop it."""
    walls: int
    """Lines on which a wall stands."""
    terraces: int
    highest_m: float
    """Greatest difference of level any wall holds."""
    highest_courses: int
    sticks: int
    ties: int
    away_loose_m3: float
    """Negative where soil must be brought in."""
    barrows: int
    loads: int
    bed_m2: float
    price: float | None


def figures(plan: Plan) -> Figures:
    """The figures of a plan."""
    places = plan.stability.places
    account = plan.earth.account
    return Figures(
        verdict=plan.verdict,
        stops=sum(finding.verdict is Verdict.STOP for finding in plan.findings),
        walls=sum(bool(leg.segments) for leg in plan.walls.legs),
        terraces=len(plan.terraces.levels_m),
        highest_m=max((place.retained_m for place in places), default=0.0),
        highest_courses=max((place.courses for place in places), default=0),
        sticks=plan.timber.count,
        ties=len(plan.stability.ties),
        away_loose_m3=account.away_loose_m3,
        barrows=account.barrows,
        loads=account.loads,
        bed_m2=sum(face.area_m2 for face in plan.terraces.beds),
        price=plan.timber.price,
    )
