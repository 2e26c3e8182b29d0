"""Shadows of walls, and the light class a bed's hours of sun put it in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Ge, Gt, Le
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if

Array = NDArray[np.float64]
Azimuth = Annotated[float, Ge(0), Le(360)]
DayHours = Annotated[float, Ge(0), Le(24)]
SLACK = 1e-9


@dataclass(frozen=True)
class WallShadow:
    """Shadow of a level wall top on level ground."""

    length_m: float
    shadow_azimuth_deg: float
    depth_m: float


@dataclass(frozen=True)
class LightClass:
    """Light class of a place."""

    light_class: Literal["full sun", "part shade", "shade"]
    light_code: Literal["sun", "part", "shade"]
    near_boundary: bool


def shadow_length(height_m: ArrayLike, altitude_deg: ArrayLike) -> Array:
    """Length of a shadow along the sun: height/tan(altitude)."""
    return np.asarray(
        np.asarray(height_m, dtype=float) / np.tan(np.radians(np.asarray(altitude_deg, dtype=float))), dtype=float
    )


def square_to_wall(length_m: ArrayLike, azimuth_deg: ArrayLike, bearing_deg: ArrayLike) -> Array:
    """Depth of a shadow square to the wall, never negative."""
    turn = np.radians(np.asarray(azimuth_deg, dtype=float) - np.asarray(bearing_deg, dtype=float))
    return np.asarray(np.asarray(length_m, dtype=float) * np.abs(np.sin(turn)), dtype=float)


def _shadow_steps(given: Mapping[str, Any], result: WallShadow) -> list[Step]:
    height, altitude = given["height_m"], given["sun_altitude_deg"]
    turn = given["sun_azimuth_deg"] - given["wall_bearing_deg"]
    return [
        Step("length along the sun", f"{height:g}/tan({altitude:g})", result.length_m, "m"),
        Step("way the shadow falls", f"{given['sun_azimuth_deg']:g} + 180", result.shadow_azimuth_deg, "deg"),
        Step("depth square to the wall", f"{result.length_m:.4g} x |sin({turn:g})|", result.depth_m, "m"),
    ]


@calculator(
    source="tan(altitude) = height/shadow; plane geometry",
    known="DERIVED",
    example={"height_m": 0.9, "sun_altitude_deg": 26.5, "sun_azimuth_deg": 180.0, "wall_bearing_deg": 90.0},
    working=_shadow_steps,
)
def wall_shadow(
    *,
    height_m: Annotated[float, Ge(0), Le(100)],
    sun_altitude_deg: Annotated[float, Gt(0), Le(90)],
    sun_azimuth_deg: Azimuth,
    wall_bearing_deg: Azimuth,
) -> WallShadow:
    """Shadow of a wall: how long, which way, how deep square to the wall.

    Equation: length = h/tan(altitude); depth = length x |sin(sun azimuth - wall bearing)|; shadow azimuth = sun azimuth
    + 180.

    Symbols: h, height of the wall's top over the ground; azimuths and bearings clockwise from true north.

    Limits: level wall top, level ground, sun above the horizon.
    """
    length = float(shadow_length(height_m, sun_altitude_deg))
    return WallShadow(
        length_m=length,
        shadow_azimuth_deg=(sun_azimuth_deg + 180.0) % 360.0,
        depth_m=float(square_to_wall(length, sun_azimuth_deg, wall_bearing_deg)),
    )


def light_index(sun_h: ArrayLike, full_sun_from_h: float = 6.0, part_shade_from_h: float = 3.0) -> NDArray[np.intp]:
    """0 shade, 1 part shade, 2 full sun for each value; a boundary belongs to the sunnier class."""
    hours = np.asarray(sun_h, dtype=float)
    return np.asarray((hours >= part_shade_from_h).astype(np.intp) + (hours >= full_sun_from_h), dtype=np.intp)


def _light_steps(given: Mapping[str, Any], result: LightClass) -> list[Step]:
    full, part = given.get("full_sun_from_h", 6.0), given.get("part_shade_from_h", 3.0)
    how = f"{given['sun_h']:g} h against {full:g} and {part:g} h"
    return [Step("light class", how + (", near a boundary" if result.near_boundary else ""), result.light_class)]


@calculator(
    source="CSU Extension (A. Lentz), garden light classes; Ashland (Oregon) Garden Club, planting terms",
    known="SEEN",
    example={"sun_h": 5.2},
    working=_light_steps,
)
def light_class(
    *,
    sun_h: DayHours,
    full_sun_from_h: DayHours = 6.0,
    part_shade_from_h: DayHours = 3.0,
    band_h: Annotated[float, Ge(0), Le(6)] = 0.5,
) -> LightClass:
    """Light class of a bed from its hours of direct sun.

    Equation: full sun from full_sun_from_h up, part shade from part_shade_from_h up, else shade.

    Symbols: sun_h, mean over the leafed-out season (last spring to first autumn frost unless other dates are set);
    band_h, how near a boundary counts as doubtful.

    Limits: a boundary belongs to the sunnier class. Sources differ on the lower one: 2, 3 or 4 hours.
    """
    found = f"boundary {part_shade_from_h:g} h found"
    refuse_if(part_shade_from_h >= full_sun_from_h, "part_shade_from_h", found, f"under {full_sun_from_h:g} h")
    index = int(light_index(sun_h, full_sun_from_h, part_shade_from_h))
    near = min(abs(sun_h - full_sun_from_h), abs(sun_h - part_shade_from_h)) <= band_h + SLACK
    words: list[tuple[Literal["full sun", "part shade", "shade"], Literal["sun", "part", "shade"]]]
    words = [("shade", "shade"), ("part shade", "part"), ("full sun", "sun")]
    return LightClass(*words[index], near)
