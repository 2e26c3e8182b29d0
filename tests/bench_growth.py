"""How the work grows with the yard, and a whole plan with book and files from nothing: CPU seconds, never tests."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from importlib.resources import as_file, files
from math import log, sqrt
from pathlib import Path

import numpy as np

from lynchet.core.standing import Standing
from lynchet.ground.model import Ground
from lynchet.plan.effort import FULL, LIVE, Effort
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_on
from lynchet.project import model as pm

SIZES = (1, 2, 4)
"""Times the area of the smallest yard, 8 m by 8 m."""
SIDE_M, SLOPE, RISE_M, STEP_M = 8.0, 0.2, 0.55, 1.5
"""Of the smallest yard; fall of the ground; height of ground to one terrace; distance of the readings."""
WHOLE = {"l_garden": None, "spot_levels": 10.0}
"""Demos planned from nothing, with the goal in seconds."""


def yard(size: float) -> tuple[pm.Project, Ground]:
    """A square yard on an even slope with a low bump, as many terraces as its drop asks for."""
    sys.path.insert(0, str(Path(__file__).parent))  # the tests' own modules import each other so
    from yards import project_of

    side = SIDE_M * sqrt(size)
    along = np.arange(-STEP_M, side + 1.5 * STEP_M, STEP_M)
    readings = [(float(x), float(y), 50.0 + SLOPE * float(y) + 0.08 * float(np.sin(x / 3.0) * np.cos(y / 4.0)))
                for x in along for y in along]  # fmt: skip
    outline = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]
    return project_of(outline, readings, brief=pm.Brief(terraces=max(2, round(SLOPE * side / RISE_M))))


def growth() -> None:
    """Live and full plans of yards of one, two and four times the area."""
    print(f"Growth with the yard, CPU seconds (square yards of {SIDE_M:g} m x {SIDE_M:g} m and more, same slope)")
    for effort in (LIVE, FULL):
        rows = [(size, *_planned(size, effort)) for size in SIZES]
        for size, seconds, plan in rows:
            walls = sum(bool(leg.segments) for leg in plan.walls.legs)
            print(f"  {effort.name:5} {size} x area   {seconds:7.2f} s   {walls:3} walls {len(plan.pieces):4} pieces")
        power = log(rows[-1][1] / rows[0][1]) / log(SIZES[-1] / SIZES[0])
        print(f"  {effort.name:5} grows with the area to the power of {power:.2f}")


def _planned(size: float, effort: Effort) -> tuple[float, Plan]:
    """CPU seconds of one plan, least of three live ones."""
    project, ground = yard(size)
    seconds = []
    for _ in range(3 if effort is LIVE else 1):
        start = time.process_time()
        plan = plan_on(project, ground, Standing(), effort, lambda stage: None)
        seconds.append(time.process_time() - start)
    return min(seconds), plan


def whole_plans() -> None:
    """The command ``plan`` with book and files, a process of its own each time, code compiled before."""
    print("Whole plan at full effort with book and files, CPU seconds of a process of its own")
    user = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-c", "from lynchet.commands.app import main; main()", "plan"]
    with as_file(files("lynchet.demos")) as folder, tempfile.TemporaryDirectory() as out:
        for name, goal in WHOLE.items():
            job = [*command, str(Path(folder) / f"{name}.toml"), "--out", f"{out}/{name}"]
            seconds = min(_child_s(job, user) for _ in range(2))
            print(f"  {name:12} {seconds:6.2f} s" + (f"   goal under {goal:g} s" if goal else ""))


def _child_s(job: list[str], user: dict[str, str]) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(job, check=False, capture_output=True, env=user)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Both."""
    growth()
    whole_plans()


if __name__ == "__main__":
    main()
