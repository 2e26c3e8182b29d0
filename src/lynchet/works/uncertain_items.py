"""Uncertain amounts of money: mean, spread and distribution of one item."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import log, sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lynchet.core.calculator import refuse_if
from lynchet.core.kinds import Fraction, NotNegative
from lynchet.core.quick import quick
from lynchet.core.rows import refuse_other_keys
from lynchet.works.likely_duration import expected

Array = NDArray[np.float64]
Kind = Literal["fixed", "uniform", "triangular", "pert", "normal", "lognormal"]
NEEDED = {
    "fixed": ("value_money",),
    "uniform": ("low_money", "high_money"),
    "triangular": ("low_money", "likely_money", "high_money"),
    "pert": ("low_money", "likely_money", "high_money"),
    "normal": ("mean_money", "sd_money"),
    "lognormal": ("mean_money", "sd_money"),
}
TAIL = 1e-8
"""Chance left off at each end of a distribution without end."""


@quick
@dataclass(frozen=True)
class UncertainItem:
    """One item; which figures it needs depends on its kind."""

    name: str
    kind: Kind
    value_money: float | None = None
    low_money: float | None = None
    likely_money: float | None = None
    high_money: float | None = None
    mean_money: float | None = None
    sd_money: NotNegative | None = None
    probability: Fraction = 1.0
    """Chance that it comes at all; it is 0 otherwise."""

    def figures(self) -> tuple[float, ...]:
        """Its figures in the order of its kind."""
        return tuple(float(getattr(self, name)) for name in NEEDED[self.kind])

    def moments(self) -> tuple[float, float]:
        """Mean and variance if it comes."""
        figures = self.figures()
        if self.kind == "fixed":
            return figures[0], 0.0
        if self.kind == "uniform":
            low, high = figures
            return (low + high) / 2.0, (high - low) ** 2 / 12.0
        if self.kind == "triangular":
            low, likely, high = figures
            square = low**2 + likely**2 + high**2 - low * likely - low * high - likely * high
            return sum(figures) / 3.0, max(square, 0.0) / 18.0
        if self.kind == "pert":
            low, likely, high = figures
            mean = expected(low, likely, high)
            return mean, (mean - low) * (high - mean) / 7.0
        return figures[0], figures[1] ** 2

    def own_moments(self) -> tuple[float, float]:
        """Mean and variance with the chance that it comes."""
        mean, variance = self.moments()
        p = self.probability
        return p * mean, p * variance + p * (1.0 - p) * mean**2

    def spread(self) -> tuple[float, float]:
        """Ends between which all of it lies, but for ``TAIL`` at each end of a distribution without ends."""
        mean, variance = self.moments()
        if self.kind in ("uniform", "triangular", "pert"):
            return self.figures()[0], self.figures()[-1]
        from scipy.special import ndtri

        reach = -float(ndtri(TAIL))
        if self.kind == "lognormal":
            shape = sqrt(log(1.0 + variance / mean**2))
            middle = mean / sqrt(1.0 + variance / mean**2)
            return middle * np.exp(-reach * shape), middle * np.exp(reach * shape)
        return mean - reach * sqrt(variance), mean + reach * sqrt(variance)

    def chance_below(self, value: Array) -> Array:
        """Chance that it is at or below each value, if it comes (not for items without spread)."""
        return np.asarray(_CHANCES[self.kind](value, self.figures()), dtype=float)


def check_items(items: Sequence[UncertainItem]) -> None:
    """Refuse items without their own figures, out of order, or lognormal without a positive mean."""
    refuse_if(not items, "items", "no items", "one or more")
    refuse_other_keys(items, "items", NEEDED)
    for place, item in enumerate(items):
        figures = item.figures()
        if item.kind in ("uniform", "triangular", "pert"):
            shown = ", ".join(f"{figure:g}" for figure in figures)
            refuse_if(
                list(figures) != sorted(figures), f"items[{place}]", f"figures out of order: {shown}",
                "low, likely and high in rising order",
            )  # fmt: skip
        refuse_if(
            item.kind == "lognormal" and figures[0] <= 0, f"items[{place}].mean_money", f"a mean of {figures[0]:g}",
            "above 0 for a lognormal item",
        )  # fmt: skip


def _uniform(value: Array, figures: Sequence[float]) -> Array:
    low, high = figures
    return np.clip((value - low) / (high - low), 0.0, 1.0)


def _triangular(value: Array, figures: Sequence[float]) -> Array:
    low, likely, high = figures
    x = np.clip(value, low, high)
    with np.errstate(divide="ignore", invalid="ignore"):
        rising = (x - low) ** 2 / ((high - low) * (likely - low))
        falling = 1.0 - (high - x) ** 2 / ((high - low) * (high - likely))
    return np.where(x < likely, rising, np.where(likely < high, falling, 1.0))


def _pert(value: Array, figures: Sequence[float]) -> Array:
    from scipy.special import betainc

    low, likely, high = figures
    width = high - low
    first, second = 1.0 + 4.0 * (likely - low) / width, 1.0 + 4.0 * (high - likely) / width
    return np.asarray(betainc(first, second, np.clip((value - low) / width, 0.0, 1.0)))


def _normal(value: Array, figures: Sequence[float]) -> Array:
    from scipy.special import ndtr

    mean, sd = figures
    return np.asarray(ndtr((value - mean) / sd))


def lognormal_chance(value: Array, figures: Sequence[float]) -> Array:
    """Chance at or below each value of a lognormal with this mean and standard deviation."""
    from scipy.special import ndtr

    mean, sd = figures
    square = log(1.0 + (sd / mean) ** 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        z = (np.log(np.maximum(value, 0.0)) - (log(mean) - square / 2.0)) / sqrt(square)
    return np.asarray(np.where(value > 0, ndtr(z), 0.0))


_CHANCES: dict[str, Callable[[Array, Sequence[float]], Array]] = {
    "uniform": _uniform,
    "triangular": _triangular,
    "pert": _pert,
    "normal": _normal,
    "lognormal": lognormal_chance,
}
