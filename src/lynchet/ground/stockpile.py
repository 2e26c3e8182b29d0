"""Heaps of dug soil: how high and wide they stand, and how far they must keep from the edge of a dig."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np
from annotated_types import Gt, Lt
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.core.circles import circle_area
from lynchet.core.kinds import NotNegative, Positive, Words

Array = NDArray[np.float64]
SLACK = 1e-9


@dataclass(frozen=True)
class Stockpile:
    """One heap on level ground."""

    height_m: float
    width_m: float
    length_m: float
    footprint_m2: float
    centre_from_edge_m: float
    clear: bool | None = None


def cone_height(loose_m3: ArrayLike, repose_deg: ArrayLike) -> Array:
    """Height of a cone of this volume: V = pi h^3/(3 tan^2)."""
    tangent = np.tan(np.radians(np.asarray(repose_deg, dtype=float)))
    return np.asarray(np.cbrt(3.0 * np.asarray(loose_m3, dtype=float) * tangent**2 / np.pi), dtype=float)


def cone_m3(height_m: ArrayLike, slope: ArrayLike) -> Array:
    """Volume pi h^3/(3 tan^2) of a cone by the slope (rise over run) of its sides: also of a ridge's two round ends."""
    return np.asarray(np.pi * np.asarray(height_m, dtype=float) ** 3 / (3.0 * np.square(slope)), dtype=float)


def ridge_height(loose_m3: ArrayLike, repose_deg: ArrayLike, crest_m: ArrayLike, sloping_ends: bool) -> Array:
    """Height of a ridge of this volume: V = L h^2/tan, with pi h^3/(3 tan^2) more where its ends slope too."""
    volume, crest = np.asarray(loose_m3, dtype=float), np.asarray(crest_m, dtype=float)
    tangent = np.tan(np.radians(np.asarray(repose_deg, dtype=float)))
    height = np.sqrt(volume * tangent / crest)
    if not sloping_ends:
        return np.asarray(height, dtype=float)
    height = np.minimum(height, cone_height(volume, repose_deg))
    for _ in range(7):  # from at most 1.5 times the height of a convex volume five of Newton's steps are exact
        over = crest * height**2 / tangent + cone_m3(height, tangent) - volume
        height = height - over / (2.0 * crest * height / tangent + np.pi * height**2 / tangent**2)
    return np.asarray(height, dtype=float)


def _heap_steps(given: Mapping[str, Any], result: Stockpile) -> list[Step]:
    tangent = float(np.tan(np.radians(given["repose_deg"])))
    setback = given.get("setback_m", 0.6096)
    solved = "V = pi h^3/(3 t^2) solved for h"
    if given.get("shape", "cone") == "ridge":
        solved = "V = L h^2/t" + (" + pi h^3/(3 t^2)" if given.get("ends", "cone") == "cone" else "") + " solved for h"
    return [
        Step("t, tangent of the angle of repose", f"tan {given['repose_deg']:g}", tangent),
        Step("height", solved, result.height_m, "m"),
        Step("width of the base", f"2 x {result.height_m:.4g}/{tangent:.4g}", result.width_m, "m"),
        Step("least distance of the middle from the edge of a dig", f"{result.width_m:.4g}/2 + {setback:g}",
             result.centre_from_edge_m, "m"),
    ]  # fmt: skip


@calculator(
    source="29 CFR 1926.651(j)(2) (setback of 2 ft, secondary pages); printed table of conical heaps; geometry",
    known="SEEN",
    example={"loose_m3": 4.0, "repose_deg": 35.0},
    working=_heap_steps,
    caution="Spoil too near the edge loads the side of a dig and falls in on people: 0.61 m (2 ft) at least.",
)
def stockpile(
    *,
    loose_m3: Annotated[float, Gt(0), Words("loose volume")],
    repose_deg: Annotated[float, Gt(0), Lt(90)],
    shape: Literal["cone", "ridge"] = "cone",
    crest_length_m: Positive | None = None,
    ends: Literal["cone", "square"] = "cone",
    setback_m: NotNegative = 0.6096,
    toe_to_edge_m: float | None = None,
) -> Stockpile:
    """Height, base and place of a heap of loose soil.

    Equation: cone, V = pi h^3/(3 t^2); ridge, V = L h^2/t, with pi h^3/(3 t^2) more for sloping ends; width = 2 h/t;
    middle from the edge = width/2 + setback.

    Symbols: V, loose volume; t, tangent of the angle of repose; h, height; L, crest length of a ridge; toe, the heap's
    lower edge.

    Limits: level ground. Angles of repose: gravel 30 to 40, dry sand 25 to 35, moist sand 30 to 45 degrees.
    """
    missing = shape == "ridge" and crest_length_m is None
    refuse_if(missing, "crest_length_m", "missing", "the crest length of a ridge")
    idle = shape == "cone" and crest_length_m is not None
    refuse_if(idle, "crest_length_m", f"{crest_length_m} found", "none for a cone")
    crest = crest_length_m or 0.0
    if shape == "ridge":
        height = float(ridge_height(loose_m3, repose_deg, crest, ends == "cone"))
    else:
        height = float(cone_height(loose_m3, repose_deg))
    width = 2.0 * height / float(np.tan(np.radians(repose_deg)))
    square = shape == "ridge" and ends == "square"
    return Stockpile(
        height_m=height,
        width_m=width,
        length_m=crest if square else crest + width,
        footprint_m2=crest * width + (0.0 if square else circle_area(width)),
        centre_from_edge_m=width / 2.0 + setback_m,
        clear=toe_to_edge_m >= setback_m - SLACK if toe_to_edge_m is not None else None,
    )
