"""Benchmarks as ratios to a baseline of the same run, never timed tests: ``python -m tests.bench`` (``make bench``)."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import as_file, files
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from lynchet.plan.effort import FULL, LIVE
from lynchet.plan.pipeline import STAGES, plan_project
from lynchet.project.model import Project
from lynchet.project.read import read_project
from lynchet.timber.buying import buy
from lynchet.timber.stage import wanted_of

Array = NDArray[np.float64]
DRAGS, ROUNDS, WARM = 20, 5, 3
"""Of live re-plans: how far a corner moves, so many times over, and so many before each round that do not count."""
LYNCHET = [sys.executable, "-c", "from lynchet.commands.app import main; main()"]


def baseline_ms() -> float:
    """A fixed piece of plain Python work: how quick this machine is just now."""
    start = time.process_time()
    total = 0
    for number in range(1_000_000):
        total += number & 3
    return 1000.0 * (time.process_time() - start)


def replan_after_a_drag() -> None:
    """The L-shaped demo planned live after one corner has moved by 1 to 20 cm: by stage, 50th and 95th percentile.

    Plans come one straight after the other, as they do while somebody drags: the plain loop runs between the rounds.
    Every round has the same drags but for a tenth of a millimetre, so that nothing is known from the round before; the
    least of a drag's times is what the plan takes, what lies above it is the machine's other work.
    """
    with as_file(files("lynchet.demos")) as folder:
        project = read_project(Path(folder) / "l_garden.toml")
    by_m = np.random.default_rng(1).uniform(0.01, 0.20, WARM + DRAGS)
    plan = plan_project(project, effort=LIVE)
    times, bases = np.zeros((ROUNDS, WARM + DRAGS, len(STAGES), 2)), [baseline_ms()]
    for number in range(ROUNDS):
        for drag, far_m in enumerate(by_m):
            moved = _dragged(project, far_m + 1e-4 * number)
            began, marks = _now(), list[tuple[float, float]]()
            plan = plan_project(moved, effort=LIVE, before=plan, progress=_mark(marks))
            times[number, drag] = np.diff([began, *marks[1:], _now()], axis=0) * 1000.0
        bases.append(baseline_ms())
    _tell_replans(times[:, WARM:], bases)


def _tell_replans(times: Array, bases: list[float]) -> None:
    """Print what ``replan_after_a_drag`` found.

    Args:
        times: (rounds, drags, stages, 2) processor and wall time, ms.
        bases: of the plain loop, ms.
    """
    base = float(np.median(bases))
    print("Live re-plan of the L-shaped demo after a corner moved, CPU ms; goal 100 ms at the 95th")
    print(f"  {ROUNDS} rounds of {DRAGS} drags back to back, {WARM} before each not counted; between them a loop")
    print(f"  of a million: {base:.0f} ms ({min(bases):.0f} to {max(bases):.0f}); Python {sys.version.split()[0]}")
    whole = times.sum(axis=2)
    rows = {name: times[:, :, i, 0] for i, name in enumerate(STAGES)}
    rows |= {"whole": whole[..., 0], "wall time": whole[..., 1], "least of each drag": whole[..., 0].min(axis=0)}
    for name, row in rows.items():
        middle, high = np.percentile(row, [50, 95])
        print(f"  {name:18} p50 {middle:7.1f}   p95 {high:7.1f}   {middle / base:6.2f} x the loop")


def _now() -> tuple[float, float]:
    return time.process_time(), time.perf_counter()


def _mark(marks: list[tuple[float, float]]) -> Callable[[str], None]:
    return lambda stage: marks.append(_now())


def _dragged(project: Project, by_m: float) -> Project:
    outline = list(project.area.outline_m)
    x, y = outline[2]
    outline[2] = (x, y - by_m)
    return replace(project, area=replace(project.area, outline_m=tuple(outline)))


def cold_commands() -> None:
    """Whole processes: bare Python, --help, a first look; wall time, least of five."""
    look = ["look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "3 ft", "--held", "level"]
    jobs = {
        "bare Python": [sys.executable, "-c", "pass"],
        "lynchet --help": [*LYNCHET, "--help"],
        "lynchet calc active_coefficient": [*LYNCHET, "calc", "active_coefficient", "friction_angle_deg=30"],
        "lynchet look": [*LYNCHET, *look],
    }
    goals = {"lynchet --help": 0.3, "lynchet calc active_coefficient": 0.4, "lynchet look": 2.0}
    times = {name: min(_seconds(job) for _ in range(5)) for name, job in jobs.items()}
    base = times["bare Python"]
    print("Cold commands, seconds, least of five")
    for name, seconds in times.items():
        goal = f"   goal under {goals[name]} s" if name in goals else ""
        print(f"  {name:32} {seconds:6.3f}   {seconds / base:6.1f} x bare Python{goal}")


def _seconds(job: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(job, check=True, capture_output=True)
    return time.perf_counter() - start


def cutting_of_the_demos() -> None:
    """Sticks of the three demos at full effort, as they stand and with a price for every length."""
    base = baseline_ms() / 1000.0
    print(f"Cutting of the demos at full effort, CPU seconds, and times a loop of a million ({base:.3f} s)")
    print(f"  goal for the files as they stand: proven, under 2 s; a search gets {FULL.cutting_work:,} units of work")
    for name in ("side_yard", "l_garden", "spot_levels"):
        with as_file(files("lynchet.demos")) as folder:
            project = read_project(Path(folder) / f"{name}.toml")
        plan = plan_project(project, effort=LIVE)
        wanted = wanted_of(project, plan.walls, plan.pieces, plan.stability, plan.timber.steps)
        priced = tuple(replace(row, price=round(20.0 * row.length_m**1.1) / 2.0) for row in project.timber.stock)
        for what, wood in (("no prices", project.timber), ("priced", replace(project.timber, stock=priced))):
            start = time.process_time()
            bought = buy(wood, wanted, FULL.cutting_work)
            seconds = time.process_time() - start
            ratio = f"{seconds:5.2f} s  {seconds / base:6.1f} x"
            print(f"  {name:12} {what:10} {len(wanted):3} pieces  {ratio}   {bought.proof.words}")


def main() -> None:
    """Every benchmark."""
    from tests import bench_growth, bench_kernels

    replan_after_a_drag()
    cutting_of_the_demos()
    bench_growth.main()
    sys.stdout.flush()  # the solver's threads outlive the cutting, and a process of several threads draws on one core
    subprocess.run([sys.executable, "-m", "tests.bench_drawings"], check=True)
    cold_commands()
    bench_kernels.main()


if __name__ == "__main__":
    main()
