"""Water on its way through soil and stone: Darcy's flow in a layer, Dupuit's flow to a drain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import NotNegative, Positive

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LayerFlow:
    """Flow in a drainage layer per metre of wall."""

    flow_m3_s_per_m: float
    flow_l_s_per_m: float


@dataclass(frozen=True)
class Seepage:
    """Flow between two water levels per metre of wall, positive from start to end."""

    flow_start_m3_s_per_m: float
    flow_end_m3_s_per_m: float
    divide_exists: bool
    head_max_m: float
    divide_m: float | None = None


def layer_flow_m3_s_per_m(permeability_m_s: ArrayLike, thickness_m: ArrayLike, gradient: ArrayLike) -> Array:
    """Darcy's q = k i t (any shapes that go together)."""
    speed = np.asarray(permeability_m_s, dtype=float) * np.asarray(gradient, dtype=float)
    return np.asarray(speed * np.asarray(thickness_m, dtype=float))


@dataclass(frozen=True)
class Strip:
    """Ground on a flat impermeable base between two water levels, with even recharge."""

    length_m: float
    head_start_m: float
    head_end_m: float
    permeability_m_s: float
    recharge_m_s: float = 0.0

    def flow_m3_s_per_m(self, x_m: ArrayLike) -> Array:
        """Flow at x, positive toward the end (any shape)."""
        fall = (self.head_start_m**2 - self.head_end_m**2) / (2.0 * self.length_m)
        gathered = self.recharge_m_s * (np.asarray(x_m, dtype=float) - self.length_m / 2.0)
        return np.asarray(self.permeability_m_s * fall + gathered)

    def head_m(self, x_m: ArrayLike) -> Array:
        """Height of the water table above the base at x (any shape)."""
        x = np.asarray(x_m, dtype=float)
        line = self.head_start_m**2 - x / self.length_m * (self.head_start_m**2 - self.head_end_m**2)
        square = line + self.recharge_m_s / self.permeability_m_s * x * (self.length_m - x)
        return np.asarray(np.sqrt(np.maximum(square, 0.0)))

    def divide_m(self) -> float | None:
        """Where the water parts, if it does between the ends."""
        if self.recharge_m_s <= 0:
            return None
        fall = (self.head_start_m**2 - self.head_end_m**2) / (2.0 * self.length_m)
        at = self.length_m / 2.0 - self.permeability_m_s / self.recharge_m_s * fall
        return at if 0.0 < at < self.length_m else None


@calculator(
    source="Darcy's law",
    known="SEEN",
    example={"permeability_m_s": 0.1, "thickness_m": 0.3, "gradient": 1.0},
)
def gravel_layer_flow(*, permeability_m_s: Positive, thickness_m: Positive, gradient: Positive) -> LayerFlow:
    """Water that a layer of drain stone lets through, per metre of wall.

    Equation: q = k i t.

    Symbols: permeability_m_s, k; thickness_m, t; gradient, i (1 = straight down).

    Limits: steady laminar flow; coarse clean stone carries somewhat less.
    """
    flow = float(layer_flow_m3_s_per_m(permeability_m_s, thickness_m, gradient))
    return LayerFlow(flow, 1000.0 * flow)


def _seepage_steps(given: Mapping[str, Any], result: Seepage) -> list[Step]:
    length, h0, h1 = given["length_m"], given["head_start_m"], given["head_end_m"]
    k, w = given["permeability_m_s"], given.get("recharge_m_s", 0.0)
    steps = [
        Step("flow at the start", f"{k:g} x ({h0:g}^2 - {h1:g}^2)/(2 x {length:g}) - {w:g} x {length:g}/2",
             result.flow_start_m3_s_per_m, "m3_s_per_m"),
        Step("flow at the end", f"that + {w:g} x {length:g}", result.flow_end_m3_s_per_m, "m3_s_per_m"),
    ]  # fmt: skip
    if result.divide_m is not None:
        how = f"{length:g}/2 - {k:g}/{w:g} x ({h0:g}^2 - {h1:g}^2)/(2 x {length:g})"
        steps.append(Step("water parts at", how, result.divide_m, "m"))
    return [*steps, Step("highest water", "h at the divide, or the higher end", result.head_max_m, "m")]


@calculator(
    source="Dupuit flow with recharge; Bedient, Huber & Vieux, 5th ed., Example 8-3",
    known="SEEN",
    example={
        "length_m": 4.0, "head_start_m": 0.1, "head_end_m": 0.1, "permeability_m_s": 1e-6, "recharge_m_s": 2e-7
    },
    working=_seepage_steps,
)  # fmt: skip
def drain_seepage(
    *,
    length_m: Positive,
    head_start_m: NotNegative,
    head_end_m: NotNegative,
    permeability_m_s: Positive,
    recharge_m_s: NotNegative = 0.0,
) -> Seepage:
    """Flow through the ground to a drain, and how high the water stands between.

    Equation: q(x) = K (h0^2 - hL^2)/(2 L) + W (x - L/2); h(x)^2 = h0^2 - (x/L)(h0^2 - hL^2) + (W/K) x (L - x);
    divide = L/2 - (K/W)(h0^2 - hL^2)/(2 L).

    Symbols: head_start_m and head_end_m, h0 and hL above the impermeable base at x = 0 and L; permeability_m_s, K;
    recharge_m_s, W, rain that soaks in.

    Limits: steady flow, gentle water table, flat base, even ground.
    """
    strip = Strip(length_m, head_start_m, head_end_m, permeability_m_s, recharge_m_s)
    start, end = (float(strip.flow_m3_s_per_m(x)) for x in (0.0, length_m))
    divide = strip.divide_m()
    highest = max(head_start_m, head_end_m) if divide is None else float(strip.head_m(divide))
    return Seepage(start, end, divide is not None, highest, divide)
