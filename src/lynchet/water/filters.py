"""Stone or sand as a filter: size ratios against the soil it holds and the stone or pipe it lies in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive
from lynchet.water.gradation import Sieve, grain_size

SLACK = 1e-12
"""A ratio equal to its limit passes, whatever the last digit of its division."""
HOLE_LIMIT, SLOT_LIMIT = 1.0, 1.2
D50_LIMIT, D50_LIMIT_AT_PIPE = 40.0, 25.0
RETENTION_LIMIT, PERMEABILITY_LIMIT, D15_LIMIT = 5.0, 5.0, 40.0


@dataclass(frozen=True)
class FilterCheck:
    """Ratios, limits and verdicts of a filter."""

    base_d15_mm: float
    base_d50_mm: float
    base_d85_mm: float
    filter_d15_min_mm: float
    filter_d15_max_mm: float
    filter_d50_max_mm: float
    band_ok: bool
    filter_d50_min_mm: float | None = None
    filter_d85_min_mm: float | None = None
    d15_d85_ratio: float | None = None
    d15_d15_ratio: float | None = None
    d50_d50_ratio: float | None = None
    retention_ok: bool | None = None
    permeability_ok: bool | None = None
    uniformity_ok: bool | None = None
    cover_ok: bool | None = None
    opening_ratio: float | None = None
    opening_ok: bool | None = None
    passes: bool | None = None


@dataclass(frozen=True)
class Limits:
    """Size ratios a filter must keep."""

    retention: float
    permeability: float
    d15_ratio: float
    d50_ratio: float


@dataclass(frozen=True)
class Sizes:
    """D15, D50 and, where it is needed, D85 of one material, in mm."""

    d15: float
    d50: float
    d85: float | None = None


@dataclass(frozen=True)
class Ratios:
    """A coarser material over a finer one, with its three verdicts."""

    d15_d85: float
    d15_d15: float
    d50_d50: float
    retention_ok: bool
    permeability_ok: bool
    uniformity_ok: bool


def at_most(value: float, limit: float) -> bool:
    """Whether a value is at or below its limit, the last digit let off."""
    return value <= limit * (1.0 + SLACK)


def size_ratios(coarse: Sizes, fine: Sizes, limits: Limits) -> Ratios:
    """The three ratios of a coarser material that lies against a finer one."""
    assert fine.d85 is not None
    retention, permeability, middle = coarse.d15 / fine.d85, coarse.d15 / fine.d15, coarse.d50 / fine.d50
    return Ratios(
        retention,
        permeability,
        middle,
        at_most(retention, limits.retention),
        at_most(limits.permeability, permeability),
        at_most(permeability, limits.d15_ratio) and at_most(middle, limits.d50_ratio),
    )


def size_band(base: Sizes, cover: Sizes | None, limits: Limits) -> dict[str, float]:
    """Limits of the filter's own sizes between base and cover, by result key."""
    assert base.d85 is not None
    least = limits.permeability * base.d15
    most = min(limits.d15_ratio * base.d15, limits.retention * base.d85)
    band = {"filter_d50_max_mm": limits.d50_ratio * base.d50}
    if cover is not None:
        least = max(least, cover.d15 / limits.d15_ratio)
        most = min(most, cover.d15 / limits.permeability)
        band["filter_d50_min_mm"] = cover.d50 / limits.d50_ratio
        band["filter_d85_min_mm"] = cover.d15 / limits.retention
    return band | {"filter_d15_min_mm": least, "filter_d15_max_mm": most}


def _band_ok(band: Mapping[str, float]) -> bool:
    fits = at_most(band["filter_d15_min_mm"], band["filter_d15_max_mm"])
    least = band.get("filter_d50_min_mm")
    return fits and (least is None or at_most(least, band["filter_d50_max_mm"]))


def _opening(d85_mm: float, opening_mm: float, kind: str) -> tuple[float, bool]:
    """Filter D85 over the opening of the pipe: above 1 for a hole, 1.2 or more for a slot."""
    ratio = d85_mm / opening_mm
    return ratio, ratio > HOLE_LIMIT * (1.0 + SLACK) if kind == "hole" else at_most(SLOT_LIMIT, ratio)


def _filter_steps(given: Mapping[str, Any], result: FilterCheck) -> list[Step]:
    steps = [
        Step("base D15", "from the grading", result.base_d15_mm, "mm"),
        Step("base D85", "from the grading", result.base_d85_mm, "mm"),
        Step("filter D15, least", "permeability limit x base D15", result.filter_d15_min_mm, "mm"),
        Step("filter D15, most", "smaller of D15 limit x D15, retention limit x D85 of base", result.filter_d15_max_mm,
             "mm"),
    ]  # fmt: skip
    for what, how, value in (
        ("holds the soil", "D15 filter/D85 base", result.d15_d85_ratio),
        ("lets the water through", "D15 filter/D15 base", result.d15_d15_ratio),
        ("not too coarse", "D50 filter/D50 base", result.d50_d50_ratio),
        ("stays out of the pipe", "D85 filter/opening", result.opening_ratio),
    ):
        if value is not None:
            steps.append(Step(what, how, value))
    return steps


_GRADING = [
    {"size_mm": 0.38, "passing_pct": 15.0},
    {"size_mm": 0.75, "passing_pct": 50.0},
    {"size_mm": 1.5, "passing_pct": 85.0},
]
_STONE = [
    {"size_mm": 6.0, "passing_pct": 15.0},
    {"size_mm": 12.0, "passing_pct": 50.0},
    {"size_mm": 24.0, "passing_pct": 85.0},
]


@calculator(
    source="FHWA HDS-6, 2001, 6.11, Eqs. 6.24 to 6.26; Planning and Design of Airports, p. 379 (holes, D50); Corps of "
    "Engineers streambank protection text, Eqs. 9 and 10 (slots)",
    known="SEEN",
    example={"base_gradation": _GRADING, "filter_gradation": _STONE},
    working=_filter_steps,
)
def filter_check(
    *,
    base_gradation: list[Sieve],
    filter_gradation: list[Sieve] | None = None,
    cover_gradation: list[Sieve] | None = None,
    opening_mm: Positive | None = None,
    opening_kind: Literal["hole", "slot"] = "hole",
    retention_limit: Positive = RETENTION_LIMIT,
    permeability_limit: Positive = PERMEABILITY_LIMIT,
    d15_ratio_limit: Positive = D15_LIMIT,
    d50_ratio_limit: Positive | None = None,
) -> FilterCheck:
    """Whether sand or stone holds the soil behind it and still drains.

    Equation: D15F/D85B at most the retention limit; D15F/D15B between the permeability limit and the D15 limit;
    D50F/D50B at most the D50 limit; D85F/opening above 1 for a hole, 1.2 or more for a slot. The cover is the
    filter's filter.

    Symbols: B base soil, F filter, C cover; opening_mm, diameter of a hole or width of a slot of a pipe in the filter.

    Limits: gradings that reach the percents needed. d50_ratio_limit is 40, but 25 where an opening is given.
    """
    refuse_if(
        opening_mm is not None and filter_gradation is None, "opening_mm", "an opening without a filter round it",
        "filter_gradation beside it",
    )  # fmt: skip
    at_pipe = D50_LIMIT if opening_mm is None else D50_LIMIT_AT_PIPE
    limits = Limits(
        retention_limit, permeability_limit, d15_ratio_limit, at_pipe if d50_ratio_limit is None else d50_ratio_limit
    )
    base = _sizes(base_gradation, "base_gradation", True)
    cover = None if cover_gradation is None else _sizes(cover_gradation, "cover_gradation", False)
    band = size_band(base, cover, limits)
    keys: dict[str, Any] = {"band_ok": _band_ok(band), **band}
    if filter_gradation is not None:
        fine = cover is not None or opening_mm is not None
        stone = _sizes(filter_gradation, "filter_gradation", fine)
        keys |= _verdicts(base, stone, cover, limits)
        if opening_mm is not None and stone.d85 is not None:
            keys["opening_ratio"], keys["opening_ok"] = _opening(stone.d85, opening_mm, opening_kind)
        keys["passes"] = all(value for key, value in keys.items() if key.endswith("_ok") and key != "band_ok")
    assert base.d85 is not None
    return FilterCheck(base_d15_mm=base.d15, base_d50_mm=base.d50, base_d85_mm=base.d85, **keys)


def _verdicts(base: Sizes, stone: Sizes, cover: Sizes | None, limits: Limits) -> dict[str, Any]:
    """Ratios and verdicts of the filter on its base and, with a cover, of the cover on the filter, by result key."""
    on_base = size_ratios(stone, base, limits)
    keys: dict[str, Any] = {
        "d15_d85_ratio": on_base.d15_d85,
        "d15_d15_ratio": on_base.d15_d15,
        "d50_d50_ratio": on_base.d50_d50,
        "retention_ok": on_base.retention_ok,
        "permeability_ok": on_base.permeability_ok,
        "uniformity_ok": on_base.uniformity_ok,
    }
    if cover is not None:
        above = size_ratios(cover, stone, limits)
        keys["cover_ok"] = above.retention_ok and above.permeability_ok and above.uniformity_ok
    return keys


def _sizes(gradation: list[Sieve], key: str, with_d85: bool) -> Sizes:
    d15, d50 = grain_size(gradation, 15.0, key), grain_size(gradation, 50.0, key)
    return Sizes(d15, d50, grain_size(gradation, 85.0, key) if with_d85 else None)
