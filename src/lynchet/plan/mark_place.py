"""Where the mark lies that levels are counted from, as two tapes find it, where it has no name to be found by."""

from __future__ import annotations

from lynchet.plan.model import Plan
from lynchet.project.ground_readings import LEVELS_START
from lynchet.walls.pegs import SettingPoint
from lynchet.walls.setting_out import NUMBERED, tied


def mark_place(plan: Plan) -> SettingPoint | None:
    """A numbered point of the readings, or where a board was first set, by two tapes.

    None where the mark has a name of its own, or no place.
    """
    setting = plan.walls.setting_out
    named = setting.benchmark != LEVELS_START and not NUMBERED.fullmatch(setting.benchmark)
    if setting.benchmark_at_m is None or not setting.known_m or named:
        return None
    row = (setting.benchmark, "levels count from here", setting.benchmark_at_m)
    return tied(plan.project, [row], setting.known_m)[0]
