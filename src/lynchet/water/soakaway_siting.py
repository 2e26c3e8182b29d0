"""Where a soakaway (dry well) may lie: distances to house, lot line, well, septic field, slopes and walls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from lynchet.core.calculator import calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.water.soakaway import CAUTION

SLACK = 1e-9
HOUSE_LIMIT_M = BOUNDARY_LIMIT_M = 3.048
WELL_LIMIT_M = STEEP_LIMIT_M = 15.24
SEPTIC_LIMIT_M = 10.668
SLOPE_LIMIT = 0.2
WATER_GAP_LIMIT_M = 0.9144
RATE_LIMIT_M_S = 1.905e-6
WALL_FACTOR = 4.0
ORDER = {
    "house_ok": "house",
    "slope_ok": "slope",
    "boundary_ok": "boundary",
    "well_ok": "well",
    "septic_ok": "septic",
    "steep_slope_ok": "steep slope",
    "ground_water_ok": "ground water",
    "rate_ok": "rate",
    "walls_ok": "wall",
}


@dataclass(frozen=True)
class NearWall:
    """A wall near the pit."""

    distance_m: NotNegative
    height_m: Positive
    side: Literal["above", "below"]
    """Above: the pit lies on the high side."""


@dataclass(frozen=True)
class SoakawayPlace:
    """Verdict on a place, item by item."""

    house_ok: bool
    slope_ok: bool
    failed: list[str]
    passes: bool
    boundary_ok: bool | None = None
    well_ok: bool | None = None
    septic_ok: bool | None = None
    steep_slope_ok: bool | None = None
    ground_water_ok: bool | None = None
    rate_ok: bool | None = None
    wall_needed_m: list[float] | None = None
    walls_ok: bool | None = None


def wall_distance_m(
    height_m: float, above: bool, house_limit_m: float = HOUSE_LIMIT_M, factor: float = WALL_FACTOR
) -> float:
    """Distance a pit keeps from a wall: behind it the larger of the house limit and factor x height, else half the
    limit or the height."""
    return max(house_limit_m, factor * height_m) if above else max(0.5 * house_limit_m, height_m)


def far_enough(distance_m: float | None, limit_m: float) -> bool | None:
    """Whether a distance reaches its limit; None where the thing is not there."""
    return None if distance_m is None else distance_m >= limit_m - SLACK


@calculator(
    source="Minnesota Stormwater Manual, setback tables; Single Family Residential Stormwater Management Plan, Dry "
    "Well (Infiltration), a soil district's sheet of 1 July 2010; distances to walls PRACTICE",
    known="SEEN",
    example={
        "house_distance_m": 4.0, "below_house": True, "ground_slope": 0.08,
        "walls": [{"distance_m": 6.0, "height_m": 1.2, "side": "above"}],
    },
    caution=CAUTION,
)  # fmt: skip
def soakaway_place(
    *,
    house_distance_m: NotNegative,
    below_house: bool,
    ground_slope: NotNegative,
    boundary_distance_m: NotNegative | None = None,
    well_distance_m: NotNegative | None = None,
    septic_distance_m: NotNegative | None = None,
    steep_slope_distance_m: NotNegative | None = None,
    ground_water_gap_m: NotNegative | None = None,
    infiltration_rate_m_s: NotNegative | None = None,
    walls: list[NearWall] = [],  # noqa: B006 (never changed)
    house_limit_m: Positive = HOUSE_LIMIT_M,
    boundary_limit_m: Positive = BOUNDARY_LIMIT_M,
    well_limit_m: Positive = WELL_LIMIT_M,
    septic_limit_m: Positive = SEPTIC_LIMIT_M,
    steep_limit_m: Positive = STEEP_LIMIT_M,
    slope_limit: Positive = SLOPE_LIMIT,
    water_gap_limit_m: Positive = WATER_GAP_LIMIT_M,
    rate_limit_m_s: Positive = RATE_LIMIT_M_S,
    wall_factor: Positive = WALL_FACTOR,
) -> SoakawayPlace:
    """Whether a soakaway may lie where it is wished.

    Equation: every distance at or above its limit, the slope at or below its own; behind a wall the larger of the house
    limit and wall_factor x height, in front of it the larger of half the house limit and the height.

    Symbols: house_distance_m, edge of the pit to the foundation; below_house, the ground falls from the house to the
    pit; ground_slope, rise over run at the pit; ground_water_gap_m, pit bottom to the highest water or rock;
    infiltration_rate_m_s, of the test pit; walls, side above where the pit lies on their high side.

    Limits: what is left out is not there. Local rules go before these: many places ask 30.48 m (100 ft) to a well,
    Minnesota recommends 60.96 m (200 ft) to the crest of a slope of 20 % and more.
    """
    rate = infiltration_rate_m_s
    keys: dict[str, Any] = {
        "house_ok": bool(far_enough(house_distance_m, house_limit_m)) and below_house,
        "slope_ok": ground_slope <= slope_limit + SLACK,
        "boundary_ok": far_enough(boundary_distance_m, boundary_limit_m),
        "well_ok": far_enough(well_distance_m, well_limit_m),
        "septic_ok": far_enough(septic_distance_m, septic_limit_m),
        "steep_slope_ok": far_enough(steep_slope_distance_m, steep_limit_m),
        "ground_water_ok": far_enough(ground_water_gap_m, water_gap_limit_m),
        "rate_ok": None if rate is None else rate >= rate_limit_m_s * (1.0 - SLACK),
    }
    if walls:
        needed = [wall_distance_m(wall.height_m, wall.side == "above", house_limit_m, wall_factor) for wall in walls]
        keys["wall_needed_m"] = needed
        keys["walls_ok"] = all(far_enough(wall.distance_m, limit) for wall, limit in zip(walls, needed, strict=True))
    failed = [name for key, name in ORDER.items() if keys.get(key) is False]
    return SoakawayPlace(failed=failed, passes=not failed, **keys)
