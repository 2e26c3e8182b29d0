"""How the work grows with walls and courses, and whole plans with book and files from nothing; never tests.

CPU seconds, each beside the smallest yard's of the same run and beside a loop of a million: the machine cancels out.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from importlib.resources import as_file, files
from math import log
from pathlib import Path

from tests.bench_clock import timed

from lynchet.book.make import build_book
from lynchet.book.pdf import to_pdf
from lynchet.core.standing import Standing
from lynchet.drawings.sheets import drawn_sheets
from lynchet.plan.effort import FULL, LIVE
from lynchet.plan.pipeline import plan_on
from lynchet.timber.buying import buy
from lynchet.timber.stage import wanted_of

GRID = ((1, 2), (2, 2), (4, 4), (6, 6))
"""Walls and courses."""
JOBS = ("plan live", "plan full", "cutting", "sheets", "book PDF")
WHOLE = ("side_yard", "l_garden", "spot_levels")
"""Demos planned from nothing, the goal 10 s each."""


def growth() -> None:
    """Plan, exact cutting, sheets and book of yards of more walls of more courses."""
    sys.path.insert(0, str(Path(__file__).parent))  # the tests' own modules import each other so
    base = min(timed(lambda: sum(number & 3 for number in range(1_000_000)))[0] for _ in range(3))
    rows = [of_size(*size) for size in GRID]
    print(f"Growth with walls x courses, CPU seconds (x those of the first row); a loop of a million: {base:.3f} s")
    print("  walls x courses  pieces  sheets" + "".join(f"{name:>18}" for name in JOBS))
    first = rows[0][2]
    for (walls, courses), (pieces, sheets, spent) in zip(GRID, rows, strict=True):
        shown = "".join(f"{now:9.3f} ({now / then:5.1f})" for now, then in zip(spent, first, strict=True))
        print(f"  {walls:5} x {courses:<7}  {pieces:6}  {sheets:6}  {shown}")
    last = rows[-1]
    more = log(last[0] / rows[0][0])
    powers = "   ".join(
        f"{name} {log(now / then) / more:.2f}" for name, now, then in zip(JOBS, last[2], first, strict=True)
    )
    print(f"  grows with the count of pieces to the power of: {powers}")
    worst = ", ".join(f"{name} {now / base:.0f}" for name, now in zip(JOBS, last[2], strict=True))
    print(f"  the largest, in loops of a million: {worst}")


def of_size(walls: int, courses: int) -> tuple[int, int, list[float]]:
    """Pieces, sheets and seconds of every job for one yard; the second of two runs where they are short."""
    from stacked_yards import stack_of

    project, ground = stack_of(walls, courses)
    live = min(timed(lambda: plan_on(project, ground, Standing(), LIVE, _silent))[0] for _ in range(2))
    full, plan = timed(lambda: plan_on(project, ground, Standing(), FULL, _silent))
    wanted = wanted_of(project, plan.walls, plan.pieces, plan.stability, plan.timber.steps)
    cut, _ = timed(lambda: buy(project.timber, wanted, FULL.cutting_work))
    drawing, drawn = timed(lambda: drawn_sheets(plan))
    printing, _ = timed(lambda: to_pdf(build_book(plan, drawn)))
    return len(plan.pieces), len(drawn), [live, full, cut, drawing, printing]


def _silent(stage: str) -> None:
    """Nobody watches."""


def whole_plans() -> None:
    """The command ``plan`` with book and files, a process of its own each time, code compiled before."""
    user = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    program = [sys.executable, "-c", "from lynchet.commands.app import main; main()"]
    bare = min(child_s([sys.executable, "-c", "pass"], user) for _ in range(3))
    child_s([*program, "--help"], user)
    print(f"Whole plan at full effort with book and all files from a cold command, CPU s; bare Python {bare:.3f} s")
    with as_file(files("lynchet.demos")) as folder, tempfile.TemporaryDirectory() as out:
        for name in WHOLE:
            job = [*program, "plan", str(Path(folder) / f"{name}.toml"), "--out", f"{out}/{name}"]
            start = time.perf_counter()
            seconds = child_s(job, user)
            told = f"{seconds / bare:5.0f} x bare Python   wall {time.perf_counter() - start:.1f} s"
            print(f"  {name:12} {seconds:6.2f} s   goal under 10 s   {told}")


def child_s(job: list[str], user: dict[str, str]) -> float:
    """CPU seconds of a process of its own."""
    return timed(lambda: subprocess.run(job, check=False, capture_output=True, env=user))[0]


def main() -> None:
    """Both."""
    growth()
    whole_plans()


if __name__ == "__main__":
    main()
