"""Buildings: soil clear of the siding, ground falling away, trenches beside footings."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.core.kept import outlines_of
from lynchet.core.same import Same
from lynchet.project.things import House
from lynchet.terraces.model import HOUSE, Face, WallLine
from lynchet.units.format import length as length_text
from lynchet.units.format import small as small_text
from lynchet.water.beside import HouseCheck
from lynchet.water.house_fall import COUNTED_M, needed_fall_m
from lynchet.water.model import Body
from lynchet.water.yard import Yard

SIDING_CLEAR_M = 0.1524
"""Soil to wood siding: 6 in (North Carolina Cooperative Extension, note on termites and gardens)."""
UNKNOWN_FOOTING_M = 0.30
"""Depth taken for a footing nobody looked at. PRACTICE, cautious."""
_BESIDE_M = 3.0
"""A trench farther off is not looked at."""
TOUCHING_M = 0.30
"""A footing reaches out so far past the face of the house above ground. PRACTICE."""
_SCRATCH_M = 0.05
"""Digging no deeper than this is no trench. PRACTICE."""
_NO_TRENCH = frozenset(("fitting", "outlet", "fabric"))
_STONY = {"brick", "stone", "block", "concrete", "masonry", "none"}


def house_checks(yard: Yard, bodies: Sequence[Body]) -> tuple[list[HouseCheck], list[Finding]]:
    """Every check of soil and trenches against the buildings.

    Args:
        yard: the earlier results.
        bodies: what this stage digs in.
    """
    checks: list[HouseCheck] = []
    findings: list[Finding] = []
    for line, bed in _beside(yard):
        house = _nearest(yard, line)
        for made, finding in (_siding(yard, house, line, bed), _fall(yard, house, line, bed)):
            if made is not None and not any(c.what == made.what and c.face == made.face for c in checks):
                checks.append(made)
                findings += [finding] if finding is not None else []
    for house in yard.project.houses:
        for made, finding in _trenches(yard, house, bodies):
            checks.append(made)
            findings += [finding] if finding is not None else []
    return checks, findings


def _beside(yard: Yard) -> list[tuple[WallLine, Face]]:
    """Lines between a bed and a building."""
    found = []
    for line in yard.terraces.lines:
        for side in line.sides:
            if HOUSE in (side.left, side.right) and side.end_m - side.start_m > 0.1:
                face = yard.terraces.face(side.left if side.right == HOUSE else side.right)
                if face is not None and face.kind == "bed" and (line, face) not in found:
                    found.append((line, face))
    return found


def _shape(house: House) -> Any:
    from shapely.geometry import Polygon

    return Polygon(house.outline_m)


def _nearest(yard: Yard, line: WallLine) -> House:
    from shapely.geometry import Point as Dot

    middle = Dot((line.start_m[0] + line.end_m[0]) / 2, (line.start_m[1] + line.end_m[1]) / 2)
    return min(yard.project.houses, key=lambda house: _shape(house).distance(middle))


def _edge_number(line: WallLine) -> int:
    digits = "".join(c for c in line.source if c.isdigit())
    return int(digits) if line.source.startswith("H") and digits else 0


def _siding(yard: Yard, house: House, line: WallLine, bed: Face) -> tuple[HouseCheck | None, Finding | None]:
    if house.siding_lowest_m is None or house.siding.lower() in _STONY:
        return None, None
    units = yard.project.units
    clear = house.siding_lowest_m - bed.level_m
    ok = clear >= SIDING_CLEAR_M - 1e-9
    check = HouseCheck(house.name, _edge_number(line), "siding clear", bed.id, clear, SIDING_CLEAR_M, "m", ok)
    if ok:
        return check, None
    course = yard.terraces.lattice.course_m
    lower = clear + course
    word = "wood" if house.siding == "unknown" else house.siding
    text = (
        f"Bench {bed.id} would lie {_clear_words(clear, units)} the {word} siding of {house.name}; soil and mulch stay "
        f"{small_text(SIDING_CLEAR_M, units)} clear of wood, or it rots and lets insects in."
    )
    enough = " (enough)" if lower >= SIDING_CLEAR_M - 1e-9 else ""
    cures = (
        Cure("bench-one-course-lower", f"lay bench {bed.id} one course lower: {small_text(lower, units)} "
             f"clear{enough}", effect=f"{small_text(lower, units)} clear"),
        Cure("strip-at-old-level", "leave a strip along the house at the old level"),
    )  # fmt: skip
    finding = Finding(
        "water.siding", Verdict.STOP, text, bed.id, demand=SIDING_CLEAR_M, capacity=clear, unit="m",
        source="North Carolina Cooperative Extension, note on termites and gardens: 6 in clear", cures=cures,
        withholds=("all",), cause=f"water.siding/{house.name}",
    )  # fmt: skip
    return check, finding


def _clear_words(clear: float, units: Any) -> str:
    return f"only {small_text(clear, units)} under" if clear >= 0 else f"{small_text(-clear, units)} up"


def _fall(yard: Yard, house: House, line: WallLine, bed: Face) -> tuple[HouseCheck, Finding]:
    """A level bench beside a building: its top must be shaped to fall away."""
    from shapely.geometry import LineString

    units = yard.project.units
    edge = LineString([line.start_m, line.end_m])
    depth = max(edge.distance(_dot(p)) for p in bed.outline_m)
    distance = min(max(depth, 0.1), COUNTED_M)
    needed = needed_fall_m(distance, hard=False)
    check = HouseCheck(house.name, _edge_number(line), "fall away", bed.id, 0.0, needed, "m", False)
    known = house.siding_lowest_m
    room = None if known is None else known - SIDING_CLEAR_M - bed.level_m
    verdict = Verdict.WATCH if room is None or room >= needed - 1e-9 or room < 0 else Verdict.ASK
    text = (
        f"Bench {bed.id} is level beside {house.name}: shape its top to fall {small_text(needed, units)} over the "
        f"{length_text(distance, units)} from the house, so that rain runs away from it."
    )
    if verdict is Verdict.ASK:
        text += " Raised by that much it comes too near to the siding: one course lower leaves room."
    finding = Finding(
        "water.fall_from_house", verdict, text, bed.id, demand=needed, capacity=0.0, unit="m",
        source="International Residential Code R401.3 (local code governs)", ask="office" if verdict >= 2 else "",
        working=("grade_from_house", (("fall_m", 0.0), ("distance_m", distance))),
    )  # fmt: skip
    return check, finding


def _dot(point: tuple[float, float]) -> Any:
    from shapely.geometry import Point as Dot

    return Dot(point)


def _trenches(yard: Yard, house: House, bodies: Sequence[Body]) -> list[tuple[HouseCheck, Finding | None]]:
    """The trench that comes worst under the 1 : 1 line from the footing's foot."""
    import shapely

    shape = _shape(house)
    depth = house.footing_depth_m
    footing = UNKNOWN_FOOTING_M if depth is None else depth
    bed = yard.settings.stone_bed_m
    digs = [(body.id, body.bottom_m) for body in bodies if body.kind not in _NO_TRENCH]
    lowest = [number for number, run in enumerate(yard.walls.runs) if _is_lowest(yard, run)]
    digs += [(yard.walls.runs[i].id, yard.walls.runs[i].bottom_m - bed) for i in lowest]
    outlines = np.concatenate([outlines_of(Same(bodies), _NO_TRENCH), yard.timber.geometries[lowest]])
    far = shapely.distance(shape, outlines)
    near = np.flatnonzero(far <= _BESIDE_M)
    worst: tuple[float, str, float, float] | None = None
    touching: set[str] = set()
    for number, ground in zip(near, _ground_at_house(yard, shape, outlines[near]), strict=True):
        (name, bottom), away = digs[number], float(far[number])
        if ground != ground:
            continue
        dug, allowed = ground - bottom, footing + away
        if away < TOUCHING_M and dug > _SCRATCH_M:
            touching.add("a drain" if (leg := _place(yard, name)) == name else f"wall {leg}")
        if worst is None or dug - allowed > worst[0]:
            worst = (dug - allowed, name, dug, allowed)
    if worst is None:
        return []
    over, name, dug, allowed = worst
    check = HouseCheck(house.name, 0, "trench", name, dug, allowed, "m", over <= 1e-9)
    if over > 1e-9:
        return [(check, _trench_finding(yard, house, check))]
    return [(check, _touching_finding(house, touching) if touching else None)]


def _is_lowest(yard: Yard, run: Any) -> bool:
    segments = yard.walls.leg(run.leg).segments
    return any(s.base == run.course and s.start_m < run.inner_m[1] and s.end_m > run.inner_m[0] for s in segments)


def _ground_at_house(yard: Yard, shape: Any, outlines: Any) -> list[float]:
    """Ground at the foot of the wall nearest to each trench."""
    import shapely

    spots = shapely.get_coordinates(shapely.shortest_line(shape, outlines))[::2]
    return [float(level) for level in yard.level_at([(float(x), float(y)) for x, y in spots])]


def _digging(yard: Yard, name: str) -> str:
    """What is dug, as the sheets call it: a wall by its own name, else the part of a drain."""
    if name.startswith("soakaway/"):
        return name.replace("/", " ", 1)
    return f"drain {name}" if (place := _place(yard, name)) == name else f"wall {place}"


def _place(yard: Yard, name: str) -> str:
    return next((run.leg for run in yard.walls.runs if run.id == name), name)


def _trench_finding(yard: Yard, house: House, check: HouseCheck) -> Finding:
    units = yard.project.units
    guess = "" if house.footing_depth_m is not None else " (depth of the footing not known: taken as shallow)"
    text = (
        f"The trench of {_digging(yard, check.face)} goes {small_text(check.measured, units)} deep beside "
        f"{house.name}. Nothing is dug below a line that falls 1 to 1 from the underside of the footing: that allows "
        f"{small_text(check.needed, units)} there{guess}."
    )
    verdict = Verdict.STOP if house.footing_depth_m is not None else Verdict.ASK
    cure = Cure("move-trench", f"move it {small_text(check.measured - check.needed, units)} further from the house, or "
                "dig it that much less deep")  # fmt: skip
    return Finding(
        "water.trench_at_house", verdict, text, _place(yard, check.face), demand=check.measured, capacity=check.needed,
        unit="m",
        source="PRACTICE: no digging under a line 1 : 1 from the footing's foot", cures=(cure,),
        withholds=("all",) if verdict is Verdict.STOP else (), ask="engineer" if verdict is Verdict.ASK else "",
    )  # fmt: skip


def _touching_finding(house: House, touching: Collection[str]) -> Finding:
    """Digging at the very footing, no deeper than the 1 : 1 line from its foot allows."""
    said = " and ".join(sorted(touching, reverse=True))
    text = (
        f"Digging for {said} comes right up to {house.name}, where its footing may reach out under the ground: no "
        "deeper than the footing, as far as the file knows, but ask before you dig there, and look at the footing "
        "first by hand."
    )
    return Finding(
        "water.at_footing", Verdict.ASK, text, house.name, ask="engineer",
        source="PRACTICE: ask before digging beside a footing", cause=f"water.at_footing/{house.name}",
    )  # fmt: skip
