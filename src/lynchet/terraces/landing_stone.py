"""The stone under landings of steps on ground that is no bed: level on top, stepped to the ground below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from lynchet.core.plane import Point
from lynchet.ground.model import Surface
from lynchet.ground.surface import level_at
from lynchet.terraces.flight_forms import Form
from lynchet.terraces.model import Landing, LandingStone
from lynchet.terraces.step_frames import STEP_STONE_M

_PARTS = 3
"""Strips across the way, each with a level bottom of its own."""
_LEVEL_M = 0.005
_REACH_M = 2.0


def foot_stone(form: Form, name: str, surface: Surface) -> tuple[LandingStone, ...]:
    """Under the landing before the lowest nosing: a bed of tamped stone, deeper where the ground lies lower."""
    level, deep = form.foot_level_m, form.crossing.landing_m
    return tuple(_stone(form, f"{name}/foot", -deep, level, surface, down_m=STEP_STONE_M))


def head_stone(form: Form, name: str, surface: Surface) -> tuple[LandingStone, ...]:
    """Behind the highest nosing, where the ground lies lower than the landing: made up to it."""
    start = form.run_m + form.head_gap_m
    return tuple(_stone(form, f"{name}/head", start, form.head_level_m, surface, down_m=0.0))


def renamed(landings: Sequence[Landing], old: str, new: str) -> tuple[Landing, ...]:
    """Landings whose stone carries the id of another flight."""
    stones = [tuple(replace(one, id=new + one.id.removeprefix(old)) for one in end.stone) for end in landings]
    return tuple(replace(end, stone=stone) for end, stone in zip(landings, stones, strict=True))


def _stone(
    form: Form, name: str, start_m: float, level_m: float, surface: Surface, *, down_m: float
) -> Iterator[LandingStone]:  # fmt: skip
    """Strips of a landing from one distance from the foot on, each down to its lowest ground, or ``down_m`` deep."""
    part = form.crossing.landing_m / _PARTS
    for n in range(_PARTS):
        a = start_m + n * part
        ring: tuple[Point, ...] = form.box(a, a + part)
        known = [float(z) for z in level_at(surface, ring, _REACH_M) if z == z]
        bottom = min(level_m - down_m, *known) if known else level_m - down_m
        if level_m - bottom > _LEVEL_M:
            yield LandingStone(f"{name}.{n + 1}", ring, bottom, level_m)
