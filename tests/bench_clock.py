"""The processor's time of work done here, and in the copies and programs it waits for."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from typing import Any


def timed(job: Callable[[], Any]) -> tuple[float, Any]:
    """CPU seconds of a piece of work, what it started included, and what it gave."""
    start = _cpu_s()
    done = job()
    return _cpu_s() - start, done


def _cpu_s() -> float:
    spent = os.times()
    return time.process_time() + spent.children_user + spent.children_system
