"""A plan in the figures by which schemes are compared."""

from __future__ import annotations

import re

from lynchet.core.findings import Verdict
from lynchet.plan.bed_area import plantable_m2
from lynchet.plan.figures import figures
from lynchet.plan.model import Plan
from lynchet.schemes.model import Row, Span

LONG = 220
"""Characters of a reason that are shown whole."""


def row_of(plan: Plan) -> Row:
    """The figures of a plan."""
    found, account = figures(plan), plan.earth.account
    cost, words, hours = works_of(plan)
    gravest = next((finding for finding, _ in plan.top), None)
    return Row(
        verdict=plan.verdict,
        reason=_short(gravest.text) if gravest is not None and plan.verdict is not Verdict.OK else "",
        stops=found.stops,
        cost=cost,
        cost_words=words,
        hours=hours,
        dug_m3=account.cut_m3,
        away_loose_m3=found.away_loose_m3,
        loads=found.loads,
        handled_m3=account.cut_m3 + max(0.0, -account.away_bank_m3),
        bed_m2=plantable_m2(plan),
        highest_m=found.highest_m,
        walls=found.walls,
        terraces=found.terraces,
        sticks=found.sticks,
    )


def _short(text: str) -> str:
    """The whole text, or its first sentence where it is long."""
    return text if len(text) <= LONG else re.split(r"(?<=\.)\s+(?=[A-Z])", text)[0]


def works_of(plan: Plan) -> tuple[Span | None, str, Span | None]:
    """Cost (low, high), what is missing of it in words, and person hours (low, high); None = not known."""
    price, hours = plan.works.price, plan.works.person_hours
    cost = None if price.total is None else (price.total.low, price.total.high)
    words = "" if price.complete else price.words
    return cost, words, (hours.low, hours.high)
