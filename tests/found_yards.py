"""Random yards with things found right by their walls, under, before and behind them, some walls standing already."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from built_yards import ANSWERS, begun, stands
from lynchet.core.frame import Frame, Point
from lynchet.plan.effort import LIVE, Effort
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import checked
from lynchet.walls.model import Leg
from wished_yards import Edit, Yard


def found_plan(seed: int, effort: Effort = LIVE) -> Plan:
    """The built yard of this seed with weep holes, one to four things found by its walls."""
    yard, loaded, wished = begun(seed)
    wished = [*wished, ("brief.weeps", True)]
    before = plan_project(checked(loaded, wished), effort=effort)
    edits = [*stands(yard, before)] if yard.some(0.6) else []
    legs = [leg for leg in before.walls.legs if leg.segments]
    if not legs:
        return before
    own = Yard(seed, np.random.default_rng([seed, 31]))
    for number in range(1, 2 + int(own.rng.integers(0, 4))):
        edits += _thing(own, legs[int(own.rng.integers(len(legs)))], number, before.project.frame)
    return plan_project(checked(loaded, [*wished, *edits]), effort=effort)


def _thing(yard: Yard, leg: Leg, number: int, frame: Frame) -> Iterator[Edit]:
    station, left = float(yard.rng.uniform(0.0, leg.length_m)), float(yard.rng.uniform(-0.4, 0.9))
    what = yard.pick(*ANSWERS)
    thing = {"name": f"thing {number}", "what": what, "depth": yard.long(0.0, 0.9), "size": yard.long(0.1, 1.2)}
    here = _written(frame, leg.point_at(station, left))
    if what in ("pipe", "root", "water") and yard.some(0.3):
        along, aside = (float(part) for part in yard.rng.uniform((-3.0, -2.0), (3.0, 2.0)))
        thing["line"] = [here, _written(frame, leg.point_at(station + along, left + aside))]
    else:
        thing["at"] = here
    yield f"found.{number}", thing
    if yard.some(0.6):
        yield f"found.{number}.answer", ANSWERS[what]


def _written(frame: Frame, point: Point) -> list[str]:
    return [f"{part:.3f} m" for part in frame.outward(point)]
