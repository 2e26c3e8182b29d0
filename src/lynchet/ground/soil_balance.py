"""Where the soil goes: cuts to fills at least cost, what is bought in, what is carted away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative

Array = NDArray[np.float64]
SLACK = 1e-9


@dataclass(frozen=True)
class Supply:
    """A cut."""

    name: str
    bank_m3: float
    position_m: float | None = None
    material: str | None = None


@dataclass(frozen=True)
class Demand:
    """A fill."""

    name: str
    compacted_m3: float
    position_m: float | None = None
    material: str | None = None


@dataclass(frozen=True)
class Material:
    """One kind of soil with its own factors and prices; without a price none is bought, or none carted away."""

    name: str
    compacted_per_bank: float = 1.0
    loose_per_bank: float = 1.0
    import_money: float | None = None
    export_money: float | None = None


@dataclass(frozen=True)
class SoilBalance:
    """A plan of least cost. Other plans may cost the same: compare the cost."""

    cost_money: float
    haul_cost_money: float
    flows_bank_m3: list[list[float]]
    import_loose_m3: float
    export_loose_m3: float
    import_loose_by_material_m3: list[float] | None = None
    export_loose_by_material_m3: list[float] | None = None


def least_cost_moves(
    bank_m3: Array, compacted_m3: Array, unit_cost: Array, material: Material
) -> tuple[Array, float, float]:
    """Moves of least cost for one material (kernel; the totals must allow a plan).

    Args:
        bank_m3: (m,) cuts.
        compacted_m3: (n,) fills.
        unit_cost: (m, n) per bank cubic metre.
        material: factors and prices.

    Returns:
        (m, n) bank volumes moved, loose volume bought, loose volume carted away.
    """
    from scipy.optimize import linprog

    m, n = len(bank_m3), len(compacted_m3)
    k, loose = material.compacted_per_bank, material.loose_per_bank
    buys, sells = material.import_money is not None, material.export_money is not None
    costs = np.concatenate(
        [
            unit_cost.reshape(m * n),
            np.full(n if buys else 0, material.import_money or 0.0),
            np.full(m if sells else 0, loose * (material.export_money or 0.0)),
        ]
    )
    if costs.size == 0:
        return np.zeros((m, n)), 0.0, 0.0
    moved, bought = m * n, n if buys else 0
    rows = np.zeros((m + n, costs.size))
    for i in range(m):
        rows[i, i * n : (i + 1) * n] = 1.0
        if sells:
            rows[i, moved + bought + i] = 1.0
    for j in range(n):
        rows[m + j, j:moved:n] = k
        if buys:
            rows[m + j, moved + j] = k / loose
    scale = max(float(np.concatenate([bank_m3, compacted_m3]).max()), 1e-12)
    right = np.concatenate([bank_m3, compacted_m3]) / scale
    if not buys or not sells:  # totals that agree within the slack are made to agree, so that a plan exists
        right = _agreeing(right, m, k, buys, sells)
    solved = linprog(costs, A_eq=rows, b_eq=right, bounds=(0, None), method="highs")
    if solved.status != 0:
        raise ArithmeticError(f"no plan of least cost found: {solved.message}")
    x = np.maximum(solved.x, 0.0) * scale
    return x[:moved].reshape(m, n), float(x[moved : moved + bought].sum()), float(x[moved + bought :].sum() * loose)


def _agreeing(right: Array, m: int, k: float, buys: bool, sells: bool) -> Array:
    """Supplies and demands with a rounding difference of their totals taken off the side that cannot give way."""
    cut, fill = k * right[:m].sum(), right[m:].sum()
    right = right.copy()
    if cut < fill and not buys:
        right[m:] *= cut / fill
    if cut > fill and not sells:
        right[:m] *= fill / cut
    return right


def _balance_steps(given: Mapping[str, Any], result: SoilBalance) -> list[Step]:
    steps = []
    for row, flows in zip(given["supplies"], result.flows_bank_m3, strict=True):
        for to, flow in zip(given["demands"], flows, strict=True):
            if flow > 1e-9:
                steps.append(Step(f"{row.name} to {to.name}", "bank volume moved", flow, "m3"))
    other = result.cost_money - result.haul_cost_money
    return [
        *steps,
        Step("bought, loose", "what the cut does not fill", result.import_loose_m3, "m3"),
        Step("carted away, loose", "what is left of the cut", result.export_loose_m3, "m3"),
        Step("cost of moving", "unit cost x bank volume", result.haul_cost_money, "money"),
        Step("cost of buying and carting away", "price x loose volume", other, "money"),
        Step("cost", "both together, the least there is", result.cost_money, "money"),
    ]


@calculator(
    source="Hillier and Lieberman, Introduction to Operations Research, transportation chapter; extended with "
    "compaction, import and export",
    known="SEEN",
    example={
        "supplies": [{"name": "cut 1", "bank_m3": 10.0}, {"name": "cut 2", "bank_m3": 6.0}],
        "demands": [{"name": "bed 1", "compacted_m3": 8.0}, {"name": "bed 2", "compacted_m3": 5.0}],
        "unit_cost_money": [[8.0, 18.0], [14.0, 6.0]],
        "compacted_per_bank": 0.9,
        "loose_per_bank": 1.25,
        "export_money": 12.0,
    },
    working=_balance_steps,
)
def soil_balance(
    *,
    supplies: list[Supply],
    demands: list[Demand],
    unit_cost_money: list[list[float]] | None = None,
    haul_rate_money: NotNegative | None = None,
    compacted_per_bank: float | None = None,
    loose_per_bank: float | None = None,
    import_money: float | None = None,
    export_money: float | None = None,
    materials: list[Material] | None = None,
) -> SoilBalance:
    """Move cut to fill at least cost, with import, export and kinds of soil kept apart.

    Equation: each cut, sum of moves + export = bank; each fill, k x sum of moves + (k/l) x import = compacted; cost =
    sum of unit cost x move + import price x loose import + export price x loose export, least of all plans.

    Symbols: k, compacted volume per bank volume (1 when left out); l, loose volume per bank volume (1 when left out);
    moves in bank volume; prices per loose volume, a negative export price is soil sold.

    Limits: all cut goes somewhere; without a price nothing is bought, or nothing carted away. With materials, soil
    moves only between rows of one material, each with its own factors and prices.
    """
    _refuse_rows(supplies, demands)
    cost = _unit_costs(supplies, demands, unit_cost_money, haul_rate_money)
    single = (compacted_per_bank, loose_per_bank, import_money, export_money)
    kinds = _materials(materials, single, [*supplies, *demands])
    bank = np.array([row.bank_m3 for row in supplies])
    compacted = np.array([row.compacted_m3 for row in demands])
    flows = np.zeros((len(supplies), len(demands)))
    bought, sold, traded = [], [], 0.0
    for kind in kinds:
        ours = [i for i, row in enumerate(supplies) if materials is None or row.material == kind.name]
        theirs = [j for j, row in enumerate(demands) if materials is None or row.material == kind.name]
        _refuse_totals(bank[ours].sum(), compacted[theirs].sum(), kind)
        block = np.ix_(ours, theirs)
        flows[block], buy, sell = least_cost_moves(bank[ours], compacted[theirs], cost[block], kind)
        bought.append(buy)
        sold.append(sell)
        traded += buy * (kind.import_money or 0.0) + sell * (kind.export_money or 0.0)
    haul = float((flows * cost).sum())
    return SoilBalance(
        cost_money=haul + traded,
        haul_cost_money=haul,
        flows_bank_m3=flows.tolist(),
        import_loose_m3=sum(bought),
        export_loose_m3=sum(sold),
        import_loose_by_material_m3=bought if materials is not None else None,
        export_loose_by_material_m3=sold if materials is not None else None,
    )


def _refuse_rows(supplies: Sequence[Supply], demands: Sequence[Demand]) -> None:
    for i, row in enumerate(supplies):
        refuse_if(row.bank_m3 < 0, f"supplies[{i}].bank_m3", f"volume {row.bank_m3:g} found", "0 or more")
    for j, to in enumerate(demands):
        refuse_if(to.compacted_m3 < 0, f"demands[{j}].compacted_m3", f"volume {to.compacted_m3:g} found", "0 or more")


def _unit_costs(
    supplies: Sequence[Supply],
    demands: Sequence[Demand],
    unit_cost: list[list[float]] | None,
    haul_rate: float | None,
) -> Array:
    """(m, n) cost per bank cubic metre, from the table or from the positions."""
    m, n = len(supplies), len(demands)
    sources = (unit_cost is not None) + (haul_rate is not None)
    accepted = "unit_cost_money or haul_rate_money, one of them"
    refuse_if(sources != 1, "cost", f"{sources} sources of the unit cost found", accepted)
    if unit_cost is not None:
        same = len(unit_cost) == m and all(len(row) == n for row in unit_cost)
        refuse_if(not same, "unit_cost_money", "a table of another shape", f"{m} rows (cuts) of {n} (fills)")
        return np.array(unit_cost, dtype=float).reshape(m, n)
    cuts, fills = _positions("supplies", supplies), _positions("demands", demands)
    return np.asarray((haul_rate or 0.0) * np.abs(cuts[:, None] - fills[None, :]), dtype=float).reshape(m, n)


def _positions(name: str, rows: Sequence[Supply | Demand]) -> Array:
    """Positions along the line of haul, which a haul rate needs."""
    places = []
    for i, row in enumerate(rows):
        found = "missing, so no unit cost follows"
        refuse_if(row.position_m is None, f"{name}[{i}].position_m", found, "a position beside a haul rate")
        places.append(row.position_m or 0.0)
    return np.array(places, dtype=float)


def _materials(
    materials: list[Material] | None,
    single: tuple[float | None, float | None, float | None, float | None],
    rows: Sequence[Supply | Demand],
) -> list[Material]:
    """The kinds of soil, one without a name where none are listed."""
    compacted, loose, buy, sell = single
    if materials is None:
        for row in rows:
            found = f"{row.name}: material {row.material!r}"
            refuse_if(row.material is not None, "material", found, "none, or a list of materials")
        kinds = [Material("", 1.0 if compacted is None else compacted, 1.0 if loose is None else loose, buy, sell)]
    else:
        beside = any(value is not None for value in single)
        refuse_if(beside, "materials", "factors or prices beside materials", "each material with its own")
        names = [kind.name for kind in materials]
        refuse_if(len(set(names)) < len(names), "materials", "a material listed twice", "each once")
        for row in rows:
            found = f"{row.name}: material {row.material!r}"
            refuse_if(row.material not in names, "material", found, "one of: " + ", ".join(names))
        kinds = materials
    for kind in kinds:
        for key, factor in (("compacted_per_bank", kind.compacted_per_bank), ("loose_per_bank", kind.loose_per_bank)):
            refuse_if(factor <= 0, key, f"factor {factor:g} found", "above 0")
    return kinds


def _refuse_totals(bank: float, compacted: float, kind: Material) -> None:
    """Refuse totals that no plan can meet without a price for import or export."""
    cut = kind.compacted_per_bank * bank
    of = f" of {kind.name}" if kind.name else ""
    short = cut < compacted - SLACK and kind.import_money is None
    refuse_if(short, "import_money", f"the cut{of} fills {cut:g} of {compacted:g} m3", "a price for import")
    over = cut > compacted + SLACK and kind.export_money is None
    refuse_if(over, "export_money", f"the cut{of} makes {cut:g} for {compacted:g} m3 of fill", "a price for export")
