"""The least cost of cutting a list of pieces from the sticks a yard sells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from time import monotonic
from typing import Any

from lynchet.core.calculator import Step, calculator, refuse
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.cut_orders import Kerf, Pieces, Stocks, demand_of, metres, sticks_of
from lynchet.timber.cut_plan import least_cost


@dataclass(frozen=True)
class CutStock:
    """The cheapest sticks."""

    cost_money: float
    sticks: list[int]
    """Count of each stock, in the order given."""
    sticks_total: int
    bought_m: float
    pieces_m: float
    waste_m: float
    """Kerf, trim and offcuts together."""
    waste_pct: float
    bound_money: float
    """No cutting can cost less."""
    gap_pct: float
    proven: bool
    """True when the cost has reached the bound."""
    cuts_m: list[list[float]]
    """Pieces of each stick, stock by stock."""


def _cut_steps(given: Mapping[str, Any], result: CutStock) -> list[Step]:
    bought = zip(given["stock"], result.sticks, strict=True)
    steps = [Step(f"sticks of {row.length_m:g} m", f"at {row.price_money:.2f} each", count) for row, count in bought]
    steps += [
        Step(f"stick {number}", "cut, m", " + ".join(f"{piece:g}" for piece in pieces))
        for number, pieces in enumerate(result.cuts_m, start=1)
    ]
    proof = "reached, so nothing cheaper exists" if result.proven else "not reached in the time given"
    return [
        *steps,
        Step("cost", "sum of the prices", result.cost_money, "money"),
        Step("least any cutting can cost", proof, result.bound_money, "money"),
        Step("waste", f"{result.bought_m:g} m bought - {result.pieces_m:g} m of pieces", result.waste_m, "m"),
    ]


@calculator(
    source="Gilmore and Gomory, 1961; Valério de Carvalho, 1999 (arc flow)",
    known="DERIVED",
    example={
        "stock": [{"length_m": 2.4, "price_money": 20.0}, {"length_m": 3.6, "price_money": 31.5}],
        "pieces": [{"length_m": 1.2, "count": 4}, {"length_m": 0.9, "count": 3}],
        "kerf_m": 0.003,
    },
    working=_cut_steps,
    caution="Measure the sticks at the yard first: a nominal length a few millimetres short spoils a full stick.",
)
def cut_stock(
    *,
    stock: Stocks,
    pieces: Pieces,
    kerf_m: Kerf,
    end_trim_m: NotNegative = 0.0,
    over_length_m: NotNegative = 0.0,
    time_limit_s: Positive = 60.0,
) -> CutStock:
    """Least cost of cutting a list of pieces from stock lengths, with proof.

    Equation: least sum of price x sticks such that every piece lies on a stick; pieces p1..pn fit when their sum +
    (n - 1) kerf is within the usable length. Waste = bought - pieces; gap = 100 (cost - bound)/cost.

    Symbols: usable length = length + over_length - end_trim; bound: what no cutting can go below, lifted to the next
    multiple of the prices' common step.

    Limits: lengths compared in 0.01 mm. Over-length is not bought; the trim includes its own kerf. At the time limit
    the best cutting so far is given with its gap, `proven` false. The cost is unique, the sticks need not be.
    """
    until = monotonic() + time_limit_s
    sticks = sticks_of(stock, kerf_m, end_trim_m, over_length_m)
    demand = demand_of(pieces, sticks)
    plan = least_cost(sticks, demand, until)
    if plan is None and monotonic() > until:
        raise refuse("time_limit_s", "no cutting found in the time given", "more time, or stock without limits")
    if plan is None:
        counts = ", ".join("any" if row.available is None else str(row.available) for row in stock)
        raise refuse(
            "stock", f"available stock ({counts}) is not enough for the pieces", "more sticks, or fewer pieces"
        )
    bought = sum(count * length for count, length in zip(plan.counts, sticks.length, strict=True))
    ordered = sum(length * count for length, count in demand.items())
    return CutStock(
        cost_money=plan.cost,
        sticks=list(plan.counts),
        sticks_total=len(plan.sticks),
        bought_m=metres(bought),
        pieces_m=metres(ordered),
        waste_m=metres(bought - ordered),
        waste_pct=100.0 * (bought - ordered) / bought,
        bound_money=plan.bound,
        gap_pct=plan.gap_pct,
        proven=plan.proven,
        cuts_m=[[metres(length) for length in held] for _, held in sorted(plan.sticks, key=lambda cut: cut[0])],
    )
