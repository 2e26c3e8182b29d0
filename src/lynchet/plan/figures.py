"""The few figures by which people compare plans."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.core.findings import Verdict
from lynchet.plan.bed_area import plantable_m2
from lynchet.plan.model import Plan
from lynchet.works.model import Band


@dataclass(frozen=True)
class Figures:
    """One plan in a line."""

    verdict: Verdict
    stops: int
    """Findings that stop it."""
    walls: int
    """Lines on which a wall stands."""
    terraces: int
    beds: int
    """Level benches, parts of a terrace counted each."""
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
    """Level ground in the beds, without timber above it, path strips and steps; less of it is planted: the way from
    steps to steps and timber under the soil stay free."""
    price: float | None
    """Before tax, of what has a price; None where nothing has."""
    money: Band | None
    """The same, low, expected and high."""
    money_words: str
    """What is missing of it, in words."""
    currency: str
    days: int
    days_low: int
    days_high: int
    crew: int
    hours: Band
    """Person hours."""


def rounded_money(value: float) -> str:
    """Money in a band: two figures under a thousand, three above."""
    size = abs(value)
    step = 1.0 if size < 100 else 10.0 ** (len(str(int(size))) - (2 if size < 1000 else 3))
    return f"{round(value / step) * step:,.0f}"


def figures(plan: Plan) -> Figures:
    """The figures of a plan."""
    places = plan.stability.places
    account, works = plan.earth.account, plan.works
    return Figures(
        verdict=plan.verdict,
        stops=sum(finding.verdict is Verdict.STOP for finding in plan.findings),
        walls=sum(bool(leg.segments) for leg in plan.walls.legs),
        terraces=len(plan.terraces.levels_m),
        beds=len(plan.terraces.beds),
        highest_m=max((place.retained_m for place in places), default=0.0),
        highest_courses=max((place.courses for place in places), default=0),
        sticks=plan.timber.count,
        ties=len(plan.stability.ties),
        away_loose_m3=account.away_loose_m3,
        barrows=account.barrows,
        loads=account.loads,
        bed_m2=plantable_m2(plan),
        price=None if works.price.total is None else works.price.total.likely,
        money=works.price.total,
        money_words=works.price.words,
        currency=works.price.currency,
        days=works.programme.days,
        days_low=works.programme.days_low,
        days_high=works.programme.days_high,
        crew=works.programme.crew,
        hours=works.person_hours,
    )
