"""Normal flow in an open channel or swale: rectangle, trapezoid or V."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.water.travel_time import manning_velocity_m_s

Array = NDArray[np.float64]


@dataclass(frozen=True)
class ChannelFlow:
    """Depth and flow of a channel."""

    depth_m: float
    area_m2: float
    wetted_perimeter_m: float
    top_width_m: float
    flow_m3_s: float
    velocity_m_s: float
    velocity_ok: bool | None = None


def section_area_m2(depth_m: ArrayLike, bottom_width_m: ArrayLike, side_slope: ArrayLike) -> Array:
    """Area (b + z y) y of the water (any shapes that go together)."""
    depth = np.asarray(depth_m, dtype=float)
    return np.asarray((np.asarray(bottom_width_m, dtype=float) + np.asarray(side_slope, dtype=float) * depth) * depth)


def section_perimeter_m(depth_m: ArrayLike, bottom_width_m: ArrayLike, side_slope: ArrayLike) -> Array:
    """Wetted perimeter b + 2 y (1 + z^2)^0.5 (any shapes that go together)."""
    sides = 2.0 * np.asarray(depth_m, dtype=float) * np.hypot(1.0, side_slope)
    return np.asarray(np.asarray(bottom_width_m, dtype=float) + sides)


def normal_flow_m3_s(
    depth_m: ArrayLike, bottom_width_m: ArrayLike, side_slope: ArrayLike, slope: ArrayLike, roughness: ArrayLike
) -> Array:
    """Manning's flow at a depth (any shapes that go together)."""
    area = section_area_m2(depth_m, bottom_width_m, side_slope)
    perimeter = section_perimeter_m(depth_m, bottom_width_m, side_slope)
    return np.asarray(area * manning_velocity_m_s(area / perimeter, slope, roughness))


def normal_depth_m(
    flow_m3_s: ArrayLike, bottom_width_m: ArrayLike, side_slope: ArrayLike, slope: ArrayLike, roughness: ArrayLike
) -> Array:
    """Depth that carries a flow (any shapes that go together; flow above zero).

    Newton steps on ln Q against ln y, whose slope lies between 1 and 8/3, so that every step is safe.
    """
    flow, bottom, side, fall, rough = np.broadcast_arrays(
        *(np.asarray(a, dtype=float) for a in (flow_m3_s, bottom_width_m, side_slope, slope, roughness))
    )
    leg = np.hypot(1.0, side)
    depth = np.full(flow.shape, 0.1)
    for _ in range(7):  # the bend of ln Q is so slight that six are full precision from a micrometre to kilometres
        area, perimeter = section_area_m2(depth, bottom, side), section_perimeter_m(depth, bottom, side)
        ratio = flow / (area * manning_velocity_m_s(area / perimeter, fall, rough))
        growth = 5.0 / 3.0 * (bottom + 2.0 * side * depth) * depth / area - 4.0 / 3.0 * leg * depth / perimeter
        depth = depth * np.exp(np.log(ratio) / growth)
    return np.asarray(depth)


def _channel_steps(given: Mapping[str, Any], result: ChannelFlow) -> list[Step]:
    b, z, y = given["bottom_width_m"], given["side_slope"], result.depth_m
    a, p = result.area_m2, result.wetted_perimeter_m
    how = "given" if "depth_m" in given else f"solved for {given['flow_m3_s']:g} m3/s"
    return [
        Step("depth y", how, y, "m"),
        Step("area A", f"({b:g} + {z:g} x {y:.4g}) x {y:.4g}", a, "m2"),
        Step("wetted perimeter P", f"{b:g} + 2 x {y:.4g} x (1 + {z:g}^2)^0.5", p, "m"),
        Step(
            "velocity",
            f"({a:.4g}/{p:.4g})^(2/3) x {given['slope']:g}^0.5/{given['roughness']:g}",
            result.velocity_m_s,
            "m_s",
        ),
        Step("flow", f"{result.velocity_m_s:.4g} x {a:.4g}", result.flow_m3_s, "m3_s"),
    ]


@calculator(
    source="Manning's formula; Bedient, Huber & Vieux, Hydrology and Floodplain Analysis, 5th ed., Example 7-1",
    known="SEEN",
    example={"bottom_width_m": 0.3, "side_slope": 2.0, "slope": 0.01, "roughness": 0.03, "depth_m": 0.15},
    working=_channel_steps,
)
def channel_flow(
    *,
    bottom_width_m: NotNegative,
    side_slope: NotNegative,
    slope: Positive,
    roughness: Positive,
    depth_m: Positive | None = None,
    flow_m3_s: Positive | None = None,
    permissible_velocity_m_s: Positive | None = None,
) -> ChannelFlow:
    """Depth, flow and velocity in a swale, ditch or channel.

    Equation: A = (b + z y) y; P = b + 2 y (1 + z^2)^0.5; Q = A (A/P)^(2/3) s^0.5/n; V = Q/A.

    Symbols: bottom_width_m, b; side_slope, z horizontal per vertical on both sides; slope, s as rise over run;
    roughness, Manning's n; depth_m, y; permissible_velocity_m_s, what the cover bears.

    Limits: exactly one of depth and flow; bottom width and side slope not both zero; even, steady flow.
    """
    both = "both depth_m and flow_m3_s found" if depth_m is not None else "neither depth_m nor flow_m3_s found"
    refuse_if((depth_m is None) == (flow_m3_s is None), "depth_m or flow_m3_s", both, "exactly one of the two")
    refuse_if(
        bottom_width_m == 0 and side_slope == 0, "bottom_width_m and side_slope",
        "a channel of no width: both are zero", "one of them above zero",
    )  # fmt: skip
    if depth_m is None:
        assert flow_m3_s is not None
        depth_m = float(normal_depth_m(flow_m3_s, bottom_width_m, side_slope, slope, roughness))
    area = float(section_area_m2(depth_m, bottom_width_m, side_slope))
    flow = float(normal_flow_m3_s(depth_m, bottom_width_m, side_slope, slope, roughness))
    velocity = flow / area
    return ChannelFlow(
        depth_m=depth_m,
        area_m2=area,
        wetted_perimeter_m=float(section_perimeter_m(depth_m, bottom_width_m, side_slope)),
        top_width_m=bottom_width_m + 2.0 * side_slope * depth_m,
        flow_m3_s=flow if flow_m3_s is None else flow_m3_s,
        velocity_m_s=velocity,
        velocity_ok=None if permissible_velocity_m_s is None else velocity <= permissible_velocity_m_s * (1 + 1e-12),
    )
