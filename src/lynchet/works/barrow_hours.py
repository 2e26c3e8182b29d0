"""Hours to carry soil out by barrow, over the way the plan finds or a guessed one."""

from __future__ import annotations

from dataclasses import replace

from lynchet.works.haul_cycle import way_min
from lynchet.works.job import Job
from lynchet.works.rates import Rate

OUT_M_MIN, BACK_M_MIN = 35.0, 50.0
"""Walking with a full and an empty barrow. PRACTICE."""
LEVEL_PER_RISE = 8.0
"""Level metres that one metre of climb is worth. PRACTICE (5 to 10)."""
TIP_MIN = 0.5
USEFUL_MIN = 50.0
"""Of each hour. PRACTICE."""
GUESSED_M = 20.0
"""Way to the truck where nothing is known of it."""


def carried_rate(job: Job, loading: Rate) -> Rate:
    """Person hours for one cubic metre of loose soil: loaded, wheeled to the truck, tipped, and back.

    Args:
        job: for its barrow, and the barrow run if there is one.
        loading: person hours to shovel one cubic metre into barrows.
    """
    run, barrow = job.earth.barrow_run, job.project.access.barrow_m3
    long = GUESSED_M if run is None or run.length_m <= 0 else run.length_m
    climb = 0.0 if run is None or run.climb_m is None else -run.climb_m  # the run is given from the truck inward
    minutes = way_min(long, climb, LEVEL_PER_RISE, OUT_M_MIN) + TIP_MIN + way_min(long, -climb, 0.0, BACK_M_MIN)
    hours = loading.hours + minutes / USEFUL_MIN / barrow
    how = "a guessed way of 20 m" if long == GUESSED_M and run is None else "the barrow run of the plan"
    return replace(loading, hours=hours, origin=f"{loading.origin}; wheeled over {how} (haul cycle)")
