"""The processor's time of work done here, and in the copies and programs it waits for; and time by the wall."""

from __future__ import annotations

import os
import pickle
import time
from collections.abc import Callable
from typing import Any


def timed(job: Callable[[], Any]) -> tuple[float, Any]:
    """CPU seconds of a piece of work, what it started included, and what it gave."""
    start = _cpu_s()
    done = job()
    return _cpu_s() - start, done


def clocked(job: Callable[[], Any]) -> tuple[float, float, Any]:
    """CPU seconds as ``timed`` has them, seconds by the wall, and what it gave."""
    start = time.perf_counter()
    spent, done = timed(job)
    return spent, time.perf_counter() - start, done


def on_one_core(job: Callable[[], Any]) -> tuple[float, float]:
    """CPU seconds and seconds by the wall of work on one core, in a copy of this process that keeps nothing of it."""
    answer, written = os.pipe()
    number = os.fork()
    if number == 0:
        if hasattr(os, "sched_setaffinity"):
            os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
        spent, wall, _ = clocked(job)
        with os.fdopen(written, "wb") as stream:
            pickle.dump((spent, wall), stream)
        os._exit(0)
    os.close(written)
    with os.fdopen(answer, "rb") as stream:
        found: tuple[float, float] = pickle.load(stream)
    os.waitpid(number, 0)
    return found


def _cpu_s() -> float:
    spent = os.times()
    return time.process_time() + spent.children_user + spent.children_system
