"""No pauses for the search for unreachable cycles while a plan is worked out."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def unpaused() -> Iterator[None]:
    """Hold Python's cycle collector back until the plan is done.

    Results are frozen and point only to earlier ones, so a plan leaves no cycles (a test looks), and what it drops is
    freed at once by counting. Looking for cycles all the same costs a live plan about a twentieth on average, and now
    and then a pause of half a plan. Nested, or in two threads, it ends switched on if it was on before.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
