"""Pressure of loads behind a wall: line, point, strip, and what a compactor leaves locked in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Le

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive
from lynchet.stability.kinds import SLACK, WALL_CAUTION, Array, Fraction01, Numbers, deny, filled

_NEAR = 0.4
"""Loads nearer than this share of the height are taken at it (NAVFAC DM-7.02)."""


def _near(distance_m: Numbers, wall_height_m: Numbers) -> tuple[Array, Array]:
    """Distance over height, and whether it counts as near."""
    m = np.divide(distance_m, wall_height_m)
    return m, np.asarray(m <= _NEAR + SLACK)


def line_pressure(line_load: Numbers, distance_m: Numbers, wall_height_m: Numbers, depth_m: Numbers) -> Array:
    """Pressure in kPa at a depth from a line load in kN per metre (kernel)."""
    m, near = _near(distance_m, wall_height_m)
    n = np.divide(depth_m, wall_height_m)
    k = np.where(near, _NEAR, m)
    size = np.where(near, 0.20, 1.28 * m**2)
    return np.asarray(size * n * line_load / (wall_height_m * (k**2 + n**2) ** 2))


def line_thrust(line_load: Numbers, distance_m: Numbers, wall_height_m: Numbers) -> tuple[Array, Array]:
    """Thrust in kN per metre and its height above the base (centroid of the pressure) from a line load (kernel)."""
    m, near = _near(distance_m, wall_height_m)
    thrust = np.where(near, 0.55, 0.64 / (m**2 + 1.0)) * line_load
    k = np.where(near, _NEAR, m)
    return thrust, np.asarray(wall_height_m * (1.0 - (k * (k**2 + 1.0) * np.arctan(1.0 / k) - k**2)))


def point_pressure(load_kn: Numbers, distance_m: Numbers, wall_height_m: Numbers, depth_m: Numbers) -> Array:
    """Pressure in kPa at a depth, straight in front of a point load (kernel)."""
    m, near = _near(distance_m, wall_height_m)
    n = np.divide(depth_m, wall_height_m)
    k = np.where(near, _NEAR, m)
    size = np.where(near, 0.28, 1.77 * m**2)
    return np.asarray(size * load_kn * n**2 / (np.square(wall_height_m) * (k**2 + n**2) ** 3))


def _strip_angles(near_m: Numbers, width_m: Numbers, depth_m: Numbers) -> tuple[Array, Array]:
    far_m = np.add(near_m, width_m)
    return np.arctan2(near_m, depth_m), np.arctan2(far_m, depth_m)


def strip_pressure(pressure_kpa: Numbers, near_m: Numbers, width_m: Numbers, depth_m: Numbers) -> Array:
    """Free elastic pressure in kPa at a depth beside a long strip load (kernel; twice this on a rigid wall)."""
    t1, t2 = _strip_angles(near_m, width_m, depth_m)
    return np.asarray(pressure_kpa / pi * ((t2 - t1) - np.sin(t2 - t1) * np.cos(t1 + t2)))


def strip_thrust(
    pressure_kpa: Numbers, near_m: Numbers, width_m: Numbers, wall_height_m: Numbers
) -> tuple[Array, Array]:
    """Thrust in kN per metre and moment about the base in kN m per metre of the free elastic pressure (kernel)."""
    t1, t2 = _strip_angles(near_m, width_m, wall_height_m)
    x1, x2 = np.asarray(near_m), np.add(near_m, width_m)
    area = wall_height_m * (t2 - t1)
    turn = np.square(wall_height_m) * (t2 - t1) - x2**2 * (pi / 2 - t2) + x1**2 * (pi / 2 - t1)
    turn = turn + np.multiply(wall_height_m, width_m)
    return np.asarray(pressure_kpa / pi * area), np.asarray(pressure_kpa / (2 * pi) * turn)


def compaction(line_load: Numbers, unit_weight: Numbers, at_rest: Numbers) -> tuple[Array, Array, Array]:
    """Critical depth, limit depth in m and plateau in kPa of locked-in compaction pressure (kernel)."""
    s = np.sqrt(2.0 * np.asarray(line_load) / (pi * np.asarray(unit_weight)))
    return at_rest * s, s / at_rest, unit_weight * s


def compaction_at(line_load: Numbers, unit_weight: Numbers, at_rest: Numbers, depth_m: Numbers) -> Array:
    """Locked-in compaction pressure in kPa at a depth (kernel)."""
    critical, limit, plateau = compaction(line_load, unit_weight, at_rest)
    own = np.multiply(unit_weight, depth_m)
    deep = np.where(depth_m > limit, at_rest * own, plateau)
    return np.where(depth_m < critical, own / at_rest, deep)


@dataclass(frozen=True)
class LoadThrust:
    """Thrust of a load and where it acts."""

    thrust_kn_per_m: float
    height_m: float
    """Above the base."""
    pressure_kpa: float | None = None
    """At the depth asked for."""


@dataclass(frozen=True)
class LoadPressure:
    """Pressure at one depth."""

    pressure_kpa: float


@dataclass(frozen=True)
class CompactionPressure:
    """Locked-in pressure after compaction."""

    critical_depth_m: float
    limit_depth_m: float
    plateau_kpa: float
    pressure_kpa: float | None = None


def _deny_depth(depth_m: float | None, wall_height_m: float) -> None:
    outside = depth_m is not None and not 0 <= depth_m <= wall_height_m + SLACK
    deny(outside, "depth_m", f"{depth_m} found", f"0 to the wall height, {wall_height_m:g}")


def _line_steps(given: Mapping[str, Any], result: LoadThrust) -> list[Step]:
    q, x, h = given["line_load_kn_per_m"], given["distance_m"], given["wall_height_m"]
    m, near = _near(x, h)
    how = f"0.55 x {q:g} (m up to 0.4)" if bool(near) else f"0.64 x {q:g}/(m² + 1)"
    return [
        Step("m", f"distance/height = {x:g}/{h:g}", float(m)),
        Step("thrust", how, result.thrust_kn_per_m, "kn_per_m"),
        Step("height above the base", "H (1 - (k (k² + 1) atan(1/k) - k²)), k = max(m, 0.4)", result.height_m, "m"),
    ]


@calculator(
    source="NAVFAC Design Manual 7.02, 1986, line load on an unyielding wall (form recalled)",
    known="MEMORY",
    example={"line_load_kn_per_m": 10.0, "distance_m": 0.6, "wall_height_m": 1.0},
    working=_line_steps,
    caution=WALL_CAUTION,
)
def line_load_thrust(
    *,
    line_load_kn_per_m: NotNegative,
    distance_m: NotNegative,
    wall_height_m: Positive,
    depth_m: float | None = None,
) -> LoadThrust:
    """Thrust on a wall from a long load running beside it.

    Equation: m = x/H, n = z/H. m up to 0.4: pressure 0.20 n Q/(H (0.16 + n²)²), thrust 0.55 Q; above: pressure
    1.28 m² n Q/(H (m² + n²)²), thrust 0.64 Q/(m² + 1).

    Symbols: Q load per metre, x its distance from the wall, H wall height, z depth below the top.

    Limits: unyielding wall. The height of the thrust is the centroid of the pressure. Near the wall the tabulated 0.55
    stands, where the pressure adds up to 0.539.
    """
    _deny_depth(depth_m, wall_height_m)
    thrust, height = line_thrust(line_load_kn_per_m, distance_m, wall_height_m)
    at = None if depth_m is None else float(line_pressure(line_load_kn_per_m, distance_m, wall_height_m, depth_m))
    return LoadThrust(float(thrust), float(height), at)


@calculator(
    source="UFC 3-220-20, Foundations and Earth Structures, 2025, Fig. 4-18 (NAVFAC DM-7.02 point-load form)",
    known="SEEN",
    example={"load_kn": 5.0, "distance_m": 0.5, "wall_height_m": 1.0, "depth_m": 0.4},
    caution=WALL_CAUTION,
)
def point_load_pressure(
    *,
    load_kn: NotNegative,
    distance_m: NotNegative,
    wall_height_m: Positive,
    depth_m: float,
    offset_angle_deg: Annotated[float, Ge(-80), Le(80)] = 0.0,
) -> LoadPressure:
    """Pressure on a wall from a single load behind it.

    Equation: m = x/H, n = z/H. m up to 0.4: 0.28 Q n²/(H² (0.16 + n²)³); above: 1.77 Q m² n²/(H² (m² + n²)³); times
    cos²(1.1 a).

    Symbols: Q load, x its distance from the wall, H wall height, z depth, a angle along the wall seen from the load's
    foot.

    Limits: unyielding wall.
    """
    _deny_depth(depth_m, wall_height_m)
    beside = np.cos(np.radians(1.1 * offset_angle_deg)) ** 2
    return LoadPressure(float(point_pressure(load_kn, distance_m, wall_height_m, depth_m) * beside))


def _strip_steps(given: Mapping[str, Any], result: LoadThrust) -> list[Step]:
    a = filled(strip_load_pressure, given)
    t1, t2 = (float(np.degrees(t)) for t in _strip_angles(a["near_m"], a["width_m"], a["wall_height_m"]))
    times = 2 if a["doubled"] else 1
    return [
        Step("t1 at the base", "atan(near edge/height)", t1, "deg"),
        Step("t2 at the base", "atan(far edge/height)", t2, "deg"),
        Step("thrust", f"{times} q/pi H (t2 - t1), angles in radians", result.thrust_kn_per_m, "kn_per_m"),
        Step("height above the base", "moment/thrust", result.height_m, "m"),
    ]


@calculator(
    source="Boussinesq strip load on a rigid wall (B. M. Das, Principles of Foundation Engineering, recalled)",
    known="MEMORY",
    example={"pressure_kpa": 12.0, "near_m": 0.6, "width_m": 1.8, "wall_height_m": 0.9},
    working=_strip_steps,
    caution=WALL_CAUTION,
)
def strip_load_pressure(
    *,
    pressure_kpa: NotNegative,
    near_m: NotNegative,
    width_m: Positive,
    wall_height_m: Positive,
    depth_m: float | None = None,
    doubled: bool = True,
) -> LoadThrust:
    """Thrust on a wall from a long strip load such as a path, an upper tier or a parked car.

    Equation: pressure = n (q/pi)(e - sin e cos(t1 + t2)), e = t2 - t1, t = atan(x/z) to the near and far edge; thrust
    = n (q/pi) H (t2 - t1) with the angles at the base.

    Symbols: q pressure of the strip, x distance of its edges from the back of the wall, z depth, H wall height, n = 2
    for a rigid wall (`doubled`), 1 for the free elastic value.

    Limits: load at the level of the wall's top. Sources differ by exactly the factor n. A load over the whole bench
    belongs in lateral_thrust.
    """
    _deny_depth(depth_m, wall_height_m)
    times = 2.0 if doubled else 1.0
    thrust, moment = (times * float(v) for v in strip_thrust(pressure_kpa, near_m, width_m, wall_height_m))
    at = None if depth_m is None else times * float(strip_pressure(pressure_kpa, near_m, width_m, depth_m))
    return LoadThrust(thrust, moment / thrust if thrust > 0 else 0.0, at)


@calculator(
    source="BS 8002:2015, Code of practice for earth retaining structures, Eq. 22 (after Ingold)",
    known="SEEN",
    example={"line_load_kn_per_m": 2.0, "unit_weight_kn_m3": 18.0, "at_rest_coefficient": 0.5},
    caution=WALL_CAUTION,
)
def compaction_pressure(
    *,
    line_load_kn_per_m: Positive,
    unit_weight_kn_m3: Positive,
    at_rest_coefficient: Fraction01,
    depth_m: NotNegative | None = None,
) -> CompactionPressure:
    """Pressure that a roller or plate leaves locked in behind a wall.

    Equation: s = sqrt(2 P/(pi g)); critical depth K0 s, limit depth s/K0, plateau g s; pressure g z/K0 above the
    critical depth, the plateau down to the limit depth, K0 g z below.

    Symbols: P weight of the roller over its width, g unit weight of the soil, K0 at-rest coefficient, z depth.

    Limits: unyielding wall; not together with a live load. For a low stack it says how far to keep machines off.
    """
    critical, limit, plateau = compaction(line_load_kn_per_m, unit_weight_kn_m3, at_rest_coefficient)
    at = None
    if depth_m is not None:
        at = float(compaction_at(line_load_kn_per_m, unit_weight_kn_m3, at_rest_coefficient, depth_m))
    return CompactionPressure(float(critical), float(limit), float(plateau), at)
