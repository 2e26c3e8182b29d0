"""How far bolts and pins must stay from ends, edges and each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from lynchet.core.calculator import Step, calculator, refuse, refuse_if
from lynchet.core.kinds import Positive
from lynchet.timber.values import NEAR, Angle, Array, Practice, Values, inches


@dataclass(frozen=True)
class FastenerDistances:
    """Distances for full strength, and the least allowed with reduced strength (US)."""

    end_m: float
    end_least_m: float | None
    edge_loaded_m: float
    edge_unloaded_m: float
    in_row_m: float
    in_row_least_m: float | None
    between_rows_m: float


def rows_across_m(diameter_m: Values, bearing_length_m: Values) -> Array:
    """Spacing of rows for load across the grain. NDS 2018, Table 12.5.1D."""
    diameter, length = np.asarray(diameter_m, float), np.asarray(bearing_length_m, float)
    return np.clip((5.0 * length + 10.0 * diameter) / 8.0, 2.5 * diameter, 5.0 * diameter)


def eu_distances_m(diameter_m: Values, angle_deg: Values, end_loaded: bool) -> dict[str, Values]:
    """Bolts and pins in EN 1995-1-1, Table 8.4: end, edge_loaded, edge_unloaded, in_row, between_rows."""
    d, angle = np.asarray(diameter_m, float), np.radians(angle_deg)
    sine = np.sin(angle)
    return {
        "end": np.maximum(7.0 * d, 0.08) if end_loaded else np.maximum((1.0 + 6.0 * sine) * d, 4.0 * d),
        "edge_loaded": np.maximum((2.0 + 2.0 * sine) * d, 3.0 * d),
        "edge_unloaded": 3.0 * d,
        "in_row": (4.0 + np.cos(angle)) * d,
        "between_rows": 4.0 * d,
    }


def _spacing_steps(given: Mapping[str, Any], result: FastenerDistances) -> list[Step]:
    d = given["diameter_m"]
    named = [
        ("to the end", result.end_m), ("to the end, least", result.end_least_m),
        ("to the edge pulled at", result.edge_loaded_m), ("to the other edge", result.edge_unloaded_m),
        ("in a row", result.in_row_m), ("in a row, least", result.in_row_least_m),
        ("between rows", result.between_rows_m),
    ]  # fmt: skip
    return [Step(what, f"{value / d:.3g} diameters", value, "m") for what, value in named if value is not None]


@calculator(
    source="NDS 2018, Tables 12.5.1A to D; EN 1995-1-1, Table 8.4",
    known="SEEN",
    example={"practice": "us", "diameter_m": 0.0127, "angle_deg": 90.0, "bearing_length_m": 0.1397},
    working=_spacing_steps,
)
def fastener_distances(
    *,
    practice: Practice,
    diameter_m: Positive,
    angle_deg: Angle = 0.0,
    end_loaded: bool = True,
    bearing_length_m: Positive | None = None,
) -> FastenerDistances:
    """Distances of bolts and pins from ends, edges and each other in softwood.

    Equation: US, along the grain: end 7D pulled toward the end, else 4D (least 3.5D, 2D at half value), edges 1.5D, in
    a row 4D (least 3D), rows 1.5D; across: end 4D (least 2D), loaded edge 4D, other 1.5D, in a row 4D (least 3D), rows
    2.5D for l/D up to 2, 5D from 6, (5l + 10D)/8 between. EU: in a row (4 + cos)d, rows 4d, end max(7d, 80 mm) loaded,
    else max((1 + 6 sin)d, 4d), loaded edge max((2 + 2 sin)d, 3d), other 3d.

    Symbols: D, d diameter; l the lesser of the lengths in the two members; angle of the load to the grain.

    Limits: US: along (0) or across (90) the grain, D of 1/4 in and more. Edges and rows may not be less; no more than
    5 in across the grain between outer fasteners. The 4D in a row across the grain is ours: the standard asks what the
    other member needs.
    """
    d = diameter_m
    if practice == "eu":
        eu = {key: float(value) for key, value in eu_distances_m(d, angle_deg, end_loaded).items()}
        return FastenerDistances(
            eu["end"], None, eu["edge_loaded"], eu["edge_unloaded"], eu["in_row"], None, eu["between_rows"]
        )
    refuse_if(
        angle_deg not in (0.0, 90.0), "angle_deg", f"angle of {angle_deg:g} degrees found", "0 or 90 in US practice"
    )
    refuse_if(
        bool(inches(d) < 0.25 - NEAR),
        "diameter_m",
        f"diameter {inches(d):.4g} in found",
        "1/4 in and more in US practice",
    )
    if angle_deg == 0.0:
        end = 7.0 * d if end_loaded else 4.0 * d
        return FastenerDistances(end, end / 2.0, 1.5 * d, 1.5 * d, 4.0 * d, 3.0 * d, 1.5 * d)
    if bearing_length_m is None:
        raise refuse("bearing_length_m", "bearing length missing", "needed across the grain in US practice")
    rows = float(rows_across_m(d, bearing_length_m))
    return FastenerDistances(4.0 * d, 2.0 * d, 4.0 * d, 1.5 * d, 4.0 * d, 3.0 * d, rows)
