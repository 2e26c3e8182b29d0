"""Laws of the number of terraces where the file gives none: wished steps find room where a count considered has it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

import numpy as np

from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.project.model import Brief, Project
from lynchet.project.things import StepsWish
from lynchet.terraces.model import Terraces
from lynchet.terraces.stage import terraces
from yards import project_of, readings_over

_COURSES = 4
"""Walls of up to so many courses are considered for the sake of steps."""


def _unfit(made: Terraces) -> int:
    return sum(finding.code == "terraces.flight_unfit" for finding in made.findings)


def _laid(yard: tuple[Project, Ground], **brief: object) -> Terraces:
    project, ground = yard
    return terraces(replace(project, brief=replace(project.brief, **brief)), ground, Standing())  # type: ignore[arg-type]


def _yards(count: int, **brief: object) -> Iterator[tuple[Project, Ground]]:
    """Invented yards, rather steep, four-cornered and leaning, with steps wished right up them."""
    rng = np.random.default_rng(20_27)
    for _ in range(count):
        wide, deep, slope, lean = rng.uniform(7, 13), rng.uniform(6, 11), rng.uniform(0.14, 0.3), rng.uniform(-0.1, 0.1)
        skew = rng.uniform(-0.8, 0.8, 3)
        outline = [(0.0, 0.0), (wide, skew[0]), (wide + skew[1], deep), (0.0, deep + skew[2])]
        x, turn = wide * rng.uniform(0.25, 0.75), rng.uniform(-0.6, 0.6)
        wish = StepsWish("", ((x, -1.2), (x + turn, deep + 1.0)), float(rng.uniform(0.9, 1.2)))
        level = readings_over(outline, lambda x, y, s=slope, t=lean: 100.0 + s * y + t * x)
        yield project_of(outline, level, brief=Brief(**brief), steps=(wish,))  # type: ignore[arg-type]


@lru_cache(maxsize=1)
def _planned() -> tuple[tuple[tuple[Project, Ground], Terraces], ...]:
    return tuple((yard, _laid(yard)) for yard in _yards(5))


def _considered(yard: tuple[Project, Ground], made: Terraces) -> Iterator[Terraces]:
    """The same yard by every count whose benches lie no more than four courses apart, fewer than were laid or more."""
    course = yard[0].timber.course_m
    for count in range(1, len(made.levels_m) + 2):
        other = _laid(yard, terraces=count)
        rises = np.diff(other.levels_m)
        if len(other.levels_m) == count > 1 and rises.max() < (_COURSES - 0.5) * course:
            yield other


def test_a_count_chosen_by_the_program_leaves_no_flight_without_room_that_another_has_room_for() -> None:
    """Random yards: no count considered, asked for by the file, leaves fewer flights out than the one chosen."""
    short = [(yard, made) for yard, made in _planned() if _unfit(made)]
    assert short
    for yard, made in short[:2]:
        least = min((_unfit(other) for other in _considered(yard, made)), default=_unfit(made))
        assert _unfit(made) <= least, (yard[0].area.outline_m, len(made.levels_m))


def test_a_count_changed_for_steps_is_told_and_asked_for_gives_the_same() -> None:
    """Where steps changed the count, a finding says so; the file that asks for it has the same terraces."""
    changed = 0
    for yard, made in _planned():
        told = [finding for finding in made.findings if finding.code == "terraces.for_steps"]
        plain = _laid((replace(yard[0], steps=()), yard[1]))
        assert bool(told) == (len(plain.levels_m) != len(made.levels_m))
        if told:
            changed += 1
            asked = _laid(yard, terraces=len(made.levels_m))
            assert asked.levels_m == made.levels_m and asked.lines == made.lines and asked.flights == made.flights
    assert changed >= 2


def test_a_highest_wall_wished_is_kept_for_steps_too() -> None:
    """With a highest wall in the file, steps never make the terraces fewer than that height asks for."""
    for yard in _yards(3, highest_wall_m=0.32):
        made, plain = _laid(yard), _laid((replace(yard[0], steps=()), yard[1]))
        assert len(made.levels_m) >= len(plain.levels_m)
