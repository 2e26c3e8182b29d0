"""Heights of the walls as an office may count them: ground held, timber seen, lowest timber to top; tiers together."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.drawings.source import Planned
from lynchet.drawings.wall_facts import greatest_m, standing
from lynchet.stability.model import HeightCheck, Place
from lynchet.walls.model import Leg


@dataclass(frozen=True)
class WallHeight:
    """One wall: at the place where it holds most, its greatest heights along its whole length, its highest top."""

    leg: str
    station_m: float
    held_m: float
    seen_m: float
    """Lower ground to the top of the timber, the greatest along the wall."""
    whole_m: float
    """Underside of the lowest timber to the top, the greatest along the wall."""
    low_m: float
    base_m: float
    top_m: float
    highest_m: float
    """Highest top of its timber anywhere, as the setting-out card and the wall sheet give it."""
    setback_m: float | None = None
    """Face to face from the wall below in the stack; None for the lowest and for walls outside it."""


@dataclass(frozen=True)
class Heights:
    """The tallest stack of walls one above the other, the lowest first, and the other walls."""

    stack: tuple[WallHeight, ...]
    others: tuple[WallHeight, ...]

    @property
    def held_m(self) -> float:
        """Sum of the stack: ground held."""
        return sum(wall.held_m for wall in self.stack)

    @property
    def seen_m(self) -> float:
        """Sum of the stack: timber seen."""
        return sum(wall.seen_m for wall in self.stack)

    @property
    def whole_m(self) -> float:
        """Sum of the stack: lowest timber to top."""
        return sum(wall.whole_m for wall in self.stack)


def wall_heights(plan: Planned) -> Heights:
    """Read from the places and the height checks of the plan."""
    worst: dict[str, Place] = {}
    for place in plan.stability.places:
        if place.leg not in worst or place.retained_m > worst[place.leg].retained_m:
            worst[place.leg] = place
    legs = tuple(leg for leg in _stack(plan.stability.heights) if leg in worst)
    most = {leg.id: (*greatest_m(plan, leg), _top_m(plan, leg)) for leg in standing(plan)}
    near = {(check.lower, check.upper): check.setback_m for check in plan.stability.tiers}
    below = (None, *legs[:-1])
    stack = tuple(_height(worst[leg], most[leg], near.get((low, leg)) if low else None)
                  for low, leg in zip(below, legs, strict=True)) if legs else ()  # fmt: skip
    return Heights(stack, tuple(_height(place, most[leg]) for leg, place in sorted(worst.items()) if leg not in legs))


def _stack(checks: tuple[HeightCheck, ...]) -> tuple[str, ...]:
    """The stack with the greatest height of those the checks name."""
    return max(checks, key=lambda check: (check.tiers, check.height_m)).walls if checks else ()


def _top_m(plan: Planned, leg: Leg) -> float:
    return max(run.top_m for run in plan.walls.runs if run.leg == leg.id)


def _height(place: Place, most: tuple[float, float, float], setback_m: float | None = None) -> WallHeight:
    held = place.top_m - place.low_m
    seen, whole = max(held, place.retained_m, most[0]), max(place.top_m - place.base_m, most[1])
    return WallHeight(place.leg, place.station_m, place.retained_m, seen, whole, place.low_m,
                      place.base_m, place.top_m, most[2], setback_m)  # fmt: skip
