"""Yards planned with walls that stand, by edits of their files, at live effort."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from by_command import YARDS
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load
from lynchet.project.read import checked

DEMO = Path(__file__).parents[1] / "src" / "lynchet" / "demos" / "l_garden.toml"
FILES = {"garden": DEMO, "plain": YARDS / "plain.toml", "steep": YARDS / "tape_on_ground.toml"}


@cache
def loaded(name):
    return load(FILES[name])


def planned(name, *edits):
    """The plan of a file with edits, at live effort."""
    return plan_project(checked(loaded(name), edits), effort=LIVE)


@cache
def as_written(name):
    return planned(name)


def stands(wall, course, **more):
    """The edit that adds one entry."""
    return ("stands.1", {"wall": wall, "course": course, **more})


def courses_of(plan, leg):
    """How many courses a wall has."""
    return max(part.top for part in plan.walls.leg(leg).segments) - plan.walls.leg(leg).lowest_course + 1


def walls_of(plan):
    return [leg.id for leg in plan.walls.legs if leg.segments]
