"""Pictures of days: the depth told at a trench is that of the very trench pointed at, looked up in the timber alone."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from demo_plans import DEMOS, demo
from flight_yards import SEEDS, flight_plan
from lynchet.drawings.axo_scene import scene_of
from lynchet.drawings.axo_window import window_of
from lynchet.drawings.axo_words import WORDS, height_words, wishes
from lynchet.drawings.figures import Figures
from lynchet.plan.building_days import BuildingDays, days_of
from lynchet.plan.model import Plan
from lynchet.walls.bedding import STONE_BED_M

YARDS = (*DEMOS, *SEEDS)
_ROUNDED_M = 1e-3


@cache
def _plan(name: str | int) -> Plan:
    return demo(name) if isinstance(name, str) else flight_plan(name)


def _told(days: BuildingDays, number: int) -> Iterator[tuple[str, np.ndarray, tuple[float, float]]]:
    """Labels of trenches of a day: what they say, the camera's rows right and up, the place in the picture."""
    plan = days.plan
    scene = scene_of(days, number, window_of(days, number))
    for wish in wishes(days, number, scene, Figures(plan.project.units), WORDS):
        if wish.id.partition(" ")[0] == "trench":
            yield wish.words, np.array([scene.camera.right, scene.camera.up]), wish.at


@pytest.mark.parametrize("name", YARDS)
def test_the_depth_told_at_a_trench_is_its_own(name: str | int) -> None:
    """Underside of the lowest timber less the stone, of a piece of the wall named, within the room to work in of the
    place pointed at; and that piece is laid on that day or a later one."""
    plan, days = _plan(name), days_of(_plan(name))
    room = plan.project.digging.work_room_m + plan.project.timber.thickness_m
    figures, found = Figures(plan.project.units), 0
    wanted = sum(any(step.task.endswith("/base") for step in day.steps) for day in plan.works.days)
    for day in (one for one in plan.works.days if any(step.task.endswith("/trench") for step in one.steps)):
        for words, axes, at in _told(days, day.number):
            fits = []
            for piece in plan.pieces:
                bottom = piece.bottom_m - STONE_BED_M
                level = height_words(plan, bottom, figures, WORDS)
                if words not in (f"trench of {piece.leg}, dug to {level}",
                                 f"trench of {piece.leg}, in steps, dug here to {level}"):  # fmt: skip
                    continue
                x, y = np.linalg.solve(axes[:, :2], np.array(at) - axes[:, 2] * bottom)
                near = Polygon(piece.outline_m).distance(Point(x, y)) < room + _ROUNDED_M
                fits.append(near and days.day_of(piece.id) >= day.number)
            assert any(fits), (day.number, words)
            found += 1
    assert found >= min(wanted, 2)
