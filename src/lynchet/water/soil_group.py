"""Hydrologic soil group: how readily a soil lets rain in."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Literal

from lynchet.core.calculator import calculator, refuse, refuse_if
from lynchet.core.kinds import NotNegative, Positive
from lynchet.core.tables import read_table

GROUPS: tuple[Literal["A", "B", "C", "D"], ...] = ("A", "B", "C", "D")
RESTRICTIVE_M, WATER_TABLE_M, DEEP_M = 0.5, 0.6, 1.0
DEEP_LIMITS_MM_H = (36.0, 14.4, 1.44)
"""10, 4 and 0.4 micrometres a second: above them A, B, C."""
SHALLOW_LIMITS_MM_H = (144.0, 36.0, 3.6)
"""40, 10 and 1 micrometres a second."""


@dataclass(frozen=True)
class SoilGroup:
    """Hydrologic soil group."""

    group: Literal["A", "B", "C", "D"]


def group_by_conductivity(conductivity_mm_h: float, restrictive_layer_m: float, water_table_m: float = inf) -> int:
    """Place in ``GROUPS`` by the slowest layer and the depths to the restrictive layer and the water table."""
    if restrictive_layer_m < RESTRICTIVE_M or water_table_m < WATER_TABLE_M:
        return 3
    deep = restrictive_layer_m > DEEP_M and water_table_m > DEEP_M
    limits = DEEP_LIMITS_MM_H if deep else SHALLOW_LIMITS_MM_H
    return sum(conductivity_mm_h <= limit for limit in limits)


def group_by_texture(texture: str) -> int | None:
    """Place in ``GROUPS`` by the texture list; None where the list does not hold it."""
    table = read_table("water", "soil_groups")
    held = dict(zip(table.words("texture"), table.words("group"), strict=True))
    return "ABCD".index(held[texture]) if texture in held else None


@calculator(
    source="USDA SCS, TR-55, 1986, appendix A (texture); USDA NRCS, NEH 630 chapter 7, 2009, table 7-1 (deep row seen, "
    "shallow rows recalled); compacted PRACTICE",
    known="SEEN",
    example={"method": "conductivity", "conductivity_mm_h": 20.0, "restrictive_layer_m": 1.5},
)
def hydrologic_soil_group(
    *,
    method: Literal["texture", "conductivity"],
    texture: str | None = None,
    conductivity_mm_h: NotNegative | None = None,
    restrictive_layer_m: Positive | None = None,
    water_table_m: NotNegative | None = None,
    compacted: bool = False,
) -> SoilGroup:
    """Hydrologic soil group, A (lets rain in) to D (sheds it).

    Equation: by texture from a list; by conductivity A above 36, B above 14.4, C above 1.44 mm/h on deep soil, 144, 36
    and 3.6 where a layer or water lies 0.5 or 0.6 to 1.0 m down, D above that.

    Symbols: conductivity_mm_h, of the slowest layer; restrictive_layer_m, depth to the layer that water cannot pass;
    water_table_m, depth to it (left out: deep); compacted, one group worse.

    Limits: the two published lists disagree, so the method is always named. The texture list has no silt.
    """
    place = None if texture is None else group_by_texture(texture)
    if method == "texture" or texture is not None:
        names = ", ".join(read_table("water", "soil_groups").words("texture"))
        found = "no texture given" if texture is None else f"the texture {texture!r} is not in the list"
        refuse_if(place is None, "texture", found, f"one of {names}")
    if method == "conductivity":
        if conductivity_mm_h is None:
            raise refuse("conductivity_mm_h", "conductivity missing", "mm/h of the slowest layer")
        if restrictive_layer_m is None:
            raise refuse("restrictive_layer_m", "missing, but the method is conductivity", "its depth in metres")
        deep = inf if water_table_m is None else water_table_m
        place = group_by_conductivity(conductivity_mm_h, restrictive_layer_m, deep)
    assert place is not None
    return SoilGroup(GROUPS[min(place + compacted, 3)])
