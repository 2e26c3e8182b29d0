"""The forms of a flight over one wall or several: how many risers, how deep the goings, what ground it takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, inf

from lynchet.core.plane import Point, left_of, move
from lynchet.terraces.crossings import Crossing
from lynchet.terraces.model import FlightKind

LEAST_RISER_M = 0.10
MOST_RISER_M = 0.197
LEAST_GOING_M = 0.28
MOST_GOING_M = 0.47
STEP_RULE_M = 0.63
"""Two risers and a going."""
LEVELLED = 0.5
"""Of a riser, by which ground that is no bed is made up or dug off at most for a landing at a foot."""
MOST_LEVELLED = 0.625
"""The same where the ground rises again before the wall."""
LEAST_BOX_M = 0.05
"""Of the first box behind a wall that is itself the first riser. PRACTICE."""
NO_BOX = "the timber of the wall leaves no room for its first tread behind it"
_MOST_OUTSIDE = 40


@dataclass(frozen=True)
class Form:
    """A flight that might be built: where it begins, how far it reaches."""

    kind: FlightKind
    crossing: Crossing
    """The lowest wall it climbs."""
    top: Crossing
    """The highest."""
    risers: int
    riser_m: float
    going_m: float
    foot: Point
    """Middle of the lowest nosing."""
    run_m: float
    """From the lowest nosing to the highest."""
    foot_level_m: float
    head_level_m: float
    head_gap_m: float = 0.0
    """From the highest nosing to the ground of the landing: the thickness of the wall it passes over."""

    head_let_in: bool = False
    """The head lies behind the upper wall, let into its bench."""

    @property
    def way(self) -> Point:
        """Unit vector from foot to head."""
        return self.crossing.way

    def box(self, from_m: float, to_m: float, beside_m: float = 0.0) -> tuple[Point, ...]:
        """Rectangle of the flight's width, and so much more on both sides, between two distances from the foot,
        anticlockwise."""
        right = left_of((-self.way[0], -self.way[1]))
        half = self.crossing.width_m / 2 + beside_m
        low, high = move(self.foot, self.way, from_m), move(self.foot, self.way, to_m)
        return (move(low, right, -half), move(low, right, half), move(high, right, half), move(high, right, -half))

    @property
    def outline(self) -> tuple[Point, ...]:
        """Ground under the treads."""
        return self.box(0.0, self.run_m)

    @property
    def foot_landing(self) -> tuple[Point, ...]:
        """Landing before the lowest nosing."""
        return self.box(-self.crossing.landing_m, 0.0)

    @property
    def head_landing(self) -> tuple[Point, ...]:
        """Landing behind the highest nosing, the timber it passes over included."""
        return self.box(self.run_m, self.run_m + self.head_gap_m + self.crossing.landing_m)


def riser_courses(course_m: float) -> int:
    """Courses in a riser: one, or two where one is low; 0 where neither fits the limits."""
    if LEAST_RISER_M - 1e-9 <= course_m <= MOST_RISER_M + 1e-9:
        return 1
    if course_m < LEAST_RISER_M and 2 * course_m <= MOST_RISER_M + 1e-9:
        return 2
    return 1 if 0.095 <= course_m < LEAST_RISER_M else 0


def going(riser_m: float) -> float:
    """Depth of a tread from the step rule, within its limits."""
    return min(MOST_GOING_M, max(LEAST_GOING_M, STEP_RULE_M - 2.0 * riser_m))


def projecting(crossing: Crossing, course_m: float, thick_m: float, ground: Callable[[Point], float]) -> Form | str:
    """Boxes before the wall, which stays as it is.

    Outside the beds it runs out until what is left down to the ground is nearer to one riser than to two: the landing
    at its foot is levelled by less than half a riser, and no tread lies level with the ground it stands on.
    """
    count = riser_courses(course_m)
    riser = course_m * count
    deep = going(riser)
    face = move(crossing.point, crossing.way, -thick_m if crossing.timber_low else 0.0)
    gap = thick_m
    rise = crossing.head_level_m - crossing.foot_level_m
    if crossing.low_flat:
        risers = round(rise / riser)
        if abs(risers * riser - rise) > 0.002:
            return "the benches differ by an odd number of courses, and a riser takes two"
    else:
        found = _down_to_ground(crossing, face, (riser, deep), ground)
        if isinstance(found, str):
            return found
        risers = found
    run = (risers - 1) * deep
    foot = move(face, crossing.way, -run)
    base = crossing.head_level_m - risers * riser
    return Form("projecting", crossing, crossing, risers, riser, deep, foot, run, base, crossing.head_level_m, gap)


def _down_to_ground(
    crossing: Crossing, face: Point, step: tuple[float, float], ground: Callable[[Point], float]
) -> int | str:
    """Risers down to ground that is no bed, or why there are none.

    Args:
        crossing: the wall.
        face: where the last riser stands.
        step: riser and going.
        ground: levels in plan.
    """
    riser, deep = step
    before = inf
    for risers in range(1, _MOST_OUTSIDE + 1):
        level = ground(move(face, crossing.way, -(risers - 1) * deep))
        if level != level:
            return "it would run out over ground that was not measured"
        made_up = crossing.head_level_m - risers * riser - level
        if made_up <= LEVELLED * riser + 1e-9:
            nearer = before < -made_up  # ground that rises outward
            if risers > 1 and min(before, -made_up) > MOST_LEVELLED * riser:
                return "the ground before the wall rises again too steeply for a landing at their foot"
            return risers - 1 if nearer else risers
        before = made_up
    return "it never meets the ground below"


def recessed(crossing: Crossing, course_m: float, thick_m: float) -> Form | str:
    """Treads let into the higher bench; the wall passes below as the first riser."""
    if crossing.timber_low:
        return "the ground behind the wall lies outside the area"
    riser = course_m * riser_courses(course_m)
    rise = crossing.head_level_m - crossing.foot_level_m
    risers = round(rise / riser) if crossing.low_flat else ceil(rise / riser - LEVELLED - 1e-9)
    if crossing.low_flat and abs(risers * riser - rise) > 0.002:
        return "the benches differ by an odd number of courses, and a riser takes two"
    if risers < 2:
        return "one riser needs no flight let in"
    deep = going(riser)
    if deep < thick_m + LEAST_BOX_M:
        return NO_BOX
    base = crossing.head_level_m - risers * riser
    return Form("recessed", crossing, crossing, risers, riser, deep, crossing.point, (risers - 1) * deep, base,
                crossing.head_level_m, thick_m, True)  # fmt: skip


def through(low: Crossing, high: Crossing, run_m: float, course_m: float, thick_m: float) -> Form | str:
    """A strip over the benches between two walls, the lower one passing as first, the upper one as last riser."""
    riser = course_m * riser_courses(course_m)
    rise = high.head_level_m - low.foot_level_m
    risers = round(rise / riser)
    if abs(risers * riser - rise) > 0.002 or risers < 3:
        return "the benches differ by an odd number of courses, and a riser takes two"
    deep = run_m / (risers - 1)
    if not LEAST_GOING_M - 1e-9 <= deep <= MOST_GOING_M + 1e-9:
        return f"treads over several benches would be {deep:.2f} m deep"
    if deep < thick_m + LEAST_BOX_M:
        return NO_BOX
    return Form("through", low, high, risers, riser, deep, low.point, run_m, low.foot_level_m, high.head_level_m,
                thick_m)  # fmt: skip


def through_and_in(low: Crossing, high: Crossing, deep_m: float, course_m: float, thick_m: float) -> Form | str:
    """A strip over the benches above the lower wall that ends let into the bench behind the upper one."""
    if deep_m < thick_m + LEAST_BOX_M:
        return NO_BOX
    riser = course_m * riser_courses(course_m)
    rise = high.head_level_m - low.foot_level_m
    risers = round(rise / riser)
    if abs(risers * riser - rise) > 0.002 or risers < 3:
        return "the benches differ by an odd number of courses, and a riser takes two"
    return Form("through", low, high, risers, riser, deep_m, low.point, (risers - 1) * deep_m, low.foot_level_m,
                high.head_level_m, thick_m, True)  # fmt: skip


def goings(riser_m: float) -> list[float]:
    """Every going by the centimetre within the limits, the one of the step rule first."""
    ideal = going(riser_m)
    grid = [LEAST_GOING_M + 0.01 * i for i in range(round((MOST_GOING_M - LEAST_GOING_M) / 0.01) + 1)]
    return [ideal, *sorted(grid, key=lambda g: abs(g - ideal))]
