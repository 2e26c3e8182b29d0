"""How likely is it that what holds is less than what pushes? Reliability index from the spread of the inputs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import erfc, log, sqrt
from typing import Annotated, Any, Literal

from annotated_types import Len

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.kinds import WALL_CAUTION, deny

Form = Literal["lognormal", "normal", "normal_margin", "lognormal_quotient"]
Pair = Annotated[list[float], Len(2, 2)]


def below_probability(beta: float) -> float:
    """Chance that a normal variable lies more than beta standard deviations below its mean."""
    return 0.5 * erfc(beta / sqrt(2.0))


def lognormal_beta(factor: float, variation: float) -> float:
    """Index of a lognormal factor of safety. Duncan 2000 Eq. 2."""
    spread = 1.0 + variation**2
    return log(factor / sqrt(spread)) / sqrt(log(spread))


def quotient_beta(resistance: float, load: float, resistance_variation: float, load_variation: float) -> float:
    """Index of the quotient of two lognormal variables."""
    r, s = 1.0 + resistance_variation**2, 1.0 + load_variation**2
    return log(resistance / load * sqrt(s / r)) / sqrt(log(r * s))


@dataclass(frozen=True)
class Reliability:
    """Index, probability, and the spread used."""

    beta: float
    probability: float
    """That the factor is below one."""
    coefficient_of_variation: float | None = None
    standard_deviation: float | None = None


def _steps(given: Mapping[str, Any], result: Reliability) -> list[Step]:
    steps = []
    if result.standard_deviation is not None:
        steps.append(Step("standard deviation", "sqrt(sum of ((F+ - F-)/2)²) or V F", result.standard_deviation))
        steps.append(Step("coefficient of variation V", "standard deviation/F", result.coefficient_of_variation or 0.0))
    return [
        *steps,
        Step("reliability index", given["form"].replace("_", " "), result.beta),
        Step("probability", "share of a normal variable below -beta", result.probability),
    ]


def _of_factor(form: Form, factor: float | None, variation: float | None, pairs: list[Pair] | None) -> Reliability:
    deny(factor is None, "factor", "missing", f"the factor of safety, for {form}")
    both = (variation is None) == (pairs is None)
    deny(both, "pairs", "both or neither of pairs and coefficient of variation", "one of them")
    f = factor or 0.0
    sigma = sqrt(sum(((plus - minus) / 2.0) ** 2 for plus, minus in pairs)) if pairs else (variation or 0.0) * f
    key = "pairs" if variation is None else "coefficient_of_variation"
    deny(sigma <= 0, key, "no spread", "a spread above 0")
    beta = lognormal_beta(f, sigma / f) if form == "lognormal" else (f - 1.0) / sigma
    return Reliability(beta, below_probability(beta), sigma / f, sigma)


@calculator(
    source="J. M. Duncan, J. Geotech. Geoenviron. Eng. 126(4), 2000, Eqs 2 and 10; first-order second-moment forms",
    known="SEEN",
    example={"form": "lognormal", "factor": 1.5, "coefficient_of_variation": 0.17},
    working=_steps,
    caution=WALL_CAUTION + " The probability counts only the spread put in, not mistakes, blocked drains or rot.",
)
def reliability_index(
    *,
    form: Form,
    factor: Positive | None = None,
    coefficient_of_variation: NotNegative | None = None,
    pairs: Annotated[list[Pair], Len(1)] | None = None,
    resistance_mean: Positive | None = None,
    resistance_sd: NotNegative | None = None,
    load_mean: Positive | None = None,
    load_sd: NotNegative | None = None,
) -> Reliability:
    """Reliability index and probability of failure from the spread of the inputs.

    Equation: s² = sum((F+ - F-)/2)², V = s/F; lognormal ln(F/sqrt(1 + V²))/sqrt(ln(1 + V²)); normal (F - 1)/s;
    normal_margin (R - S)/sqrt(sR² + sS²); lognormal_quotient ln((R/S) sqrt((1 + VS²)/(1 + VR²)))/sqrt(ln((1 + VR²)(1 +
    VS²))). Probability = share of a normal variable below -beta.

    Symbols: F factor of safety at the means, F+ and F- with one input a standard deviation up and down, R, S means of
    resistance and load, sR, sS their standard deviations.

    Limits: first order; inputs independent.
    """
    if form in ("lognormal", "normal"):
        return _of_factor(form, factor, coefficient_of_variation, pairs)
    values = {
        "resistance_mean": resistance_mean,
        "resistance_sd": resistance_sd,
        "load_mean": load_mean,
        "load_sd": load_sd,
    }
    for key, value in values.items():
        deny(value is None, key, "missing", f"a number, for {form}")
    r, sr, s, ss = (value or 0.0 for value in values.values())
    deny(sr == 0 and ss == 0, "resistance_sd", "no spread in resistance and load", "a spread above 0 in one of them")
    beta = (r - s) / sqrt(sr**2 + ss**2) if form == "normal_margin" else quotient_beta(r, s, sr / r, ss / s)
    return Reliability(beta, below_probability(beta))
