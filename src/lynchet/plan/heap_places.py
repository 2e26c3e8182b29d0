"""Where the heaps lie, as two tapes find it: their middles from known corners, and the size of their feet."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist

from lynchet.plan.model import Plan
from lynchet.walls.pegs import SettingPoint
from lynchet.walls.setting_out import tied


@dataclass(frozen=True)
class HeapPlace:
    """One heap the soil account asks for."""

    id: str
    """ "heap" or "topsoil heap"."""
    middle: SettingPoint | None
    """Its middle by two tapes; None where no place was found for it."""
    long_m: float = 0.0
    wide_m: float = 0.0
    """Of its foot."""


def heap_places(plan: Plan) -> tuple[HeapPlace, ...]:
    """Every heap; none where all that is dug goes back at once."""
    found = []
    for heap in plan.earth.heaps:
        if not heap.outline_m:
            found.append(HeapPlace(heap.id, None))
            continue
        ring = heap.outline_m
        middle = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
        sides = sorted((dist(ring[0], ring[1]), dist(ring[1], ring[2])))
        (point,) = tied(plan.project, [(heap.id, "middle of the heap", middle)], plan.walls.setting_out.known_m)
        found.append(HeapPlace(heap.id, point, sides[1], sides[0]))
    return tuple(found)
