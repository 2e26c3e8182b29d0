"""Where heaps and drop zone lie, as two tapes find it: middles of heaps, two corners of the drop zone, and sizes."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist
from typing import Literal

from lynchet.earth.model import Earth
from lynchet.plan.model import Plan
from lynchet.walls.pegs import SettingPoint
from lynchet.walls.setting_out import tied


def set_down(earth: Earth) -> tuple[tuple[str, str, tuple[float, float]], ...]:
    """Name, words and place of the corners of the drop zone, and of the middle of each heap that has a place."""
    zone = earth.drop_zone
    found = [(f"Z{n}", f"drop zone for timber and stone, corner {n}", at)
             for n, at in enumerate(zone.outline_m if zone is not None else (), start=1)]  # fmt: skip
    for heap in earth.heaps:
        if heap.outline_m:
            ring = heap.outline_m
            middle = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
            found.append((heap.id, f"middle of the {heap.id}", middle))
    return tuple(found)


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
    moved: bool = False
    """It lies elsewhere than the file says, since that place is not free."""


def heap_places(plan: Plan) -> tuple[HeapPlace, ...]:
    """Every heap; none where all that is dug goes back at once."""
    found, points = [], _points(plan)
    for heap in plan.earth.heaps:
        if not heap.outline_m:
            found.append(HeapPlace(heap.id, None))
            continue
        ring = heap.outline_m
        sides = sorted((dist(ring[0], ring[1]), dist(ring[1], ring[2])))
        found.append(HeapPlace(heap.id, points[heap.id], sides[1], sides[0], heap.moved_m is not None))
    return tuple(found)


def _points(plan: Plan) -> dict[str, SettingPoint]:
    """All that is set down, by name, with its tapes."""
    rows = set_down(plan.earth)
    return {row[0]: point for row, point in
            zip(rows, tied(plan.project, list(rows), plan.walls.setting_out.known_m), strict=True)}  # fmt: skip


@dataclass(frozen=True)
class DropPlace:
    """The rectangle where timber and stone are set down."""

    corners: tuple[SettingPoint, SettingPoint]
    """Its first and second corner."""
    long_m: float
    """From the first corner to the second."""
    wide_m: float
    side: Literal["left", "right"]
    """Where the rest of it lies as one walks from the first to the second."""


def drop_place(plan: Plan) -> DropPlace | None:
    """The drop zone; None where no room was found."""
    zone = plan.earth.drop_zone
    if zone is None or not zone.outline_m:
        return None
    ring = zone.outline_m
    points = _points(plan)
    twice = (ring[1][0] - ring[0][0]) * (ring[2][1] - ring[0][1]) - (ring[1][1] - ring[0][1]) * (
        ring[2][0] - ring[0][0]
    )
    side: Literal["left", "right"] = "left" if (twice > 0.0) != plan.project.frame.mirrored else "right"
    return DropPlace((points["Z1"], points["Z2"]), dist(ring[0], ring[1]), dist(ring[1], ring[2]), side)
