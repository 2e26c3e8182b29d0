"""Random yards some of whose walls stand, level or a little off, with things found in the ground and soil gone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from filed_yards import yard_text
from lynchet.plan.built import built_edits
from lynchet.plan.effort import LIVE, Effort
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import Loaded, load_text
from lynchet.project.read import checked
from wished_yards import Edit, Yard, wished_edits

ANSWERS = {"rock": "step up", "concrete": "step up", "root": "bridge", "pipe": "bridge", "water": "drain",
           "soft": "dig out"}  # fmt: skip
"""What is found, and what is done about it."""


def built_plan(seed: int, effort: Effort = LIVE) -> Plan:
    """The filed yard, with wishes or without, when walls stand, some a little off, and soil has gone."""
    yard, loaded, wished = begun(seed)
    before = plan_project(checked(loaded, wished), effort=effort)
    edits = [*stands(yard, before), *_so_far(yard)]
    if seed % 2:
        edits = [(key, as_read(before, value)) for key, value in edits]
    return plan_project(checked(loaded, [*wished, *edits]), effort=effort)


def as_read(before: Plan, entry: object) -> object:
    """What stands too low or too high as somebody with a level says it: readings of the top of its course, in metres,
    two of them 2 mm about it; all else as it is."""
    if not isinstance(entry, dict) or not ("low" in entry or "high" in entry):
        return entry
    millimetres = float(str(entry.get("high") or entry["low"]).removesuffix(" mm")) * (1 if "high" in entry else -1)
    leg = before.walls.leg(str(entry["wall"]))
    planned = before.terraces.lattice.bottoms_m[leg.lowest_course + int(str(entry["course"]))]
    level = planned + millimetres / 1000.0
    plain = {key: value for key, value in entry.items() if key not in ("low", "high")}
    return {**plain, "readings": [f"{level - 0.001:.5f} m", f"{level + 0.001:.5f} m"]}


def plan_before(seed: int, effort: Effort = LIVE) -> Plan:
    """The same yard before anything stands."""
    _, loaded, wished = begun(seed)
    return plan_project(checked(loaded, wished), effort=effort)


def begun(seed: int) -> tuple[Yard, Loaded, list[Edit]]:
    """What draws the rest, the file, and wishes laid over it."""
    yard = Yard(seed, np.random.default_rng([seed, 29]))
    return yard, load_text(yard_text(seed), f"yard {seed}", Path()), wished_edits(seed) if yard.some(0.5) else []


def stands(yard: Yard, before: Plan) -> Iterator[Edit]:
    """Courses of the lowest walls: as the plan writes them or as a person does, level or off, with notches or none."""
    legs = [leg for leg in before.walls.legs if leg.segments]
    legs.sort(key=lambda leg: leg.lowest_course)
    asked = []
    for leg in legs[: int(yard.rng.integers(0, 4))]:
        high = max(part.top for part in leg.segments) - leg.lowest_course + 1
        asked.append(f"{leg.id}:{int(yard.rng.integers(1, high + 1))}")
    for key, value in built_edits(before, asked):
        assert isinstance(value, dict)
        entry = dict(value)
        if yard.some(0.3):
            entry = {name: entry[name] for name in ("wall", "course")}
        elif yard.some(0.3):
            entry.pop("notches")
        elif yard.some(0.2):
            entry["notches"] = []
        if yard.some(0.3):
            entry[yard.pick("low", "high")] = yard.pick("2 mm", "6 mm", "12 mm", "25 mm")
            if yard.some(0.6):
                entry["answer"] = yard.pick("follow", "level")
        yield key, entry


def _so_far(yard: Yard) -> Iterator[Edit]:
    for number in range(1, 1 + int(yard.rng.integers(0, 4))):
        what = yard.pick(*ANSWERS)
        yield f"found.{number}", {
            "name": f"thing {number}", "what": what,
            "at": yard.inside(), "depth": yard.long(0.0, 0.8), "size": yard.long(0.1, 1.5),
        }  # fmt: skip
        if yard.some(0.6):
            yield f"found.{number}.answer", ANSWERS[what]
    for number in range(1, 1 + int(yard.rng.integers(0, 3))):
        yield f"moved.{number}", {"way": yard.pick("away", "in"), "volume": yard.pick("1 m3", "4 m3", "3 yd3"),
                                  "measure": yard.pick("loose", "bank", "compacted"),
                                  "topsoil": yard.some(0.4)}  # fmt: skip
