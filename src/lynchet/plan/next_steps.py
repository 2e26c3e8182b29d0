"""What to measure or ask next: the answers that would change most."""

from __future__ import annotations

from math import hypot

from lynchet.core.findings import Verdict
from lynchet.plan.model import Plan
from lynchet.plan.told_places import told_places

ASKS = "ask "
"""So a step begins that asks somebody."""
_FLAT = 0.07
"""On ground no steeper a tape laid on it reads at most 1 in 400 more than held level: nothing to tape again for."""


def next_steps(plan: Plan) -> tuple[str, ...]:
    """Short orders, the first of them what changes most."""
    project = plan.project
    steps = []
    about = dict.fromkeys(
        finding.place for finding in plan.findings if finding.ask == "engineer" and finding.verdict >= Verdict.ASK
    )
    if about:
        legs = {leg.id for leg in plan.walls.legs}
        told = told_places(plan, (place for place in about if place and place != "site"))
        named = [f"wall {place}" if place in legs else place for place in told]
        what = f" about {', '.join(named[:3])}" + (f" and {len(named) - 3} more" if len(named) > 3 else "")
        steps.append("ask a licensed engineer" + (what if named else ""))
    if project.ground.held == "unknown" and hypot(*plan.terraces.fall) > _FLAT:
        steps.append("say in the file how the tape was held; if nobody knows, tape up the slope again, held level")
    if not project.soil.known:
        steps.append("dig a hole 18 in (0.5 m) deep and squeeze the soil: weak soil is assumed")
    if not project.place.known:
        steps.append("ask the building office how high a wall may be without a permit")
    steps.append("have buried lines marked")
    return tuple(steps)
