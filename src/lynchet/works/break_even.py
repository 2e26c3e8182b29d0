"""Which of several ways is cheapest as the quantity grows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from lynchet.core.calculator import calculator, refuse_if
from lynchet.core.kinds import NotNegative, Words

SLACK = 1e-9


@dataclass(frozen=True)
class Way:
    """One way of doing it: a fixed cost and a cost per unit."""

    name: str
    fixed_money: Annotated[NotNegative, Words("fixed cost")]
    per_unit_money: Annotated[NotNegative, Words("cost per unit")]

    def cost(self, quantity: float) -> float:
        """Cost of a quantity."""
        return self.fixed_money + self.per_unit_money * quantity


@dataclass(frozen=True)
class BreakEven:
    """The cheapest ways along the quantity, and where they change."""

    best: list[str]
    crossover: list[float]
    cost_money: list[float] | None = None
    cheapest: str | None = None


def lower_envelope(fixed: Sequence[float], per_unit: Sequence[float]) -> tuple[list[int], list[float]]:
    """Places of the cheapest lines as the quantity grows from 0, and the quantities between them (kernel)."""
    least = min(fixed)
    now = min((p for p, cost in enumerate(fixed) if cost <= least + SLACK), key=lambda place: per_unit[place])
    places, crossings = [now], list[float]()
    while True:
        rivals = {
            place: (fixed[place] - fixed[now]) / (per_unit[now] - per_unit[place])
            for place in range(len(fixed))
            if per_unit[place] < per_unit[now]
        }
        if not rivals:
            return places, crossings
        first = min(rivals.values())
        now = min((p for p, at in rivals.items() if at <= first + SLACK), key=lambda place: per_unit[place])
        places.append(now)
        crossings.append(first)


@calculator(
    source="Lower envelope of straight lines (proof on a public question page)",
    known="SEEN",
    example={
        "ways": [
            {"name": "by hand", "fixed_money": 0, "per_unit_money": 40},
            {"name": "hired machine", "fixed_money": 280, "per_unit_money": 8},
        ],
        "quantity": 12,
    },
)
def break_even(*, ways: list[Way], quantity: NotNegative | None = None) -> BreakEven:
    """Which way is cheapest for which quantity.

    Equation: cost = fixed + per unit x quantity; two ways cross at (f2 - f1)/(u1 - u2).

    Symbols: best, the cheapest ways as the quantity grows from 0; crossover, the quantities between them; cheapest, at
    the quantity given, in a tie the one of lower fixed cost.

    Limits: two ways or more, no two alike.
    """
    refuse_if(len(ways) < 2, "ways", f"{len(ways)} given, fewer than two", "two or more ways")
    figures = [(way.fixed_money, way.per_unit_money) for way in ways]
    refuse_if(len(set(figures)) < len(figures), "ways", "two ways of the same figures", "ways that differ")
    places, crossings = lower_envelope([f for f, _ in figures], [u for _, u in figures])
    best = [ways[place].name for place in places]
    if quantity is None:
        return BreakEven(best, crossings)
    costs = [way.cost(quantity) for way in ways]
    tied = [way for way, cost in zip(ways, costs, strict=True) if cost <= min(costs) + SLACK]
    return BreakEven(best, crossings, costs, min(tied, key=lambda way: (way.fixed_money, way.per_unit_money)).name)
