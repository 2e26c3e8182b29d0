"""Banks outside the area as planes of the ground, for pictures of the work."""

from __future__ import annotations

from functools import lru_cache

from lynchet.core.same import Same
from lynchet.earth.finishes import BANK, Finish, finishes_of
from lynchet.earth.solids import Owners
from lynchet.plan.model import Plan


def bank_finishes(plan: Plan) -> tuple[Finish, ...]:
    """Every part of a bank, filled and cut; none where no edge ends as one."""
    return _of(Same(plan)) if plan.walls.banks else ()


@lru_cache(maxsize=2)
def _of(key: Same[Plan]) -> tuple[Finish, ...]:
    plan = key.thing
    lines = {bank.line for bank in plan.walls.banks}
    owners = Owners(plan.terraces, plan.walls, plan.water)
    found = finishes_of(plan.project, plan.terraces, owners, plan.walls.shaped)
    return tuple(one for one in found if one.kind == BANK and one.place in lines)
