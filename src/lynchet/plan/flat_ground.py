"""What fits ground that hardly falls, in plain words: it needs no terraces."""

from __future__ import annotations

from math import hypot

from lynchet.plan.model import Plan

FLAT = 0.02
"""Ground that falls less is as good as flat to build on: a bed laid level upon it needs no wall. PRACTICE."""


def flat_words(plan: Plan) -> tuple[str, ...]:
    """What fits, and what to ask about water, on flat ground; empty where the ground falls or nothing is laid out."""
    if plan.refused or hypot(*plan.terraces.fall) >= FLAT:
        return ()
    pipe = f"{100 * plan.project.drain.least_fall:.3g} %"
    return (
        "Flat ground (it falls less than 2 %): it needs no terraces. What fits: one low edging round the bed, or one "
        "raised bed of a course or two.",
        "Ask about water first: where does it stand after rain? Which way shall the bed shed it, away from houses? Is "
        f"there lower ground for a drain to run out? A pipe needs a fall of its own ({pipe}).",
    )
