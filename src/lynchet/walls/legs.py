"""Legs and nodes: every wall line with its levels, where a wall stands on it, and its base and top course."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lynchet.core.changed import changed
from lynchet.core.intervals import Interval
from lynchet.core.plane import left_of, minus, unit
from lynchet.core.standing import Standing
from lynchet.ground.model import Surface
from lynchet.project.model import Project
from lynchet.terraces.bed_soil import LEAN
from lynchet.terraces.model import Terraces, WallLine
from lynchet.walls.bank_reach import Reach
from lynchet.walls.footing_steps import (
    LEAST_TREAD_M,
    base_demand,
    segments,
    top_demand,
    with_least_tread,
    with_windows,
)
from lynchet.walls.kept import kept_segments
from lynchet.walls.lean import may_lean
from lynchet.walls.model import Arm, Leg, Node, Segment
from lynchet.walls.pads import Pad, pads_of, windows
from lynchet.walls.spans import spans_of
from lynchet.walls.stretches import standing as standing_stretches

EMBEDMENT_M = 0.15


@dataclass(frozen=True)
class Plumb:
    """A front that stands plumb, and why."""

    leg: str
    why: str


def bare_legs(project: Project, terraces: Terraces, surface: Surface) -> dict[str, Leg]:
    """Every line as a leg with its levels, nothing built on it yet, in the order of the file."""
    legs = {}
    for line in terraces.lines:
        way = unit(minus(line.end_m, line.start_m))
        legs[line.id] = Leg(
            line.id, line.role, line.start_m, line.end_m, way, left_of(way), line.length_m,
            project.timber.thickness_m, tuple(station for station, _ in line.junctions),
            spans_of(line, terraces, surface), (),
        )  # fmt: skip
    return legs


def nodes_of(terraces: Terraces) -> list[Node]:
    """The points where legs meet or end, named after their legs."""
    arms: dict[int, list[Arm]] = {}
    for line in terraces.lines:
        last = line.junctions[-1][0]
        for station, junction in line.junctions:
            at = arms.setdefault(junction, [])
            if station > 0.0:
                at.append(Arm(line.id, -1, station))
            if station < last:
                at.append(Arm(line.id, 1, station))
    nodes: list[Node] = []
    taken: dict[str, int] = {}
    for junction, members in sorted(arms.items()):
        name = "+".join(dict.fromkeys(arm.leg for arm in members))
        taken[name] = taken.get(name, 0) + 1
        if taken[name] > 1:
            name += f".{taken[name]}"
        nodes.append(Node(name, terraces.junctions_m[junction], tuple(members)))
    return nodes


def built_legs(
    project: Project,
    terraces: Terraces,
    bare: Mapping[str, Leg],
    nodes: Sequence[Node],
    standing: Standing,
    reaches: Mapping[str, Sequence[Reach]],
) -> tuple[dict[str, Leg], list[Plumb]]:
    """The legs with their segments and lean.

    Args:
        project, terraces: where they stand.
        bare: every line with its levels.
        nodes: where they meet.
        standing: what stands already.
        reaches: of every edge that ends as a bank, by its line.

    Returns:
        Legs, in the same order; fronts that stand plumb although a lean was asked for.
    """
    ways = {name: leg.direction for name, leg in bare.items()}
    lines = {line.id: line for line in terraces.lines}
    course = project.timber.course_m
    legs = {}
    for name, leg in bare.items():
        mine = [node for node in nodes if any(arm.leg == name for arm in node.arms)]
        pads = pads_of(name, mine, ways, leg.thickness_m)
        pinned = standing.leg(name)
        stretches = standing_stretches(lines[name], leg.spans, pads, course, reaches.get(name, ()))
        free = _with_segments(leg, lines[name], (pads, stretches), terraces, project)
        legs[name] = kept_segments(free, pinned) if pinned and pinned.segments else free
    return _with_lean(project, terraces, legs, nodes)


def _with_segments(
    leg: Leg, line: WallLine, stands: tuple[Sequence[Pad], Sequence[Interval]], terraces: Terraces, project: Project
) -> Leg:
    pads, stretches = stands
    embedment = _embedment(leg, line, project)
    least = max(LEAST_TREAD_M, 2.0 * leg.thickness_m)
    base_windows = windows(pads)
    top_windows = [
        part
        for (low, high), pad in zip(base_windows, pads, strict=True)
        for part in ((low, pad.station_m), (pad.station_m, high))
    ]
    flush = frozenset(face.id for face in terraces.faces if face.kind == "flight")
    parts: list[Segment] = []
    for stretch in stretches:
        bases = base_demand(leg.spans, stretch, terraces.lattice, embedment)
        tops = top_demand(leg.spans, stretch, terraces.lattice, project.brief.freeboard_m, flush)
        bases = with_least_tread(with_windows(bases, base_windows, 1), least, 1)
        tops = with_least_tread(with_windows(tops, top_windows, -1), least, -1)
        parts += segments(bases, tops)
    return changed(leg, segments=tuple(parts), embedment_m=embedment)


def _embedment(leg: Leg, line: WallLine, project: Project) -> float:
    """Half a course for walls up to two courses; else one course, not under 0.15 m (unless the brief says)."""
    if project.brief.embedment_m is not None:
        return project.brief.embedment_m
    course = project.timber.course_m
    if line.finish in ("open", "house"):
        return EMBEDMENT_M
    high = max((max(s.high0_m - s.low0_m, s.high1_m - s.low1_m) for s in leg.spans), default=0.0)
    return course / 2 if high <= 2 * course + 1e-6 else max(EMBEDMENT_M, course)


def _with_lean(
    project: Project, terraces: Terraces, legs: dict[str, Leg], nodes: Sequence[Node]
) -> tuple[dict[str, Leg], list[Plumb]]:
    asked = project.brief.lean
    lean = LEAN if asked is None else asked
    if lean == 0.0:
        return legs, []
    out, plumb = {}, []
    for name, leg in legs.items():
        mine = [node for node in nodes if any(arm.leg == name for arm in node.arms)]
        why = may_lean(leg, mine, legs, terraces.along, project.timber.course_m)
        out[name] = leg if why else changed(leg, setback_m=lean * project.timber.course_m)
        if asked and why and why != "no front":
            plumb.append(Plumb(name, why))
    return out, plumb
