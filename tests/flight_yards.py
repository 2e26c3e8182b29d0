"""Random yards with a flight of steps that goes through walls, and beds narrow enough for wing walls beside it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from lynchet.core.standing import Standing
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.project import model as pm
from lynchet.project import things
from random_yards import Placing, placed, realistic_draft

SEEDS = (5, 12, 26, 27, 33)
"""Quick to plan: walls under flights, wing walls in two stages, edge walls whose pieces reach over three."""


@cache
def flight_plan(seed: int) -> Plan:
    """A realistic yard cut into more terraces than it needs, walked through on steps from below, live."""
    draft, rng = realistic_draft(seed), np.random.default_rng([seed, 7])
    wide, deep = (max(point[axis] for point in draft.outline) for axis in (0, 1))
    x = wide * float(rng.uniform(0.3, 0.7))
    line = ((x, -1.0), (x + float(rng.normal(0.0, 0.3)), deep + 0.5))
    brief = replace(draft.brief, terraces=max(3, min(7, int(deep / 1.3))), path_strip_m=0.6, lean=0.0)
    stock = tuple(pm.Stock(length) for length in (2.4, 3.6))
    yard = replace(draft, brief=brief, timber=replace(draft.timber, stock=stock), houses=(), paths=(), fixed=(),
                   steps=(things.StepsWish("steps", line, float(rng.uniform(0.9, 1.2))),))  # fmt: skip
    turned = Placing(float(rng.uniform(0.0, 6.28)), bool(rng.random() < 0.5))
    return plan_on(*placed(yard, turned), Standing(), LIVE, lambda stage: None)
