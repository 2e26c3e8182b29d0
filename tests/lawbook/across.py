"""Laws across plans: the same yard turned, mirrored or shifted; a corner dragged by a millimetre."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

from lawbook.case import Case, plan
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from random_yards import Placing, realistic

PLACINGS = (
    Placing(),
    Placing(radians(37.0)),
    Placing(pi / 2),
    Placing(0.0, True),
    Placing(radians(37.0), False, (3500.0, -2100.0)),
)
NAMED_THRESHOLDS = frozenset({"terraces.fewer", "terraces.for_steps", "terraces.jog", "terraces.sharp_corner",
                              "terraces.narrow_strip", "terraces.flight_unfit"})  # fmt: skip


def facts(case: Case) -> dict[str, object]:
    """What must be equal in the same yard placed otherwise: ids, runs, pieces, areas, levels (to a millimetre)."""
    made = case.terraces
    return {
        "refused": case.refused.split(":")[0],
        "levels": [round(level, 3) for level in made.levels_m],
        "faces": {face.id: round(face.polygon.area, 2) for face in made.faces},
        "lines": [(line.id, round(line.length_m, 2)) for line in made.lines],
        "flights": [(f.id, f.kind, f.risers) for f in made.flights],
        "runs": [(run.id, round(run.end.line_m - run.start.line_m, 2)) for run in case.walls.runs],
        "pieces": [piece.id for piece in case.laid.pieces],
        "findings": [f.code for f in (*made.findings, *case.walls.findings, *case.laid.findings)],
    }


def ids(case: Case) -> set[str]:
    """Every id a person may have marked: lines, faces, flights, nodes."""
    made = case.terraces
    names = {line.id for line in made.lines} | {face.id for face in made.faces} | {f.id for f in made.flights}
    return names | {node.id for node in case.walls.nodes}


def differences(seed: int) -> list[str]:
    """Facts that differ between placings of one realistic yard."""
    first = facts(plan(*realistic(seed, PLACINGS[0])))
    wrong = []
    for placing in PLACINGS[1:]:
        other = facts(plan(*realistic(seed, placing)))
        wrong += [f"yard {seed}, {placing}: {key} differ" for key in first if first[key] != other[key]]
    return wrong


def dragged(project: Project, corner: int, by_m: tuple[float, float]) -> Project:
    """The project with one corner of the outline moved (the frame stays as it is)."""
    outline = list(project.area.outline_m)
    x, y = outline[corner]
    outline[corner] = (x + by_m[0], y + by_m[1])
    return replace(project, area=replace(project.area, outline_m=tuple(outline)))


def drag_changes(project: Project, ground: Ground, corner: int, by_m: tuple[float, float]) -> tuple[set[str], bool]:
    """Ids that come or go with a drag, and whether a named threshold was crossed."""
    before, after = plan(project, ground), plan(dragged(project, corner, by_m), ground)
    codes = [_crossed(case) for case in (before, after)]
    return ids(before) ^ ids(after), codes[0] != codes[1] or before.refused != after.refused


def _crossed(case: Case) -> list[str]:
    return sorted(f.code + f.place for f in case.terraces.findings if f.code in NAMED_THRESHOLDS)
