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
    and then a pause of half a plan. Nested, or in two threads, it ends switched on if it was on before; what was made
    meanwhile then counts as old, so that the next small search does not walk through the whole plan.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            _grow_old()
            gc.enable()


def _grow_old() -> None:
    """All that the collector follows counts as old, unlooked at: only a full search still walks through it."""
    if not gc.get_freeze_count():  # else somebody keeps a frozen part, which this would thaw
        gc.freeze()
        gc.unfreeze()
