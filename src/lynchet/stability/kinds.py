"""Kinds of values and small helps shared by the formulas of stability."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from inspect import Parameter, signature
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Gt, Le
from numpy.typing import NDArray

from lynchet.core.calculator import refuse
from lynchet.units.endings import in_words

Array = NDArray[np.float64]
Numbers = float | Array
"""A kernel takes and gives plain numbers or arrays that fit together."""

Friction = Annotated[float, Ge(0), Le(50)]
Backslope = Annotated[float, Ge(-45), Le(50)]
Lean = Annotated[float, Ge(-30), Le(30)]
ThrustAngle = Annotated[float, Ge(-30), Le(60)]
Fraction01 = Annotated[float, Gt(0), Le(1)]
SafetyFactor = Annotated[float, Ge(1)]

SLACK = 1e-9
"""Lengths, angles and factors that differ by less are taken as equal: inputs are decimal, sums are not."""

WALL_CAUTION = (
    "A wall that slides or turns over can hurt people. The number is only as good as the soil values put in: "
    "dig a test hole, keep the drain open, follow the local code, and have a licensed engineer check walls that "
    "are high, loaded, near buildings, in wet or sliding ground, or in doubt."
)
SLOPE_CAUTION = (
    "A slope that slides takes walls, people and houses with it. A factor from assumed soil values is a first look, "
    "no proof: springs, old slides, cracks, wet or filled ground and anything near a building need a licensed engineer."
)
PERMIT_CAUTION = (
    "A comparison with the rules typed in, never a permit: the local office decides how height is counted "
    "and what needs a permit or an engineer."
)
SOIL_CAUTION = (
    "Table values stand for the usual run of a soil, not for yours: soft, wet, organic, filled or expansive ground is "
    "weaker. Test the ground, and ask an engineer where much depends on it."
)


def deny(wrong: bool, key: str, found: str, accepted: str = "") -> None:
    """Refuse a set of arguments, naming the key both as key and in plain words, as the checker does."""
    if wrong:
        spoken = in_words(key)
        raise refuse(key if spoken == key else f"{key} ({spoken})", found, accepted)


def filled(function: Callable[..., Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments given, with the calculator's own defaults for those left out."""
    defaults = {
        name: parameter.default
        for name, parameter in signature(function).parameters.items()
        if parameter.default is not Parameter.empty
    }
    return {**defaults, **given}


def tangent(angle_deg: Numbers) -> Array:
    """Tangent of an angle in degrees."""
    return np.asarray(np.tan(np.radians(angle_deg)), dtype=np.float64)
