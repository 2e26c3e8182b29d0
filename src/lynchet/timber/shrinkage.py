"""How timber shrinks as it dries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Le, Lt

from lynchet.core.calculator import Step, calculator, refuse
from lynchet.core.kinds import NotNegative, Positive
from lynchet.timber.values import Array, Values

Method = Literal["total", "rate", "lumber"]
LumberFace = Literal["width", "thickness"]
LUMBER: dict[str, tuple[float, float]] = {"width": (6.031, 0.215), "thickness": (5.062, 0.181)}
"""Shrinkage of lumber faces in percent: constant less slope times moisture. FPL-RP-489."""


def shrunk_pct(moisture_pct: Values, total_pct: Values, saturation_pct: Values = 30.0) -> Array:
    """Shrinkage from green at a moisture, by the total shrinkage to ovendry. Wood Handbook 2021, Eq. 4-7."""
    left: Array = np.asarray(saturation_pct, float) - np.minimum(moisture_pct, saturation_pct)
    return total_pct * left / saturation_pct


def lumber_shrunk_pct(moisture_pct: Values, face: LumberFace) -> Array:
    """Shrinkage from green of a lumber face; none above the moisture where the line meets zero. FPL-RP-489."""
    constant, slope = LUMBER[face]
    return np.maximum(constant - slope * np.asarray(moisture_pct, float), 0.0)


def size_after_m(size_m: Values, from_pct: Values, to_pct: Values) -> Values:
    """Size after a change between two states of shrinkage from green, in percent."""
    return size_m * (1.0 - to_pct / 100.0) / (1.0 - from_pct / 100.0)


def size_by_rate_m(size_m: Values, rate: Values, moisture_pct: tuple[Values, Values], saturation_pct: Values) -> Array:
    """Size after a change of moisture (from, to), by percent of size per percent of moisture below saturation."""
    before, after = (np.minimum(m, saturation_pct) for m in moisture_pct)
    changed: Array = size_m * (1.0 - rate / 100.0 * (before - after))
    return changed


@dataclass(frozen=True)
class Shrinkage:
    """Size after the change."""

    size_m: float
    change_m: float
    """Above zero: it swells."""


def _shrinkage_steps(given: Mapping[str, Any], result: Shrinkage) -> list[Step]:
    how = f"{given['size_m']:g} m from {given['from_moisture_pct']:g} % to {given['to_moisture_pct']:g} %"
    return [
        Step("size after", f"{how}, method {given['method']}", result.size_m, "m"),
        Step("change", "size after - size before", result.change_m, "m"),
    ]


@calculator(
    source="USDA FPL, Wood Handbook, 2021, ch. 4; FPL-RP-489 (lumber)",
    known="SEEN",
    example={"size_m": 0.1397, "from_moisture_pct": 30.0, "to_moisture_pct": 15.0, "method": "lumber"},
    working=_shrinkage_steps,
)
def timber_shrinkage(
    *,
    size_m: Positive,
    from_moisture_pct: NotNegative,
    to_moisture_pct: NotNegative,
    method: Method,
    total_pct: Annotated[float, Ge(0), Lt(100)] | None = None,
    rate_pct_per_pct: NotNegative | None = None,
    saturation_pct: Annotated[float, Ge(15), Le(35)] = 30.0,
    face: LumberFace = "width",
) -> Shrinkage:
    """Change of a timber's size as its moisture changes.

    Equation: total: S(m) = total (fsp - min(m, fsp))/fsp %, size x (1 - S(to)/100)/(1 - S(from)/100). rate: size x
    [1 - rate/100 (min(from, fsp) - min(to, fsp))]. lumber: the total form with S = 6.031 - 0.215 m (width) or
    5.062 - 0.181 m (thickness), not below zero.

    Symbols: m moisture in percent of the dry mass, fsp fibre saturation point, S shrinkage from green.

    Limits: saturation 15 to 35 %; above it wood keeps its size. Lengthwise wood hardly moves.
    """
    if method == "rate":
        if rate_pct_per_pct is None:
            raise refuse("rate_pct_per_pct", "rate missing", "percent of size per percent of moisture")
        moisture = (from_moisture_pct, to_moisture_pct)
        after = float(size_by_rate_m(size_m, rate_pct_per_pct, moisture, saturation_pct))
        return Shrinkage(after, after - size_m)
    if method == "lumber":
        states = [float(lumber_shrunk_pct(m, face)) for m in (from_moisture_pct, to_moisture_pct)]
    else:
        if total_pct is None:
            raise refuse("total_pct", "total missing", "total shrinkage in percent, from green to ovendry")
        states = [float(shrunk_pct(m, total_pct, saturation_pct)) for m in (from_moisture_pct, to_moisture_pct)]
    after = float(size_after_m(size_m, *states))
    return Shrinkage(after, after - size_m)
