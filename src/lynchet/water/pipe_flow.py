"""Flow in a round pipe by Manning's formula, full and part full."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import Positive

Array = NDArray[np.float64]
Numbers = float | Array
"""One number, or an array of them."""


@dataclass(frozen=True)
class FullFlow:
    """Flow in a pipe that runs just full."""

    area_m2: float
    velocity_m_s: float
    flow_m3_s: float
    flow_l_s: float


@dataclass(frozen=True)
class PartFullFlow:
    """Flow in a pipe at a depth; the ratios are to the full pipe."""

    depth_m: float
    depth_ratio: float
    area_ratio: float
    radius_ratio: float
    flow_ratio: float
    flow_m3_s: float
    velocity_m_s: float


def full_velocity_m_s(diameter_m: Numbers, slope: Numbers, roughness: Numbers) -> Numbers:
    """Velocity in a full pipe, (D/4)^(2/3) s^0.5/n (any shapes that go together)."""
    speed: Numbers = (diameter_m / 4.0) ** (2.0 / 3.0) * slope**0.5 / roughness
    return speed


def full_flow_m3_s(diameter_m: Numbers, slope: Numbers, roughness: Numbers) -> Numbers:
    """Flow of a full pipe in m3/s (any shapes that go together)."""
    return full_velocity_m_s(diameter_m, slope, roughness) * bore_area_m2(diameter_m)


def bore_area_m2(diameter_m: Numbers) -> Numbers:
    """Area of the bore."""
    return pi / 4.0 * diameter_m * diameter_m


def part_full_ratios(depth_ratio: ArrayLike) -> tuple[Array, Array, Array]:
    """Area, hydraulic radius and flow at a depth, each over that of the full pipe.

    Args:
        depth_ratio: depth over diameter, above 0 up to 1, any shape.

    Returns:
        Area ratio, radius ratio, flow ratio.
    """
    return _ratios_by_angle(_angle(depth_ratio))


def _angle(depth_ratio: ArrayLike) -> Array:
    """Angle of the water line seen from the centre: 2 acos(1 - 2 y/D), written so that shallow depths stay exact."""
    return np.asarray(4.0 * np.arcsin(np.sqrt(depth_ratio)))


def _ratios_by_angle(angle: Array) -> tuple[Array, Array, Array]:
    segment = _angle_less_sine(angle)
    area, radius = segment / (2.0 * pi), segment / angle
    return area, radius, np.asarray(area * radius ** (2.0 / 3.0))


def _angle_less_sine(angle: Array) -> Array:
    """th - sin th; by its series where the difference would lose digits."""
    square = angle**2
    series = angle**3 / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0 * (1.0 - square / 72.0)))
    return np.asarray(np.where(angle < 0.2, series, angle - np.sin(angle)))


def _peak_angle() -> float:
    """Angle at which the flow is largest: root of 3 th - 5 th cos th + 2 sin th (the derivative) between 4.5 and 6."""
    low, high = 4.5, 6.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        rising = 3.0 * middle - 5.0 * middle * np.cos(middle) + 2.0 * np.sin(middle) > 0
        low, high = (middle, high) if rising else (low, middle)
    return low


PEAK_ANGLE = _peak_angle()
PEAK_FLOW_RATIO = float(_ratios_by_angle(np.asarray(PEAK_ANGLE))[2])
"""Largest flow over that of the full pipe, 1.0757, at a depth of 0.938 of the diameter."""


_SHARES = 16


def depth_ratio_of_flow(flow_ratio: ArrayLike) -> Array:
    """Depth over diameter that carries a flow, on the rising branch (kernel; flow ratio up to ``PEAK_FLOW_RATIO``)."""
    wanted = np.asarray(flow_ratio, dtype=float)
    low, wide, shares = np.zeros_like(wanted), PEAK_ANGLE, np.arange(1, _SHARES) / _SHARES
    for _ in range(14):  # ever finer sixteenths of the angle: full precision, and no derivative near the peak
        tried = low[..., None] + wide * shares
        short = _ratios_by_angle(tried)[2] < wanted[..., None]
        low = low + wide / _SHARES * np.count_nonzero(short, axis=-1)
        wide /= _SHARES
    return np.asarray(np.sin(0.25 * np.minimum(low + wide, PEAK_ANGLE)) ** 2)


def _full_steps(given: Mapping[str, Any], result: FullFlow) -> list[Step]:
    d, s, n = given["diameter_m"], given["slope"], given["roughness"]
    return [
        Step("hydraulic radius D/4", f"{d:g}/4", d / 4.0, "m"),
        Step("velocity", f"({d:g}/4)^(2/3) x {s:g}^0.5/{n:g}", result.velocity_m_s, "m_s"),
        Step("area", f"pi/4 x {d:g}^2", result.area_m2, "m2"),
        Step("flow", f"{result.velocity_m_s:.4g} x {result.area_m2:.4g} x 1000", result.flow_l_s, "l_s"),
    ]


@calculator(
    source="Manning's formula, pipe just full; Bedient et al., Hydrology and Floodplain Analysis, 5th ed., Example 6-6",
    known="SEEN",
    example={"diameter_m": 0.1, "slope": 0.01, "roughness": 0.015},
    working=_full_steps,
)
def pipe_full_flow(*, diameter_m: Positive, slope: Positive, roughness: Positive) -> FullFlow:
    """Flow of a round pipe that runs just full.

    Equation: V = (D/4)^(2/3) s^0.5/n; Q = V pi D^2/4 (SI).

    Symbols: diameter_m, bore D; slope, s as rise over run; roughness, Manning's n.

    Limits: steady flow, free outlet, no head above the pipe.
    """
    area = float(bore_area_m2(diameter_m))
    velocity = float(full_velocity_m_s(diameter_m, slope, roughness))
    flow = float(full_flow_m3_s(diameter_m, slope, roughness))
    return FullFlow(area, velocity, flow, 1000.0 * flow)


def _part_steps(given: Mapping[str, Any], result: PartFullFlow) -> list[Step]:
    d, s, n = given["diameter_m"], given["slope"], given["roughness"]
    full = float(full_flow_m3_s(d, s, n))
    angle = float(_angle(result.depth_ratio))
    return [
        Step("flow of the full pipe", f"(D/4)^(2/3) s^0.5/n x pi D^2/4, D {d:g}, s {s:g}, n {n:g}", full, "m3_s"),
        Step("depth over diameter", f"{result.depth_m:.4g}/{d:g}", result.depth_ratio),
        Step("angle of the water line th", f"2 acos(1 - 2 x {result.depth_ratio:.4g})", angle, "rad"),
        Step("area over full", "(th - sin th)/(2 pi)", result.area_ratio),
        Step("hydraulic radius over full", "(th - sin th)/th", result.radius_ratio),
        Step("flow over full", f"{result.area_ratio:.4g} x {result.radius_ratio:.4g}^(2/3)", result.flow_ratio),
        Step("flow", f"{result.flow_ratio:.4g} x {full:.4g}", result.flow_m3_s, "m3_s"),
    ]


@calculator(
    source="US EPA, EPA/600/R-17/111 (2017), appendix C (after Chow, 1959)",
    known="SEEN",
    example={"diameter_m": 0.1, "slope": 0.01, "roughness": 0.015, "depth_m": 0.03},
    working=_part_steps,
)
def pipe_part_full_flow(
    *,
    diameter_m: Positive,
    slope: Positive,
    roughness: Positive,
    depth_m: Positive | None = None,
    flow_m3_s: Positive | None = None,
) -> PartFullFlow:
    """Depth or flow in a round pipe that runs part full.

    Equation: th = 2 acos(1 - 2 y/D); A/Af = (th - sin th)/(2 pi); R/Rf = (th - sin th)/th; V = Vf (R/Rf)^(2/3);
    Q/Qf = A/Af (R/Rf)^(2/3).

    Symbols: depth_m, y; diameter_m, D; slope, s as rise over run; roughness, Manning's n; f, the full pipe.

    Limits: exactly one of depth and flow. From a flow the smaller depth is found, up to 0.938 of the diameter,
    where the flow is largest (1.0757 of the full flow).
    """
    both = "both depth_m and flow_m3_s found" if depth_m is not None else "neither depth_m nor flow_m3_s found"
    refuse_if((depth_m is None) == (flow_m3_s is None), "depth_m or flow_m3_s", both, "exactly one of the two")
    full = float(full_flow_m3_s(diameter_m, slope, roughness))
    if flow_m3_s is not None:
        most = PEAK_FLOW_RATIO * full
        refuse_if(flow_m3_s > most, "flow_m3_s", f"{flow_m3_s:g} m3/s is above the capacity", f"up to {most:.5g} m3/s")
        ratio = float(depth_ratio_of_flow(flow_m3_s / full))
    else:
        assert depth_m is not None
        refuse_if(depth_m > diameter_m, "depth_m", f"a depth of {depth_m:g} m", f"up to the diameter, {diameter_m:g} m")
        ratio = depth_m / diameter_m
    area, radius, flow = (float(value) for value in part_full_ratios(ratio))
    return PartFullFlow(
        depth_m=ratio * diameter_m if depth_m is None else depth_m,
        depth_ratio=ratio,
        area_ratio=area,
        radius_ratio=radius,
        flow_ratio=flow if flow_m3_s is None else flow_m3_s / full,
        flow_m3_s=flow * full if flow_m3_s is None else flow_m3_s,
        velocity_m_s=float(full_velocity_m_s(diameter_m, slope, roughness)) * radius ** (2.0 / 3.0),
    )
