"""Texture class of a soil from its sand and clay."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import calculator, refuse_if
from lynchet.water.gradation import Percent

SLACK = 1e-9


@dataclass(frozen=True)
class SoilSample:
    """Sand and clay of a sample; the rest is silt."""

    sand_pct: Percent
    clay_pct: Percent


@dataclass(frozen=True)
class Textures:
    """Texture classes in the order of the samples."""

    textures: list[str]


def _told(percent: NDArray[np.float64]) -> NDArray[np.float64]:
    """So that 28 % of silt is not 27.999..."""
    return np.round(percent, 9)


def texture_rules(sand_pct: ArrayLike, clay_pct: ArrayLike) -> dict[str, NDArray[np.bool_]]:
    """Which class holds for each mixture (same shapes, percent); exactly one does."""
    sand, clay = np.asarray(sand_pct, dtype=float), np.asarray(clay_pct, dtype=float)
    silt = _told(100.0 - sand - clay)
    coarse, mixed = _told(silt + 1.5 * clay), _told(silt + 2.0 * clay)
    middle = (clay >= 27) & (clay < 40)
    return {
        "sand": coarse < 15,
        "loamy sand": (coarse >= 15) & (mixed < 30),
        "sandy loam": (mixed >= 30) & (((clay >= 7) & (clay < 20) & (sand > 52)) | ((clay < 7) & (silt < 50))),
        "loam": (clay >= 7) & (clay < 27) & (silt >= 28) & (silt < 50) & (sand <= 52),
        "silt loam": ((silt >= 50) & (clay >= 12) & (clay < 27)) | ((silt >= 50) & (silt < 80) & (clay < 12)),
        "silt": (silt >= 80) & (clay < 12),
        "sandy clay loam": (clay >= 20) & (clay < 35) & (silt < 28) & (sand > 45),
        "clay loam": middle & (sand > 20) & (sand <= 45),
        "silty clay loam": middle & (sand <= 20),
        "sandy clay": (clay >= 35) & (sand > 45),
        "silty clay": (clay >= 40) & (silt >= 40),
        "clay": (clay >= 40) & (sand <= 45) & (silt < 40),
    }


def texture_names(sand_pct: ArrayLike, clay_pct: ArrayLike) -> NDArray[np.str_]:
    """Class of each mixture (same shapes, percent)."""
    rules = texture_rules(sand_pct, clay_pct)
    return np.select(list(rules.values()), list(rules), default="")


@calculator(
    source="Benham, Ahrens & Nettleton (2009), Clarification of soil texture class boundaries, USDA NRCS",
    known="SEEN",
    example={"samples": [{"sand_pct": 65.0, "clay_pct": 10.0}]},
)
def soil_texture_class(*, samples: list[SoilSample]) -> Textures:
    """Texture class of soil from its sand and clay.

    Equation: silt = 100 - sand - clay; the class by the boundaries of the texture triangle.

    Symbols: sand_pct and clay_pct by weight of the fine earth (below 2 mm).

    Limits: the twelve classes of the USDA; exactly one holds for every mixture.
    """
    for place, sample in enumerate(samples):
        check_sum(sample.sand_pct, sample.clay_pct, f"samples[{place}]")
    if not samples:
        return Textures([])
    names = texture_names([sample.sand_pct for sample in samples], [sample.clay_pct for sample in samples])
    return Textures(names.tolist())


def check_sum(sand_pct: float, clay_pct: float, key: str) -> None:
    """Refuse sand and clay of more than the whole."""
    total = sand_pct + clay_pct
    refuse_if(total > 100.0 + SLACK, key, f"the sum of sand and clay is {total:g} percent", "up to 100 percent")
