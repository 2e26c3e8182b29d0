"""What a cure does that leaves as many stops as there were."""

from __future__ import annotations

from lynchet.core.findings import Verdict
from lynchet.plan.model import Plan


def nearer(before: Plan, after: Plan) -> str:
    """That stopped walls come nearer to standing, with the worst of them; empty where fewer or more are stopped."""
    short = [[wall.factor or 0.0 for wall in plan.stability.walls if wall.verdict is Verdict.STOP]
             for plan in (before, after)]  # fmt: skip
    if not short[1] or len(short[0]) != len(short[1]):
        return ""
    least = [f"{min(factors):.2f}" for factors in short]
    worst = f" (the worst {least[0]} → {least[1]})" if float(least[1]) > float(least[0]) else ""
    return f"what holds the walls comes nearer to what pushes{worst}, not near enough"
