"""Drain stone and fabric, worked out again from what is written of a plan: for every bed, and the ground outside."""

from __future__ import annotations

from cmath import phase
from collections.abc import Iterator
from itertools import pairwise
from math import ceil, dist, pi, tan
from typing import Any, NamedTuple

import numpy as np
import shapely

from lawbook.drained import Data, Held, along, at, held_of, legs_of
from lynchet.project.model import Project

STEP_M, ACROSS = 0.05, 6
"""Length of a piece of the sum along a wall; points in its width."""
FINE_STEP_M, FINE_ACROSS = 0.01, 48
"""The same where something that stays bars a part of the width: what is left may be a wedge."""
MANY = 1e9
CLEAR_M, OFF_M = 0.05, 0.02
"""Stone keeps off what stays, at the least, and off houses and lot lines. PRACTICE."""
BED_M, COVER_M, THIN_M, LEAST_M = 0.15, 0.15, 0.10, 0.05
"""Stone under the timber (6 in), earth over the stone, the same where the plan says that drains lie shallower, height
of stone at the least. PRACTICE."""
LAP_M = 0.30
"""Of fabric (1 ft). PRACTICE."""
END_M = 0.05
"""Let off at either end of a drain."""
SHORT_M = 0.7
"""A drain up to this is let off half of it."""
MOST_TURN = 2.6
GRID_M = 1e-5


class _Strip(NamedTuple):
    """Stone behind a stretch in short pieces."""

    face: str
    """The ground held."""
    tall: Any
    """(n,) from the bottom of the stone to its cover."""
    long: float
    """Of a piece."""
    free: Any
    """(n,) part of the width in which the stone lies: on the ground it drains, clear of timber of other walls, and
    where zones of two walls lap over, it is the deeper one's, of equal ones half each's."""
    along: Any
    """(n,) the same, but whole where something bars a part of the width: fabric lies round what is left."""


class _Zone(NamedTuple):
    """Where stone may lie behind a stretch."""

    held: Held
    bottom_m: float
    tall: Any
    dots: Any
    """(n, m) points, spread evenly over the width of every piece."""
    frame: tuple[Any, Any, Any, float, float]
    """A point of the wall's face, its direction and the way off it, length of the stretch and width of the zone."""


def _zones(data: Data, project: Project) -> list[_Zone]:
    wide = project.drain.stone_width_m
    shallow = any(one["code"] == "water.gentle_fall" for one in data["findings"])
    flights = {flight["id"] for flight in data["terraces"]["flights"]}
    runs = data["walls"]["runs"]
    under = {(run["leg"], run["course"]): run["bottom_m"] for run in runs}
    bars = _bars(project)
    found = []
    for held in held_of(data):
        if held.row is None or held.faces[1] in flights:
            continue
        leg, long = held.leg, held.end_m - held.start_m
        start, way, out = (np.array(leg[key]) for key in ("start_m", "direction", "normal"))
        bottom = under[leg["id"], held.segment["base"]] - BED_M
        lefts = (np.concatenate([run["outline_m"] for run in runs if run["leg"] == leg["id"]]) - start) @ out
        near = start + held.start_m * way + (lefts.max() if held.held > 0 else lefts.min()) * out
        corners = (near, near + long * way, near + long * way + held.held * wide * out, near + held.held * wide * out)
        fine = bool(shapely.intersects(shapely.Polygon(corners), bars))
        step, across = (FINE_STEP_M, FINE_ACROSS) if fine else (STEP_M, ACROSS)
        count = max(1, ceil(long / step))
        shares = (np.arange(count) + 0.5) / count
        ends = [held.levels(station)[1] for station in (held.start_m, held.end_m)]
        tall = np.maximum(ends[0] + shares * (ends[1] - ends[0]) - (THIN_M if shallow else COVER_M) - bottom, LEAST_M)
        aside = (np.arange(across) + 0.5) / across * wide
        dots = near + (long * shares)[:, None, None] * way + aside[None, :, None] * held.held * out
        found.append(_Zone(held, bottom, tall, shapely.points(dots), (near, way, held.held * out, long, wide)))
    return found


def _strips(data: Data, project: Project) -> Iterator[_Strip]:
    runs = data["walls"]["runs"]
    shapes = _standing(data)
    tree = shapely.STRtree(shapes)
    legs = np.array([run["leg"] for run in runs])
    levels = np.array([[run["bottom_m"], run["top_m"]] for run in runs])
    faces = {one["id"]: shapely.Polygon(one["outline_m"], one["holes_m"])
             for one in data["terraces"]["faces"] if one["kind"] == "bed"}  # fmt: skip
    ring = shapely.union_all(list(faces.values()), grid_size=GRID_M)
    lies, corners = _lies(data), _corners(data)
    all_bars, off_lines = _bars(project), _bars(project, lines=False)
    over = {one["place"] for one in data["findings"] if one["code"] == "water.dig_beyond" and one["verdict"] == "stop"}
    zones = _zones(data, project)
    for zone in zones:
        held, dots, face = zone.held, zone.dots, zone.held.faces[1]
        # where it is a stop that the stone of a drain lies over a lot line, it is drawn and counted as it lies
        bars = off_lines if held.leg["id"] in over else all_bars
        inside = shapely.intersects(faces.get(face, ring), dots)
        share = (inside if face in faces else ~inside).astype(float)
        others = tree.query(shapely.MultiPoint(dots.ravel()).envelope, predicate="intersects")
        others = others[(legs[others] != held.leg["id"]) & (levels[others, 1] > zone.bottom_m + 1e-3)]
        others = others[levels[others, 0] < zone.bottom_m + zone.tall.max() - 1e-3]
        share[shapely.intersects(shapely.union_all(shapes[others]), dots) | shapely.intersects(bars, dots)] = 0.0
        same = [one for one in zones if one.held.leg["id"] != held.leg["id"] and one.held.faces[1] == face]
        if held.row["drained"] == "none":  # stone may lie there and be taken as full of water
            placed = shapely.intersects(lies.get(face, shapely.Point()), dots)
            for one in same:  # a corner that stone is led round is filled, though each strip ends at its middle
                if frozenset((one.held.leg["id"], held.leg["id"])) in corners.get(face, ()):
                    placed |= _laps(one, zone, project.timber.thickness_m).reshape(dots.shape) > 0.0
            share[~placed] = 0.0
        lies_m = share.mean(axis=1)
        thick = project.timber.thickness_m
        share /= 1.0 + sum(_laps(one, zone, thick).reshape(dots.shape) for one in same)
        free = share.mean(axis=1)
        narrowed = shapely.intersects(bars, dots).any(axis=1)
        part = np.where(narrowed, free / np.maximum(lies_m, 1e-9), free)
        yield _Strip(face, zone.tall, (held.end_m - held.start_m) / len(zone.tall), free, part)


def _lies(data: Data) -> dict[str, Any]:
    """Outline of the stone placed for every bed, and for the ground outside."""
    of_chain = {chain["id"]: chain["high_face"] for chain in data["water"]["chains"]}
    found: dict[str, list[Any]] = {}
    for stone in data["water"]["stone"]:
        found.setdefault(of_chain[stone["chain"]], []).append(shapely.Polygon(stone["outline_m"]))
    return {face: shapely.union_all(shapes) for face, shapes in found.items()}


def _corners(data: Data) -> dict[str, set[frozenset[str]]]:
    """Pairs of walls from one to the other of which stone is led, for every bed, and for the ground outside."""
    found: dict[str, set[frozenset[str]]] = {}
    for chain in data["water"]["chains"]:
        legs = [edge["leg"] for edge in chain["edges"]]
        pairs = pairwise([*legs, legs[0]] if chain["closed"] else legs)
        laid = {stone["leg"] for stone in data["water"]["stone"] if stone["chain"] == chain["id"]}
        found.setdefault(chain["high_face"], set()).update(frozenset(pair) for pair in pairs if laid.issuperset(pair))
    return found


def _standing(data: Data) -> Any:
    """Outline of every run, as wide as its whole wall with all that it leans."""
    legs = legs_of(data)
    rings = [[along(legs[run["leg"]], point) for point in run["outline_m"]] for run in data["walls"]["runs"]]
    aside: dict[str, list[float]] = {}
    for run, ring in zip(data["walls"]["runs"], rings, strict=True):
        aside.setdefault(run["leg"], []).extend(left for _, left in ring)
    found = []
    for run, ring in zip(data["walls"]["runs"], rings, strict=True):
        low, high = min(aside[run["leg"]]), max(aside[run["leg"]])
        ends = min(station for station, _ in ring), max(station for station, _ in ring)
        box = [(ends[0], low), (ends[1], low), (ends[1], high), (ends[0], high)]
        found.append(shapely.Polygon([at(legs[run["leg"]], *corner) for corner in box]))
    return np.array(found)


def _bars(project: Project, *, lines: bool = True) -> Any:
    """What no stone is laid on, in the file's coordinates: what stays with the ground it needs, houses, lot lines."""
    stays = [fixed.shape.buffer(max(fixed.clear_m, CLEAR_M)) for fixed in project.fixed]
    houses = [shapely.Polygon(house.outline_m).buffer(OFF_M) for house in project.houses]
    lots = [shapely.LineString(line.line_m).buffer(OFF_M) for line in project.lot_lines if lines]
    bars = shapely.union_all([*stays, *houses, *lots])
    return shapely.transform(bars, lambda own: np.column_stack(project.frame.outward((own[:, 0], own[:, 1]))))


def _laps(other: _Zone, zone: _Zone, thick: float) -> Any:
    """At each point of a zone how often another holds it too: once where the walls meet in a corner, of others many
    times where that one is deeper."""
    near, way, out, long, wide = other.frame
    dots = shapely.get_coordinates(zone.dots)
    on, aside = (dots - near) @ way, (dots - near) @ out
    held = (on > 0.0) & (on < long) & (aside > 0.0) & (aside < wide)
    deeper = zone.bottom_m - other.bottom_m
    lines = (shapely.LineString((one.held.leg["start_m"], one.held.leg["end_m"])) for one in (zone, other))
    if abs(deeper) < 1e-3 or shapely.dwithin(*lines, 2.0 * thick):
        return held * 1.0
    return held * (MANY if deeper > 0.0 else 0.0)


def _pipe_m3(drains: list[Data]) -> float:
    pipes = ((pi / 4.0 * pipe["outside_m"] ** 2, pipe["points_m"]) for pipe in drains)
    return sum(cut * sum(dist(a, b) for a, b in pairwise(points)) for cut, points in pipes)


def _outer_turns(data: Data) -> dict[str, float]:
    """Sum of the tangents of half the angles by which each chain turns round outer corners of walls."""
    found: dict[str, float] = {}
    (dx, dy), (nx, ny) = next(((leg["direction"], leg["normal"]) for leg in data["walls"]["legs"]), ((1, 0), (0, 1)))
    hand = 1.0 if dx * ny - dy * nx > 0 else -1.0  # of a yard that is written mirrored, left is right
    for chain in data["water"]["chains"]:
        points = [complex(*node["point_m"]) for node in chain["nodes"]]
        ways = [b - a for a, b in pairwise([*points, points[0]] if chain["closed"] else points)]
        sides = [edge["held"] * (1 if edge["end_station_m"] > edge["start_station_m"] else -1)
                 for edge in chain["edges"]]  # fmt: skip
        legs = [one for one in zip(ways, sides, strict=True) if abs(one[0]) > 1e-6]
        pairs = pairwise([*legs, legs[0]] if chain["closed"] else legs)
        turns = (max(-hand * side * phase(after / before), 0.0) for (before, side), (after, _) in pairs)
        found[chain["id"]] = sum(tan(min(turn, MOST_TURN) / 2.0) for turn in turns)
    return found


def stone_and_fabric_fill_their_zone(data: Data, project: Project) -> list[str]:
    """Drain stone from the bed under the timber to the earth over it, as wide as the file says, along every wall that
    is drained, the pipe taken off; fabric under, behind and over it with a lap: by a sum in steps of 5 cm (1 cm where
    something bars a part of the width), for every bed and for the ground outside. At an outer corner the middle of the
    stone is longer than the walls are, by twice its distance from their line times the tangent of half the turn."""
    wide, water = project.drain.stone_width_m, data["water"]
    zones: dict[str, list[_Strip]] = {}
    for strip in _strips(data, project):
        zones.setdefault(strip.face, []).append(strip)
    flights = {flight["id"] for flight in data["terraces"]["flights"]}  # their stone lies under steps
    turns, out = _outer_turns(data), []
    for face in sorted({chain["high_face"] for chain in water["chains"]}.union(zones) - flights):
        strips = zones.get(face, [])
        tall = max((float(strip.tall.max()) for strip in strips), default=0.0)
        stone = sum(float((strip.tall * strip.free).sum()) * strip.long for strip in strips) * wide
        cloth = sum(float(((strip.tall + LAP_M) * strip.along + 2.0 * wide * strip.free).sum()) * strip.long
                    for strip in strips)  # fmt: skip
        chains = [chain for chain in water["chains"] if chain["high_face"] == face]
        ends, both = _let_off_m(chains, turns, wide + 2.0 * project.timber.thickness_m)
        names = {chain["id"] for chain in chains}
        stones, fabrics, drains = ([one for one in water[key] if one["chain"] in names]
                                   for key in ("stone", "fabric", "drains"))  # fmt: skip
        told = sum(part["volume_m3"] for part in stones) + _pipe_m3(drains)
        if not 0.98 * stone - ends * tall * wide <= told <= 1.02 * stone + both * tall * wide:
            out.append(f"{face}: {told:.3f} m3 of stone placed, {stone:.3f} in its zone")
        told, round_m = sum(part["length_m"] * part["developed_width_m"] for part in fabrics), tall + 2.0 * wide + LAP_M
        if not 0.98 * cloth - ends * round_m <= told <= 1.02 * cloth + both * round_m:
            out.append(f"{face}: {told:.3f} m2 of fabric placed, {cloth:.3f} round the stone")
    return out


def _let_off_m(chains: list[Data], turns: dict[str, float], wide: float) -> tuple[float, float]:
    """Metres that the chains of a bed may be shorter, and longer, than its walls."""
    lengths = [sum(edge["length_m"] for edge in chain["edges"]) for chain in chains]
    ends = sum(SHORT_M / 2.0 if length < SHORT_M else 2.0 * END_M for length in lengths) or 2.0 * END_M
    return ends, ends + wide * sum(turns[chain["id"]] for chain in chains)
