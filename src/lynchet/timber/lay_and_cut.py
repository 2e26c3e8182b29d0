"""Where the joints of all courses lie and how the sticks are cut, chosen together at least cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from time import monotonic
from typing import Any

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.courses import Rules, Walls, spans_of
from lynchet.timber.cut_orders import Kerf, Piece, Stocks, demand_of, metres, sticks_of, units
from lynchet.timber.laying_plan import Job, lay_least


@dataclass(frozen=True)
class Cut:
    """A stick and its pieces."""

    stock: int
    """Index of the stock, from 0."""
    pieces: list[float]
    """Lengths in metres."""


@dataclass(frozen=True)
class LayAndCut:
    """The cheapest laying found."""

    cost_money: float
    bound_money: float
    """No laying on this grid can cost less."""
    gap_pct: float
    proven: bool
    sticks: list[int]
    sticks_total: int
    joints_m: list[list[list[float]]]
    """Stations by wall and course."""
    pieces_total: int
    """With the extras."""
    pieces_m: float
    waste_m: float
    cuts: list[Cut]


def _lay_steps(given: Mapping[str, Any], result: LayAndCut) -> list[Step]:
    steps = [
        Step(f"wall {w}, course {c}", "joints at, m", ", ".join(f"{at:g}" for at in row) or "none, one piece")
        for w, wall in enumerate(result.joints_m, start=1)
        for c, row in enumerate(wall, start=1)
    ]
    for number, cut in enumerate(result.cuts, start=1):
        length = given["stock"][cut.stock].length_m
        steps.append(Step(f"stick {number} of {length:g} m", "cut, m", " + ".join(f"{p:g}" for p in cut.pieces)))
    proof = "reached: nothing cheaper exists on this grid" if result.proven else "not reached in the time given"
    return [
        *steps,
        Step("cost", "sum of the sticks' prices", result.cost_money, "money"),
        Step("least any laying can cost", proof, result.bound_money, "money"),
    ]


@calculator(
    source="Arc flow after Valério de Carvalho, 1999; bound after Gilmore and Gomory, 1961",
    known="DERIVED",
    example={
        "walls": [{"courses": [{"from_m": 0.0, "to_m": 6.0}, {"from_m": 0.0, "to_m": 6.0}]}],
        "stock": [{"length_m": 2.4, "price_money": 20.0}, {"length_m": 3.6, "price_money": 31.5}],
        "kerf_m": 0.003, "offset_m": 0.6, "shortest_m": 1.2, "grid_m": 0.3,
    },
    working=_lay_steps,
    caution="Ask the yard for the real length of its sticks: a cut that fits on paper only spoils a stick.",
)  # fmt: skip
def lay_and_cut(
    *,
    walls: Walls,
    stock: Stocks,
    kerf_m: Kerf,
    offset_m: NotNegative,
    shortest_m: Positive,
    grid_m: Positive,
    end_trim_m: NotNegative = 0.0,
    over_length_m: NotNegative = 0.0,
    end_clear_m: NotNegative = 0.0,
    extras: list[Piece] | None = None,
    time_limit_s: Positive = 60.0,
) -> LayAndCut:
    """Joints and sticks of whole walls chosen together at least cost.

    Equation: least sum of price x sticks over all layings whose joints lie on whole multiples of the grid, strictly
    inside their course, clear of its ends and of forbidden stretches, at least the offset from every joint of the
    course next above or below; pieces from the shortest to the longest usable stock; and over all ways of cutting.

    Symbols: stations along a wall, its courses from the bottom up; usable length = length + over_length - end_trim;
    bound: what no laying on this grid can go below, lifted to the next multiple of the prices' common step.

    Limits: compared in 0.01 mm. Walls do not bind each other; a course with no joint binds nothing. A finer grid can
    only lower the cost. At the time limit the best laying so far is given with its gap, `proven` false.
    """
    until = monotonic() + time_limit_s
    sticks = sticks_of(stock, kerf_m, end_trim_m, over_length_m)
    spans = spans_of(walls)
    more = Counter(demand_of(extras or [], sticks, "extras"))
    rules = Rules(units(offset_m), max(units(shortest_m), 1), sticks.longest, units(end_clear_m), max(units(grid_m), 1))
    laid = lay_least(Job(spans, rules, sticks, more, until))
    plan = laid.plan
    bought = sum(count * length for count, length in zip(plan.counts, sticks.length, strict=True))
    ordered = sum(length * count for length, count in laid.demand.items())
    return LayAndCut(
        cost_money=plan.cost,
        bound_money=plan.bound,
        gap_pct=plan.gap_pct,
        proven=plan.proven,
        sticks=list(plan.counts),
        sticks_total=len(plan.sticks),
        joints_m=[[[metres(at) for at in row] for row in wall] for wall in laid.joints],
        pieces_total=sum(laid.demand.values()),
        pieces_m=metres(ordered),
        waste_m=metres(bought - ordered),
        cuts=[Cut(stock_at, [metres(length) for length in held]) for stock_at, held in sorted(plan.sticks)],
    )
