"""Soil moved in the order of building, the lowest terrace first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lynchet.core.quick import quick

_DUST_M3 = 1e-12


@quick
@dataclass(frozen=True)
class Moved:
    """One terrace's share of one soil, bank measure."""

    own_m3: float
    from_heap_m3: float
    from_above_m3: float
    bought_m3: float
    to_heap_m3: float
    away_m3: float
    before_m3: float
    """On the heap before this terrace."""
    dug_m3: float
    """Dug here when its turn comes: what was thrown down to lower terraces before is taken off."""
    heap_m3: float
    """On the heap after it."""


def in_order(dug_m3: Sequence[float], needed_m3: Sequence[float]) -> tuple[Moved, ...]:
    """Where each terrace's soil comes from and goes to.

    A terrace is filled with its own soil first, then from the heap, then from the benches above it (thrown down, not
    dug yet in their own turn), then with soil bought. Of what is left, as much stays on the heap as the terraces above
    will need over their own; the rest leaves at once.

    Args:
        dug_m3, needed_m3: of each terrace, the lowest first, 0 or more.
    """
    left, heap, found = list(dug_m3), 0.0, []
    for k, wanted in enumerate(needed_m3):
        before, here = heap, left[k]
        own = min(here, wanted)
        lack = wanted - own
        taken = min(heap, lack)
        lack, heap = lack - taken, heap - taken
        above = 0.0
        for j in range(k + 1, len(left)):
            part = min(left[j], lack)
            left[j] -= part
            lack -= part
            above += part
        surplus = here - own
        later = max(0.0, sum(needed_m3[k + 1 :]) - sum(left[k + 1 :]))
        keep = min(heap + surplus, later)
        away = heap + surplus - keep
        to_heap = max(0.0, surplus - away)
        bought = lack if lack > _DUST_M3 else 0.0
        found.append(Moved(own, taken, above, bought, to_heap, away, before, here, keep))
        heap = keep
    return tuple(found)
