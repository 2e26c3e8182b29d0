"""The steps of a day as it is read: one line a task, walls going up told in the order they go up.

Steps of one task stand together where its first stands. Of walls going up a day has two groups at most: the stone and
fill behind the course of the evening before, then the courses of the day with what follows behind them.
"""

from __future__ import annotations

from collections.abc import Iterable

from lynchet.works.model import Step
from lynchet.works.steps import RISING


def listed(steps: Iterable[Step]) -> list[list[Step]]:
    """Steps of a day in groups, in order; every group is of one task.

    Args:
        steps: of one day, in the order they are done.
    """
    lines: dict[tuple[str, int, bool, str], list[Step]] = {}
    laid: set[str] = set()
    for step in steps:
        stage, _, kind = step.task.partition("/")
        rising = kind in RISING
        if kind == "courses":
            laid.add(stage)
        # Courses come first of all lines of their stage today, but after the lift left over from yesterday.
        lines.setdefault((stage, rising, stage in laid, step.task), []).append(step)
    return list(lines.values())
