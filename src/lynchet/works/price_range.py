"""The range of a price whose items are uncertain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le, Lt
from numpy.typing import NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.works.sum_distribution import distribution_of_sum
from lynchet.works.uncertain_items import UncertainItem, check_items, lognormal_chance

Array = NDArray[np.float64]
SLACK = 1e-9
Method = Literal["convolution", "normal", "lognormal"]
Correlation = Annotated[float, Ge(-1), Le(1)]
CAUTION = (
    "Risks of one site lean the same way (rain, soft ground, prices): without correlation the range comes out too "
    "narrow. The sum of the likely values is neither mean nor median."
)


@dataclass(frozen=True)
class PriceRange:
    """Mean, spread and percentiles of the total; lists of items in their order."""

    mean_money: float
    sd_money: float
    item_mean_money: list[float]
    item_sd_money: list[float]
    share_pct: list[float]
    percentile_money: list[float]
    within_budget: float | None = None


def correlation_matrix(count: int, one: float | None, matrix: Sequence[Sequence[float]] | None) -> Array:
    """The matrix of correlations of the items.

    Raises:
        InputError: both forms, a wrong shape, no ones on the diagonal, not symmetric, or one that cannot be.
    """
    refuse_if(one is not None and matrix is not None, "correlation", "both correlation and correlations", "one of them")
    if matrix is None:
        found = np.full((count, count), 0.0 if one is None else one)
        np.fill_diagonal(found, 1.0)
    else:
        shape = len(matrix) == count and all(len(row) == count for row in matrix)
        refuse_if(not shape, "correlations", "a correlation matrix of the wrong shape", f"{count} rows of {count}")
        found = np.array(matrix, dtype=float)
        refuse_if(
            bool((np.abs(np.diag(found) - 1.0) > SLACK).any()), "correlations", "no ones on the diagonal", "1 there"
        )
        refuse_if(
            bool((np.abs(found - found.T) > SLACK).any()), "correlations", "a matrix not symmetric", "rows as columns"
        )
    possible = float(np.linalg.eigvalsh(found).min()) >= -SLACK
    refuse_if(not possible, "correlation", "items that cannot all hang together so", "a matrix without negative roots")
    return found


def shares_pct(sds: Array, correlation: Array) -> tuple[float, Array]:
    """Variance of the total, and each item's share of it in percent (zero where there is none)."""
    parts = sds * (correlation @ sds)
    variance = max(float(parts.sum()), 0.0)
    return variance, 100.0 * parts / variance if variance > 0 else np.zeros_like(sds)


def _normal(mean: float, sd: float, percentiles: Sequence[float], budget: float | None) -> tuple[list[float], Any]:
    from scipy.special import ndtr, ndtri

    values = [mean + sd * float(ndtri(pct / 100.0)) for pct in percentiles]
    return values, None if budget is None else float(ndtr((budget - mean) / sd))


def _lognormal(mean: float, sd: float, percentiles: Sequence[float], budget: float | None) -> tuple[list[float], Any]:
    from scipy.special import ndtri

    square = log(1.0 + (sd / mean) ** 2)
    middle = log(mean) - square / 2.0
    values = [exp(middle + sqrt(square) * float(ndtri(pct / 100.0))) for pct in percentiles]
    return values, None if budget is None else float(lognormal_chance(np.array(budget), (mean, sd)))


def _range_steps(given: Mapping[str, Any], result: PriceRange) -> list[Step]:
    steps = [
        Step(item.name, f"{item.kind}, sd {sd:.4g}, {share:.3g} percent of the spread", mean, "money")
        for item, mean, sd, share in zip(
            given["items"], result.item_mean_money, result.item_sd_money, result.share_pct, strict=True
        )
    ]
    steps += [
        Step("mean of the total", "sum of the means", result.mean_money, "money"),
        Step("standard deviation", "root of the sum of r s s", result.sd_money, "money"),
    ]
    percentiles = given.get("percentiles", [10.0, 50.0, 80.0, 90.0])
    method = given.get("method", "convolution")
    for pct, money in zip(percentiles, result.percentile_money, strict=True):
        steps.append(Step(f"{pct:g} percent of such jobs cost no more than", method, money, "money"))
    return steps


@calculator(
    source="Govan, Project Risk Analysis, chapter 4; JCGM 101, 9.2.3 (recalled); convolution by own arithmetic",
    known="SEEN",
    example={
        "items": [
            {"name": "soil", "kind": "triangular", "low_money": 1000, "likely_money": 1200, "high_money": 2000},
            {"name": "permit", "kind": "fixed", "value_money": 500},
        ],
        "budget_money": 2100,
    },
    working=_range_steps,
    caution=CAUTION,
)
def price_range(
    *,
    items: list[UncertainItem],
    correlation: Correlation | None = None,
    correlations: list[list[Correlation]] | None = None,
    method: Method = "convolution",
    percentiles: list[Annotated[float, Gt(0), Lt(100)]] = [10.0, 50.0, 80.0, 90.0],  # noqa: B006 (never changed)
    budget_money: float | None = None,
) -> PriceRange:
    """Range of a price whose items are uncertain, and the chance of a budget.

    Equation: mean = sum of p mu; variance = sum of r s s; share = s x sum(r s)/variance; percentiles from the true
    distribution of the sum (convolution), or from a normal or lognormal of the same mean and standard deviation.

    Symbols: kinds fixed (value), uniform (low, high), triangular and pert (low, likely, high), normal and lognormal
    (mean, sd of the money); probability, p, chance that the item comes at all; r, correlation of two items.

    Limits: a convolution needs independent items. At a jump the percentile is the smallest value whose chance reaches
    it.
    """
    check_items(items)
    matrix = correlation_matrix(len(items), correlation, correlations)
    apart = bool(np.any(matrix - np.eye(len(items)))) or (correlation or 0.0) != 0.0
    refuse_if(
        method == "convolution" and apart, "correlation", "a correlation with method convolution",
        "0, or method normal or lognormal",
    )  # fmt: skip
    moments = [item.own_moments() for item in items]
    sds = np.sqrt([variance for _, variance in moments])
    mean = sum(value for value, _ in moments)
    variance, shares = shares_pct(sds, matrix)
    refuse_if(method == "lognormal" and mean <= 0, "items", f"a total of mean {mean:g}", "a mean above 0")
    sd = sqrt(variance)
    if sd == 0:
        values = [mean for _ in percentiles]
        within = None if budget_money is None else float(budget_money >= mean - SLACK)
    elif method == "convolution":
        total = distribution_of_sum(items, sd)
        values = [total.percentile(pct) for pct in percentiles]
        within = None if budget_money is None else total.chance_below(budget_money)
    else:
        values, within = (_normal if method == "normal" else _lognormal)(mean, sd, percentiles, budget_money)
    return PriceRange(mean, sd, [value for value, _ in moments], sds.tolist(), shares.tolist(), values, within)
