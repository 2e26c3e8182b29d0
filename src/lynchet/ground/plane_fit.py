"""The plane that fits levels best: mean slope, where water runs, how far each level is off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, degrees, hypot, sqrt
from typing import Annotated, Any

import numpy as np
from annotated_types import Len
from numpy.typing import ArrayLike, NDArray

from lynchet.core.calculator import Step, calculator, refuse_if
from lynchet.ground.outlines import off_line

Array = NDArray[np.float64]
FLAT = 1e-8


@dataclass(frozen=True)
class PlaneFit:
    """A plane through levels."""

    level_m: float
    centroid_x_m: float
    centroid_y_m: float
    x_slope: float
    y_slope: float
    fall_pct: float
    residuals_m: list[float]
    fall_bearing_deg: float | None = None
    sigma_m: float | None = None


def fitted_slopes(points: ArrayLike) -> tuple[Array, Array]:
    """Centroid (x, y, level) and slopes (along x, along y) of the least-squares plane of (n, 3) points."""
    at = np.asarray(points, dtype=float)
    centre = at.mean(axis=0)
    local = at - centre
    slopes = np.linalg.lstsq(local[:, :2], local[:, 2], rcond=None)[0]
    return centre, np.asarray(slopes, dtype=float)


def fall_bearing(x_slope: float, y_slope: float) -> float:
    """Bearing in which water runs, clockwise from +y, 0 up to but not 360."""
    bearing = degrees(atan2(-x_slope, -y_slope)) % 360.0
    return 0.0 if bearing >= 360.0 else bearing


def _plane_steps(given: Mapping[str, Any], result: PlaneFit) -> list[Step]:
    steps = [
        Step("mean level, at the middle of the points", f"{len(given['points'])} levels", result.level_m, "m"),
        Step("slope along x", "least squares", result.x_slope),
        Step("slope along y", "least squares", result.y_slope),
        Step("steepest fall", f"100 sqrt({result.x_slope:.4g}^2 + {result.y_slope:.4g}^2)", result.fall_pct, "pct"),
    ]
    if result.fall_bearing_deg is not None:
        steps.append(Step("water runs towards", "clockwise from +y", result.fall_bearing_deg, "deg"))
    return steps


@calculator(
    source="IASRI e-course, land levelling, plane method; least squares",
    known="SEEN",
    example={"points": [[0.0, 0.0, 1.0], [4.0, 0.0, 0.9], [0.0, 3.0, 1.2], [4.0, 3.0, 1.12]]},
    working=_plane_steps,
)
def plane_fit(*, points: list[Annotated[list[float], Len(3, 3)]]) -> PlaneFit:
    """Mean slope of spot levels: the plane of least squares and where water runs.

    Equation: least squares in level; fall = 100 sqrt(x slope^2 + y slope^2); bearing = atan2(-x slope, -y slope); sigma
    = sqrt(sum of squares/(n - 3)).

    Symbols: points, x, y, level; level_m, mean level, which is the plane's level at the centroid; residuals, level less
    plane; bearing, clockwise from +y.

    Limits: three points or more, not on one line. No bearing under a slope of 1e-8. Any plane through the centroid at
    the mean level balances cut and fill at the points.
    """
    count = len(points)
    refuse_if(count < 3, "points", f"{count} found", "three or more")
    at = np.array(points, dtype=float)
    refuse_if(off_line(at) <= 1e-9, "points", "all on one line", "points that span an area")
    centre, (x_slope, y_slope) = fitted_slopes(at)
    residuals = at[:, 2] - centre[2] - (at[:, :2] - centre[:2]) @ np.array([x_slope, y_slope])
    steepest = hypot(x_slope, y_slope)
    return PlaneFit(
        level_m=float(centre[2]),
        centroid_x_m=float(centre[0]),
        centroid_y_m=float(centre[1]),
        x_slope=float(x_slope),
        y_slope=float(y_slope),
        fall_pct=100.0 * steepest,
        residuals_m=residuals.tolist(),
        fall_bearing_deg=fall_bearing(float(x_slope), float(y_slope)) if steepest >= FLAT else None,
        sigma_m=sqrt(float((residuals**2).sum()) / (count - 3)) if count > 3 else None,
    )
