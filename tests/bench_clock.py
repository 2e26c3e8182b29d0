"""The processor's time of this process and of the copies it has made and waited for."""

from __future__ import annotations

import os
import time


def cpu_s() -> float:
    """Seconds of the processor since this process began, its ended copies counted."""
    spent = os.times()
    return time.process_time() + spent.children_user + spent.children_system
