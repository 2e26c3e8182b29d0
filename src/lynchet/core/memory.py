"""Pauses of Python's collector of rings: a long look at everything loaded falls into some plan, now and then.

Results of a plan hold no rings; what is loaded (modules, tables, compiled code) stays as long as the process. So a
process that plans again and again may tell the collector once to look past what is there.
"""

from __future__ import annotations

import gc

YOUNG = 20_000
"""New things after which the collector looks at them: a live plan makes about half as many that stay."""


def settle() -> None:
    """Take what is loaded by now for good: call it once, when the first plan is made, never in a loop.

    Nothing that was loaded before is freed later unless its last user lets go of it, which is how Python frees nearly
    everything.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, 10, 10)
