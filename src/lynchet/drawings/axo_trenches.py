"""Where the picture of a day shows the trench of a wall, dug that day, and how deep it is there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from lynchet.drawings.axo_ground import DUG
from lynchet.drawings.axo_scene import Part, Scene
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.placed import Placed

_SAME_M = 1e-5
_SEEN_M2 = 1e-4


class Trench(NamedTuple):
    """A part of a trench that is seen."""

    wall: str
    """Wall it is dug for; empty for a trench of pipes alone."""
    level_m: float
    """Its bottom: underside of the wall's stone there."""
    shape: Any
    """Shapely polygon, picture metres."""
    stepped: bool = False
    """Dug to more than one depth that day."""


def is_trench(part: Part) -> bool:
    """Whether a part of a picture is the bottom of a trench."""
    return part.kind == DUG and part.cell is not None and part.cell.task.endswith("/trench") and part.side == "top"


def trenches_of(days: BuildingDays, day: int, scene: Scene) -> Iterator[Trench]:
    """Bottoms of the trenches of walls dug on a day, wall by wall; of pipes where their stage lays no stone for a wall.

    Args:
        days: of the plan.
        day: from 1.
        scene: what is seen of it.
    """
    beds = [thing for thing in days.things if thing.kind == "stone bed" and _of_wall(thing)]
    stages = {days.stage_of(bed) for bed in beds}
    today = [bed for bed in beds if days.day_of(bed.id) == day]
    depths = {wall: {round(bed.bottom_m, 4) for bed in today if bed.owner == wall} for wall in {b.owner for b in today}}
    for part in scene.parts:
        if part.cell is None or not part.new or not is_trench(part):
            continue
        level = part.cell.top[2]
        if int(part.cell.task.partition("/")[0]) not in stages:
            yield Trench("", level, part.shape)
        for bed in today:
            if abs(bed.bottom_m - level) < _SAME_M:
                seen = part.shape.intersection(_in_picture(days, bed, scene))
                if seen.area > _SEEN_M2:
                    yield Trench(bed.owner, level, seen, len(depths[bed.owner]) > 1)


def _of_wall(bed: Placed) -> bool:
    return bed.id.startswith(f"{bed.owner}/bed.")


def _in_picture(days: BuildingDays, bed: Placed, scene: Scene) -> Any:
    """The trench of a bed of stone, with the room to work in, as the picture has its bottom."""
    from shapely.geometry import Polygon

    wide = bed.polygon.buffer(days.plan.project.digging.work_room_m, join_style="mitre")
    ring = np.array([(x, y, bed.bottom_m) for x, y in wide.exterior.coords])
    return Polygon(scene.camera.project(ring)[:, :2])
