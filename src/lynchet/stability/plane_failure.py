"""Ground that slides on a plane: a long slope, and a wedge behind a steep face or cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from annotated_types import Ge, Gt, Le, Lt

from lynchet.core.calculator import Step, calculator
from lynchet.core.kinds import Fraction, NotNegative, Positive
from lynchet.stability.kinds import SLACK, SLOPE_CAUTION, Array, Friction, Numbers, deny, filled, tangent
from lynchet.stability.thrust import WATER_KN_M3

_FLATTEST_DEG = 1.0
_BELOW_FACE_DEG = 0.1
"""The worst plane is looked for from the first angle up to this much below the face."""


@dataclass(frozen=True)
class Skin:
    """A long slope; plain numbers or arrays."""

    slope_deg: Numbers
    depth_m: Numbers
    """Vertical, to the slip plane."""
    soil_kn_m3: Numbers
    friction_deg: Numbers
    cohesion_kpa: Numbers = 0.0
    water_fraction: Numbers = 0.0
    seismic: Numbers = 0.0
    water_kn_m3: Numbers = WATER_KN_M3


def infinite_slope(skin: Skin) -> Array:
    """Factor of a plane parallel to a long slope (kernel)."""
    b = np.radians(skin.slope_deg)
    sin_b, cos_b = np.sin(b), np.cos(b)
    weight = np.multiply(skin.soil_kn_m3, skin.depth_m)
    u = np.multiply(skin.water_kn_m3, skin.water_fraction) * skin.depth_m * cos_b**2
    normal = weight * cos_b**2 - skin.seismic * weight * sin_b * cos_b - u
    driving = weight * sin_b * cos_b + skin.seismic * weight * cos_b**2
    return np.asarray((skin.cohesion_kpa + normal * tangent(skin.friction_deg)) / driving)


@dataclass(frozen=True)
class SlopeFactor:
    """Strength over what drives."""

    factor: float


@calculator(
    source="J. M. Duncan and S. G. Wright, Soil Strength and Slope Stability, 2005, ch. 6 and 14",
    known="SEEN",
    example={"slope_deg": 21.8, "friction_angle_deg": 30.0},
    caution=SLOPE_CAUTION,
)
def infinite_slope_factor(
    *,
    slope_deg: Annotated[float, Gt(0), Le(89)],
    friction_angle_deg: Friction,
    depth_m: Positive = 1.0,
    unit_weight_kn_m3: Positive = 18.0,
    cohesion_kpa: NotNegative = 0.0,
    water_fraction: Fraction = 0.0,
    seismic_coefficient: Fraction = 0.0,
    water_unit_weight_kn_m3: Positive = WATER_KN_M3,
) -> SlopeFactor:
    """Factor of a long slope that slides in a sheet parallel to its surface.

    Equation: F = (c + (g z cos²b - k g z sin b cos b - u) tan p)/(g z sin b cos b + k g z cos²b), u = gw m z cos²b.

    Symbols: b slope, z vertical depth, g unit weight, c cohesion, p friction angle, m share of the depth with seepage
    parallel to the slope, k seismic coefficient, gw unit weight of water.

    Limits: a slope long against the depth of the sheet.
    """
    skin = Skin(
        slope_deg,
        depth_m,
        unit_weight_kn_m3,
        friction_angle_deg,
        cohesion_kpa,
        water_fraction,
        seismic_coefficient,
        water_unit_weight_kn_m3,
    )
    return SlopeFactor(float(infinite_slope(skin)))


@dataclass(frozen=True)
class Bank:
    """A bank with a level top, its toe at the origin."""

    height_m: float
    soil_kn_m3: float
    friction_deg: float
    cohesion_kpa: float
    crest_offset_m: float
    crack_x_m: float | None
    crack_water_m: float
    water_kn_m3: float

    @property
    def face_deg(self) -> float:
        """Angle of the face."""
        return float(np.degrees(np.arctan2(self.height_m, self.crest_offset_m)))

    def steepest_deg(self) -> float:
        """Steepest plane tried: just below the face, or to the foot of the crack with its water standing in it."""
        below = self.face_deg - _BELOW_FACE_DEG
        if self.crack_x_m is None:
            return below
        foot = np.degrees(np.arctan2(self.height_m - self.crack_water_m, self.crack_x_m))
        return float(min(below, foot))


@dataclass(frozen=True)
class Wedge:
    """A wedge on its plane."""

    factor: Array
    weight_kn_per_m: Array
    uplift_kn_per_m: Array


def plane_wedge(bank: Bank, plane_deg: Numbers) -> Wedge:
    """Factor, weight and water uplift of the wedge over each plane from the toe (kernel)."""
    a = np.asarray(np.radians(plane_deg), dtype=np.float64)
    end = bank.height_m / np.tan(a) if bank.crack_x_m is None else np.full_like(a, bank.crack_x_m)
    high, crest = bank.height_m, bank.crest_offset_m
    # shoelace over toe, crest, top of crack, foot of crack
    twice = end * high - crest * high + end * (high - end * np.tan(a))
    area = 0.5 * np.abs(twice)
    weight = bank.soil_kn_m3 * area
    length = end / np.cos(a)
    push = 0.5 * bank.water_kn_m3 * bank.crack_water_m**2
    uplift = 0.5 * bank.water_kn_m3 * bank.crack_water_m * length
    normal = weight * np.cos(a) - uplift - push * np.sin(a)
    driving = weight * np.sin(a) + push * np.cos(a)
    return Wedge((bank.cohesion_kpa * length + normal * tangent(bank.friction_deg)) / driving, weight, uplift)


def worst_plane_deg(bank: Bank) -> float:
    """Angle of the least factor: a fine scan, then closing in on the least of it."""
    low, high = _FLATTEST_DEG, bank.steepest_deg()
    for _ in range(6):
        angles = np.linspace(low, high, 1001)
        best = int(np.argmin(plane_wedge(bank, angles).factor))
        low, high = float(angles[max(best - 1, 0)]), float(angles[min(best + 1, 1000)])
    return float(angles[best])


@dataclass(frozen=True)
class PlaneWedge:
    """The wedge on a given or the worst plane."""

    factor: float
    plane_angle_deg: float
    weight_kn_per_m: float
    uplift_kn_per_m: float


def _wedge_steps(given: Mapping[str, Any], result: PlaneWedge) -> list[Step]:
    a = filled(plane_wedge_factor, given)
    found = "given" if a["plane_angle_deg"] is not None else "least factor of all planes through the toe"
    return [
        Step("plane", found, result.plane_angle_deg, "deg"),
        Step("weight of the wedge", "unit weight x area", result.weight_kn_per_m, "kn_per_m"),
        Step("uplift of the crack's water", "half gw hw L", result.uplift_kn_per_m, "kn_per_m"),
        Step("factor", "(c L + (W cos a - U - V sin a) tan p)/(W sin a + V cos a)", result.factor),
    ]


def _deny_plane(bank: Bank, plane_deg: float | None) -> None:
    face, water = bank.face_deg, bank.crack_water_m
    if plane_deg is not None:
        steep = plane_deg >= face - SLACK
        deny(steep, "plane_angle_deg", f"plane angle {plane_deg:g} found", f"flatter than the face, {face:.4g}")
    if bank.crack_x_m is None:
        deny(water > 0, "crack_water_m", f"{water:g} found, but no crack", "0, or crack_x_m")
        return
    x, key = bank.crack_x_m, "crack_x_m"
    deny(x < bank.crest_offset_m - SLACK, key, f"crack at {x:g}, in the face", f"{bank.crest_offset_m:g} or more")
    if plane_deg is None:
        flat = bank.steepest_deg() < _FLATTEST_DEG
        deny(flat, "crack_water_m", f"{water:g} in the crack leaves no plane", "less water or a nearer crack")
        return
    foot = x * float(tangent(plane_deg))
    deny(foot > bank.height_m + SLACK, key, f"crack at {x:g}, beyond the plane's end at the top", "a nearer crack")
    deep = max(bank.height_m - foot, 0.0)
    deny(water > deep + SLACK, "crack_water_m", f"{water:g} found", f"up to the depth of the crack, {deep:.4g}")


@calculator(
    source="S. D. Priest, Discontinuity Analysis for Rock Engineering, 1993; Culmann's plane through the toe",
    known="DERIVED",
    example={"height_m": 1.2, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0, "cohesion_kpa": 2.0},
    working=_wedge_steps,
    caution=SLOPE_CAUTION + " Never stand under or enter a steep cut.",
)
def plane_wedge_factor(
    *,
    height_m: Positive,
    unit_weight_kn_m3: Positive,
    friction_angle_deg: Friction,
    plane_angle_deg: Annotated[float, Gt(0), Lt(90)] | None = None,
    cohesion_kpa: NotNegative = 0.0,
    crest_offset_m: Annotated[float, Ge(0)] = 0.0,
    crack_x_m: Positive | None = None,
    crack_water_m: NotNegative = 0.0,
    water_unit_weight_kn_m3: Positive = WATER_KN_M3,
) -> PlaneWedge:
    """Factor of a wedge of ground behind a steep face, on a given plane or on the worst one.

    Equation: F = (c L + (W cos a - U - V sin a) tan p)/(W sin a + V cos a); V = half gw hw², U = half gw hw L.

    Symbols: a plane angle, L length of the plane from the toe to the top or to the crack, W weight of the wedge, hw
    water in the crack, gw its unit weight, c cohesion, p friction angle; the crack's place from the toe.

    Limits: plane through the toe, level top. Without an angle the least factor over planes from 1° up to 0.1° below the
    face, or to the crack's foot.
    """
    bank = Bank(
        height_m,
        unit_weight_kn_m3,
        friction_angle_deg,
        cohesion_kpa,
        crest_offset_m,
        crack_x_m,
        crack_water_m,
        water_unit_weight_kn_m3,
    )
    _deny_plane(bank, plane_angle_deg)
    angle = worst_plane_deg(bank) if plane_angle_deg is None else plane_angle_deg
    wedge = plane_wedge(bank, angle)
    return PlaneWedge(float(wedge.factor), angle, float(wedge.weight_kn_per_m), float(wedge.uplift_kn_per_m))
