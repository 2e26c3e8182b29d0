"""Whether what the days of a plan need adds up to its order list, told for tests."""

from __future__ import annotations

from collections import Counter
from math import isclose

from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.plan.model import Plan
from lynchet.stability.model import WEEP_CLOTH_M

_ELSEWHERE = ("timber_", "end_preservative", "load_away", "fill_soil", "bed_soil")
"""Lines the days do not give as an amount: sticks are pieces there, a tin is a tin."""
_TOGETHER = {"drain_pipe": "pipe", "solid_pipe": "pipe"}
_FITTINGS = ("fabric", "bend", "cap", "cleanout", "screen", "tee", "wye", "reducer", "sleeve", "coupling")


def not_adding_up(plan: Plan) -> list[str]:
    """One line for each thing of which the days need more or less than is ordered."""
    contents = day_contents(plan, Words())
    needed: Counter[str] = Counter()
    for content in contents:
        for need in content.needs:
            if need.key:
                needed[need.key] += need.amount  # type: ignore[assignment]
    ordered: Counter[str] = Counter()
    for line in plan.works.order:
        key = _TOGETHER.get(line.key) or ("plants" if line.key.startswith("plant_") else _plain(line.key))
        if not key.startswith((*_ELSEWHERE, *_FITTINGS)):
            ordered[key] += line.quantity  # type: ignore[assignment]
    needed.pop("bed_soil", None)
    cloth = sum(line.quantity for line in plan.works.order if line.key == "fabric")
    cloth -= sum(part.area_m2 for part in plan.water.fabric) + sum(cut.fabric_m2 for cut in plan.water.cut_offs)
    ordered["weep_cloth"] = cloth / WEEP_CLOTH_M[plan.project.units] ** 2  # type: ignore[assignment]
    said = [
        f"{key}: days need {needed[key]:.4f}, ordered {ordered[key]:.4f}"
        for key in sorted({*needed, *ordered})
        if not isclose(needed[key], ordered[key], rel_tol=1e-6, abs_tol=0.006)
    ]
    said_so = {Words()(f"day.need.{name}") for name in ("fabric", "fabric_dry")}
    rolls = any(need.words in said_so for content in contents for need in content.needs)
    fabric = any(line.key == "fabric" and line.quantity > 0 for line in plan.works.order)
    return said if rolls == fabric else [*said, f"fabric: on a day {rolls}, ordered {fabric}"]


def _plain(key: str) -> str:
    """Without the length, and the number, that tell lines of one thing apart."""
    head, _, tail = key.rpartition("_")
    return _plain(head) if tail.isdigit() else key
