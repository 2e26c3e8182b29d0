"""Laws of the drains, measured on what was laid, not on how it was found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import dist
from typing import Any

import shapely

from lawbook.case import Case
from lynchet.ground.surface import level_at
from lynchet.terraces.model import HOUSE, OUTSIDE
from lynchet.water.model import Drain, SolidPipe, Water

FALL = 1e-6
BARE_M = 0.30
"""Held height up to which stone alone may drain."""
LAST_M = 0.45
NEAR_M, CORNER_M = 0.75, 1.0
STONE_M = 0.5
BESIDE_M = 0.2
DROP_M = 0.05
MERGE_M = 0.32
"""Pipes may touch this close to the point where they merge."""

PIPES = ("drain pipe", "solid pipe", "roof pipe", "cut-off")


@dataclass(frozen=True, eq=False)
class Wet:
    """A case with its water."""

    case: Case
    water: Water

    @cached_property
    def drains(self) -> dict[str, Drain]:
        """Drains by id."""
        return {drain.id: drain for drain in self.water.drains}

    @cached_property
    def refused_legs(self) -> set[str]:
        """Legs along a chain that found no way out, or where a finding says that no pipe can lie."""
        names = {refused.chain for refused in self.water.refused}
        names |= {f.place for f in self.water.findings if f.code == "water.stone_only"}
        legs = {edge.leg for chain in self.water.chains if chain.id in names for edge in chain.edges}
        told = {f.place for f in self.water.findings if f.code in ("water.undrained", "water.corner")}
        return legs | told


WaterLaw = Callable[[Wet], list[str]]


def pipe_near_every_held_metre(wet: Wet) -> list[str]:
    """Where over 0.30 m is held a pipe lies within 0.75 m of the timber's face (1 m in a tight corner, told)."""
    if not wet.water.drains:
        lines = shapely.MultiLineString()
    else:
        lines = shapely.MultiLineString([d.points_m for d in wet.water.drains])
    out = []
    for leg in wet.case.walls.legs:
        if leg.id in wet.refused_legs:
            continue
        for span in leg.spans:
            for seg in leg.segments:
                start, end = max(span.start_m, seg.start_m), min(span.end_m, seg.end_m)
                if end <= start or span.held == 0 or span.high_face == HOUSE:
                    continue
                count = max(2, int((end - start) / 0.3))
                for i in range(count + 1):
                    s = start + (end - start) * i / count
                    left, right = span.levels_at(s)
                    face = leg.thickness_m + leg.setback_m * (seg.top - leg.lowest_course) if span.held > 0 else 0.0
                    away = float(lines.distance(shapely.Point(leg.point_at(s, face))))
                    if abs(left - right) > BARE_M + 1e-6 and not away <= NEAR_M + 1e-6:
                        out.append(f"{leg.id} at {s:.2f}: {abs(left - right):.2f} m held, pipe {away:.2f} m away")
    return out[:5]


def water_falls_to_its_sink(wet: Wet) -> list[str]:
    """Every pipe falls at least as asked toward its sink, between floor and ceiling of its chain."""
    gentle = any(f.code == "water.gentle_fall" for f in wet.water.findings)
    fall = wet.case.project.drain.least_fall / (2.0 if gentle else 1.0)
    chains = {chain.id: chain for chain in wet.water.chains}
    out = []
    for drain in wet.water.drains:
        nodes = chains[drain.chain].nodes
        for i, (a, b) in enumerate(pairwise(range(len(drain.nodes)))):
            up = drain.inverts_m[b] - drain.inverts_m[a]
            if i < drain.sink:
                up = -up
            length = dist(drain.points_m[a], drain.points_m[b])
            if up < fall * length - 1e-5:
                out.append(f"{drain.id}: part {i} falls {up:.4f} on {length:.3f} m")
        for i, node in enumerate(drain.nodes):
            if i in (0, len(drain.nodes) - 1) and dist(drain.points_m[i], nodes[node].point_m) > 1e-6:
                continue
            if not nodes[node].floor_m - 1e-6 <= drain.inverts_m[i] <= nodes[node].ceiling_m + 1e-6:
                out.append(f"{drain.id}: invert {drain.inverts_m[i]:.3f} off its bounds at node {node}")
    for solid in wet.water.solids:
        for i in range(len(solid.points_m) - 1):
            length = dist(solid.points_m[i], solid.points_m[i + 1])
            if solid.inverts_m[i] - solid.inverts_m[i + 1] < fall * length - 1e-5:
                out.append(f"{solid.id}: part {i} falls too little")
        above = wet.drains.get(solid.drain)
        if above is None:
            out.append(f"{solid.id} has no drain")
            continue
        if abs(solid.inverts_m[0] - above.inverts_m[above.sink]) > 1e-6:
            out.append(f"{solid.id} does not start at its drain's sink")
        if dist(solid.points_m[0], above.points_m[above.sink]) > 1e-6:
            out.append(f"{solid.id} starts beside its drain's sink")
    return out


def joints_meet(wet: Wet) -> list[str]:
    """A solid pipe that runs into another pipe ends on it, not below it."""
    solids = {solid.drain: solid for solid in wet.water.solids}
    out = []
    for solid in wet.water.solids:
        if solid.into.endswith("/outlet"):
            outlet = next((o for o in wet.water.outlets if o.id == solid.into), None)
            if outlet is None or dist(outlet.point_m, solid.points_m[-1]) > 1e-6:
                out.append(f"{solid.id} ends at no outlet")
            continue
        below = solids[solid.into]
        line, end = shapely.LineString(below.points_m), shapely.Point(solid.points_m[-1])
        if line.distance(end) > 0.02:
            out.append(f"{solid.id} ends {line.distance(end):.2f} m beside {below.id}")
            continue
        if solid.inverts_m[-1] < _invert_at(below, line.project(end)) - 1e-3:
            out.append(f"{solid.id} ends under {below.id}")
    return out


def _invert_at(solid: SolidPipe, along: float) -> float:
    at = 0.0
    pairs = pairwise(zip(solid.points_m, solid.inverts_m, strict=True))
    for (a, ya), (b, yb) in pairs:
        length = dist(a, b)
        if along <= at + length + 1e-9:
            return ya + (yb - ya) * (along - at) / length
        at += length
    return solid.inverts_m[-1]


def outlets_pour_freely(wet: Wet) -> list[str]:
    """An outlet lies a free drop over the ground, outside the area, off paths, 1.5 m from houses."""
    houses = [shapely.Polygon(h.outline_m) for h in wet.case.project.houses]
    paths = [shapely.LineString(p.line_m).buffer(p.width_m / 2) for p in wet.case.project.paths]
    inner = wet.case.area.buffer(-0.01)
    out = []
    for outlet in wet.water.outlets:
        if outlet.kind != "daylight":
            continue
        dot = shapely.Point(outlet.point_m)
        ground = float(level_at(wet.case.ground.surface, [outlet.point_m], 1.0)[0])
        if not outlet.invert_m >= ground + DROP_M - 2e-3:
            out.append(f"{outlet.id} lies {outlet.invert_m - ground:.3f} over the ground")
        if any(h.distance(dot) < 1.5 - 1e-6 for h in houses):
            out.append(f"{outlet.id} too near a house")
        if any(p.contains(dot) for p in paths) or inner.contains(dot):
            out.append(f"{outlet.id} pours on a path or bed")
        if outlet.flow_l_s < 0:
            out.append(f"{outlet.id} has a flow below 0")
    return out


def no_pipe_through_timber(wet: Wet) -> list[str]:
    """No pipe meets timber but in its own notch: inside its width, between its bottom and top."""
    runs = wet.case.walls.runs
    tree = shapely.STRtree([run.polygon for run in runs])
    notches = {notch.drain: notch for notch in wet.water.notches}
    out = []
    for body in wet.water.bodies:
        if body.kind not in PIPES:
            continue
        outline = shapely.Polygon(body.outline_m)
        for index in tree.query(outline, predicate="intersects"):
            run = runs[index]
            common = outline.intersection(run.polygon, grid_size=1e-6)
            if common.area < 1e-5:
                continue
            levels = [body.levels_at(p) for p in shapely.get_coordinates(common)]
            low, high = min(b for b, _ in levels), max(t for _, t in levels)
            if low >= run.top_m - 1e-6 or high <= run.bottom_m + 1e-6:
                continue
            drain = body.part_of.removesuffix("/out")
            notch = notches.get(drain)
            if notch is None or run.id not in notch.runs or not body.id.endswith("/out/1"):
                out.append(f"{body.id} goes through {run.id}")
                continue
            hole = shapely.Polygon(notch.outline_m).buffer(1e-6)
            if not hole.covers(common) or low < notch.bottom_m - 1e-6 or high > notch.top_m + 1e-6:
                out.append(f"{body.id} does not fit notch {notch.id}")
    return out


def no_pipe_through_pipe(wet: Wet) -> list[str]:
    """Pipes meet only where they merge."""
    pipes = [body for body in wet.water.bodies if body.kind in PIPES]
    lines = [shapely.LineString([b.start_m, b.end_m]) for b in pipes]
    tree = shapely.STRtree(lines)
    solids = {solid.drain: solid for solid in wet.water.solids}
    size = wet.case.project.drain.outside_m
    out = []
    for i, body in enumerate(pipes):
        for j in tree.query(lines[i], predicate="dwithin", distance=size - 1e-3):
            other = pipes[j]
            if j <= i or body.part_of == other.part_of:
                continue
            merges = _merges(wet, solids, body.part_of) + _merges(wet, solids, other.part_of)
            for spot in shapely.get_coordinates(lines[i].intersection(lines[j])).tolist():
                (low, top), (low2, top2) = body.levels_at(spot), other.levels_at(spot)
                if (
                    low < top2 - 1e-3
                    and low2 < top - 1e-3
                    and min((dist(spot, at) for at in merges), default=size) > size / 2
                ):
                    out.append(f"{body.id} crosses {other.id} before they merge")
            near: Any = lines[i]
            for point in merges:
                near = near.difference(shapely.Point(point).buffer(MERGE_M))
            if near.is_empty or near.distance(lines[j]) >= size - 1e-3:
                continue
            spot = shapely.shortest_line(near, lines[j]).coords
            (low, top), (low2, top2) = body.levels_at(spot[0]), other.levels_at(spot[1])
            if low < top2 - 1e-3 and low2 < top - 1e-3:
                out.append(f"{body.id} meets {other.id}")
    return out


def _merges(wet: Wet, solids: dict[str, SolidPipe], pipe: str) -> list[tuple[float, float]]:
    solid = solids.get(pipe.removesuffix("/out"))
    return [] if solid is None else [solid.points_m[0], solid.points_m[-1]]


def flows_add_up(wet: Wet) -> list[str]:
    """What comes out is what comes in."""
    drained = {drain.chain for drain in wet.water.drains}
    come = sum(c.flow_l_s for c in wet.water.catchments if c.chain in drained)
    own = {o.id for d in wet.water.drains for o in wet.water.outlets if o.id == d.into}
    go = sum(o.flow_l_s for o in wet.water.outlets if o.id in own)
    return [] if abs(come - go) < 1e-9 else [f"{come:.6f} l/s come, {go:.6f} go"]


def notches_are_sound(wet: Wet) -> list[str]:
    """A notch lies in the windows of each of its courses, 0.3 m from the next; every crossing has one."""
    out = []
    for notch in wet.water.notches:
        for course, run in zip(notch.courses, notch.runs, strict=True):
            windows = wet.case.walls.windows(notch.leg, course, notch.width_m)
            if not any(w.run == run and any(a - 1e-6 <= notch.station_m <= b + 1e-6 for a, b in w.stations_m)
                       for w in windows):  # fmt: skip
                out.append(f"{notch.id} lies outside the windows of course {course}")
        runs = [r for r in wet.case.walls.runs if r.id in notch.runs]
        if abs(min(r.bottom_m for r in runs) - notch.bottom_m) > 1e-6:
            out.append(f"{notch.id} has another bottom than its course")
        if abs(max(r.top_m for r in runs) - notch.top_m) > 1e-6:
            out.append(f"{notch.id} has another top than its course")
    for a in wet.water.notches:
        for b in wet.water.notches:
            if a.id < b.id and a.leg == b.leg and abs(a.station_m - b.station_m) < 0.3 + a.width_m - 1e-6:
                out.append(f"{a.id} and {b.id} are too near")
    crossing = {solid.drain for solid in wet.water.solids if "through" in solid.side}
    if crossing != {notch.drain for notch in wet.water.notches}:
        out.append("crossings and notches differ")
    return out


def levels_make_sense(wet: Wet) -> list[str]:
    """Water stands no lower with more shut; every held stretch over the least height has a row."""
    out = []
    for row in wet.water.levels:
        if not row.wet_m - 1e-9 <= row.one_shut_m <= row.all_shut_m + 1e-9:
            out.append(f"{row.leg} at {row.start_m:.2f}: levels fall as outlets shut")
    for leg in wet.case.walls.legs:
        for span in leg.spans:
            for seg in leg.segments:
                start, end = max(span.start_m, seg.start_m), min(span.end_m, seg.end_m)
                if end - start < 1e-3 or span.held == 0 or span.high_face == HOUSE:
                    continue
                middle = (start + end) / 2
                left, right = span.levels_at(middle)
                rows = [r for r in wet.water.levels_of(leg.id) if r.start_m <= middle <= r.end_m]
                if abs(left - right) > 0.16 and not any(r.held == span.held for r in rows):
                    out.append(f"{leg.id} at {middle:.2f} holds {abs(left - right):.2f} m without a water level")
    return out


def chains_are_served(wet: Wet) -> list[str]:
    """Every edge that holds over 0.30 m carries exactly one pipe, and drains of a chain never overlap; up to 0.45 m
    stone alone may stay as a last resort, told, with water counted to the surface."""
    refused = {r.chain for r in wet.water.refused}
    told = {f.place for f in wet.water.findings if f.code == "water.stone_only"}
    out = []
    for chain in wet.water.chains:
        count = [0] * len(chain.edges)
        for drain in wet.water.drains:
            if drain.chain == chain.id:
                for node in drain.nodes[:-1]:
                    count[node] += 1
        for index, edge in enumerate(chain.edges):
            if count[index] > 1:
                out.append(f"{chain.id}: edge {index} has {count[index]} pipes")
            if edge.held_height_m > BARE_M + 1e-6 and count[index] == 0 and chain.id not in refused:
                last = chain.id in told and edge.held_height_m <= LAST_M + 1e-6
                last = last or chain.catchment_m2 == 0.0  # a pocket too short for a pipe, with one near or told
                middle = (edge.start_station_m + edge.end_station_m) / 2
                row = wet.water.level_at(edge.leg, middle)
                full = row is not None and row.wet_m == row.all_shut_m
                beyond = not 0.0 < middle < wet.case.walls.leg(edge.leg).length_m
                if chain.catchment_m2 == 0.0:  # its stone, a foot long at least, reaches past the ground it holds
                    beyond |= not any(r.chain == chain.id and r.start_m <= middle <= r.end_m for r in wet.water.levels)
                if not beyond and edge.length_m > 1e-3 and not (last and full):
                    out.append(f"{chain.id}: edge {index} holds {edge.held_height_m:.2f} m without a pipe")
    return out


def what_counts_as_drained_lies_by_stone(wet: Wet) -> list[str]:
    """Ground reckoned as drained, by a pipe or by stone alone, has drain stone within half a metre of its wall's back.

    A metre at a tight corner that is told, and in the tip of one that the pipe turns: the stone of both walls, counted
    twice where it overlaps, fills it. A place inside other timber holds nothing, none outside the bed that is drained
    or past the timber of the wall it meets there: what lies there is held by that wall.
    """
    stone = shapely.union_all([shapely.Polygon(one.outline_m).buffer(0) for one in wet.water.stone], grid_size=1e-5)
    timber = shapely.union_all([run.polygon.buffer(1e-3) for run in wet.case.walls.runs], grid_size=1e-5)
    told = {f.place for f in wet.water.findings if f.code == "water.corner"}
    turns = shapely.MultiPoint([n.point_m for chain in wet.water.chains for n in chain.nodes if n.kind == "corner"])

    def past(own: str, back: shapely.Point) -> bool:
        """Whether timber of another wall, right beside a place, stands between it and a corner the pipe turns there."""
        sight = shapely.shortest_line(turns, back)
        if sight is None or sight.length > 2.0 * CORNER_M:
            return False
        beside = (run.polygon for run in wet.case.walls.runs if run.leg != own and run.polygon.dwithin(back, BESIDE_M))
        return any(timber.intersects(sight) for timber in beside)

    faces = {chain.id: wet.case.terraces.face(chain.high_face) for chain in wet.water.chains}
    out = []
    for row in wet.water.levels:
        if row.drained == "none":
            continue
        bed = faces.get(row.chain)
        leg = wet.case.walls.leg(row.leg)
        high = max((segment.top for segment in leg.segments), default=leg.lowest_course)
        face = leg.thickness_m + leg.setback_m * (high - leg.lowest_course) if row.held > 0 else 0.0
        count = max(1, int((row.end_m - row.start_m) / 0.25))
        for i in range(count):
            station = row.start_m + (i + 0.5) * (row.end_m - row.start_m) / count
            back = shapely.Point(leg.point_at(station, face + row.held * 0.05))
            away = float(stone.distance(back)) if not stone.is_empty else float("inf")
            if bed is not None and bed.kind == "bed" and not bed.polygon.dwithin(back, 1e-3):
                continue
            tight = leg.id in told or turns.distance(back) <= CORNER_M
            if away > (CORNER_M if tight else STONE_M) and not timber.contains(back) and not past(leg.id, back):
                out.append(f"{leg.id} at {station:.2f} counts as drained by {row.drained}, stone {away:.2f} m away")
    return out[:5]


def bank_pipes_lie_outside(wet: Wet) -> list[str]:
    """Pipe of a bed lies inside the cleaned area, pipe of a bank outside it."""
    chains = {chain.id: chain for chain in wet.water.chains}
    out = []
    for drain in wet.water.drains:
        line = shapely.LineString(drain.points_m)
        face = wet.case.terraces.face(chains[drain.chain].high_face)
        if chains[drain.chain].high_face == OUTSIDE:
            if line.intersection(wet.case.area).length > 0.02:
                out.append(f"{drain.id} of a bank lies inside the area")
        elif face is not None and face.kind == "bed" and line.difference(face.polygon.buffer(1e-6)).length > 0.02:
            out.append(f"{drain.id} of a bed lies outside the area")
    return out


WATER_LAWS: tuple[WaterLaw, ...] = (
    pipe_near_every_held_metre,
    water_falls_to_its_sink,
    joints_meet,
    outlets_pour_freely,
    no_pipe_through_timber,
    no_pipe_through_pipe,
    flows_add_up,
    notches_are_sound,
    levels_make_sense,
    chains_are_served,
    what_counts_as_drained_lies_by_stone,
    bank_pipes_lie_outside,
)


def broken_water(wet: Wet) -> list[str]:
    """Every broken law of the drains, with its place."""
    return [f"{law.__name__}: {text}" for law in WATER_LAWS for text in law(wet)]
