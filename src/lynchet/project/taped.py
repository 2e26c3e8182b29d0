"""Places as taped and as they lie in plan: the low edge's axes, the plane through readings, the tape on the slope."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot

from lynchet.core.plane import Point, left_of, minus, signed_area, unit
from lynchet.ground.plane_fit import fitted_slopes
from lynchet.ground.taping import level_length, slope_convert

Mapping = Callable[[Point], Point]


@dataclass(frozen=True)
class Yard:
    """What the sources of ground need to know of the plan: file coordinates in metres, as taped."""

    outline: tuple[Point, ...]
    others: tuple[Point, ...] = ()
    """Every other place the file names (houses, outlets, paths)."""

    def axes(self) -> tuple[Point, Point, Point]:
        """First corner, unit vector along edge 0, unit vector from edge 0 into the area."""
        along = unit(minus(self.outline[1], self.outline[0]))
        inward = left_of(along)
        if signed_area(self.outline) < 0:
            inward = (-inward[0], -inward[1])
        return self.outline[0], along, inward

    def box(self, margin_m: float) -> tuple[float, float, float, float]:
        """Least and largest x and y of everything in the file, widened."""
        xs, ys = zip(*self.outline, *self.others, strict=True)
        return min(xs) - margin_m, max(xs) + margin_m, min(ys) - margin_m, max(ys) + margin_m


def gradient(places: Sequence[Point], levels_m: Sequence[float]) -> Point:
    """Rise per metre in x and y of the plane through readings (least squares)."""
    _, slopes = fitted_slopes([(*place, level) for place, level in zip(places, levels_m, strict=True)])
    return float(slopes[0]), float(slopes[1])


def stretch_of_taped(rise_per_taped_m: float) -> float:
    """Level distance over distance taped along the slope, from the rise per metre of tape (a sine)."""
    if rise_per_taped_m >= 1.0:
        return 0.0
    return slope_convert(slope_length_m=1.0, rise_m=rise_per_taped_m).horizontal_m or 1.0


def stretch_of_slope(slope: float) -> float:
    """Level distance over distance along a slope given as rise over level run (a tangent)."""
    return float(level_length(1.0, slope))


def flattened(origin: Point, rise: Point, stretch: float) -> Mapping:
    """Mapping from places taped on the slope to plan: distances up and down the fall shrink, those across stay.

    Args:
        origin: stays where it is.
        rise: any vector pointing straight up the slope; (0, 0) maps nothing.
        stretch: level distance over taped distance along it.
    """
    size = hypot(*rise)
    if size < 1e-12 or stretch == 1.0:
        return lambda point: point
    up = (rise[0] / size, rise[1] / size)

    def flat(point: Point) -> Point:
        along = (point[0] - origin[0]) * up[0] + (point[1] - origin[1]) * up[1]
        return point[0] + (stretch - 1.0) * along * up[0], point[1] + (stretch - 1.0) * along * up[1]

    return flat
