"""What is bought and carried by volume, worked out again from what is written of a plan: stone and fabric behind walls,
soil in its states, loads; of beds see ``bed_laws``."""

from __future__ import annotations

from cmath import phase
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import pairwise
from math import ceil, dist, isclose, pi, tan
from typing import Any, NamedTuple

import numpy as np
import shapely

from lawbook.bed_laws import beds_have_their_soil
from lawbook.drained import Data, held_of
from lynchet.project.model import Project

STEP_M = 0.05
"""Length of a piece of the sum along a wall."""
BED_M, COVER_M, THIN_M, LEAST_M = 0.15, 0.15, 0.10, 0.05
"""Stone under the timber (6 in), earth over the stone, the same where the plan says that drains lie shallower, height
of stone at the least. PRACTICE."""
LAP_M = 0.30
"""Of fabric (1 ft). PRACTICE."""
STATES = {"sand": (1.11, 0.95), "common earth": (1.25, 0.90), "clay": (1.43, 0.90)}
"""Loose and compacted for one in the bank: US Army FM 5-434, table 1-1 (MEMORY)."""
LOOSE = {"drain stone": 1.10, "base stone": 1.20, "bed soil": 1.0 / 0.9, "compost": 1.0 / 0.9, "mulch": 1.0}
"""Loose for one in place: stone settles and spills, tamped stone loses a sixth, bed soil a tenth. PRACTICE."""
UNDER_STEP_M = 0.10
"""Tamped stone under steps (4 in). PRACTICE."""
GRAVITY = 9.80665
END_M = 0.05
"""Let off at either end of a drain."""
SHORT_M = 0.7
"""A drain up to this is let off half of it."""
MOST_TURN = 2.6
AmountLaw = Callable[[Data, Project], list[str]]


class _Strip(NamedTuple):
    """Stone behind a stretch in short pieces."""

    chain: str
    middles: Any
    """(n, 2) of the stone, in plan."""
    tall: Any
    """(n,) from the bottom of the stone to its cover."""
    long: float
    """Of a piece."""
    free: Any
    """(n,) whether no timber of another wall comes nearer than the wall's own: there its stone goes on."""


def _strips(data: Data, project: Project) -> Iterator[_Strip]:
    half = project.drain.stone_width_m / 2.0
    shallow = any(one["code"] == "water.gentle_fall" for one in data["findings"])
    flights = {flight["id"] for flight in data["terraces"]["flights"]}
    runs = data["walls"]["runs"]
    shapes = np.array([shapely.Polygon(run["outline_m"]) for run in runs])
    tree = shapely.STRtree(shapes)
    sides: dict[str, tuple[float, float]] = {}
    legs = np.array([run["leg"] for run in runs])
    levels = np.array([[run["bottom_m"], run["top_m"]] for run in runs])
    under = {(run["leg"], run["course"]): run["bottom_m"] for run in runs}
    lies: dict[str, list[Any]] = {}
    for stone in data["water"]["stone"]:
        lies.setdefault(stone["chain"], []).append(shapely.Polygon(stone["outline_m"]))
    for held in held_of(data):
        if held.row is None or held.faces[1] in flights:
            continue
        leg, long = held.leg, held.end_m - held.start_m
        start, way, out = (np.array(leg[key]) for key in ("start_m", "direction", "normal"))
        bottom = under[leg["id"], held.segment["base"]] - BED_M
        count = max(1, ceil(long / STEP_M))
        shares = (np.arange(count) + 0.5) / count
        ends = [held.levels(station)[1] for station in (held.start_m, held.end_m)]
        tall = np.maximum(ends[0] + shares * (ends[1] - ends[0]) - (THIN_M if shallow else COVER_M) - bottom, LEAST_M)
        if leg["id"] not in sides:
            lefts = (np.concatenate([run["outline_m"] for run in runs if run["leg"] == leg["id"]]) - start) @ out
            sides[leg["id"]] = float(lefts.min()), float(lefts.max())
        face = sides[leg["id"]][held.held > 0]
        middles = start + np.outer(held.start_m + long * shares, way) + (face + held.held * half) * out
        others = tree.query(shapely.LineString(middles[[0, -1]]), predicate="dwithin", distance=half)
        others = others[(legs[others] != leg["id"]) & (levels[others, 1] > bottom + 1e-3)]
        others = others[levels[others, 0] < bottom + tall.max() - 1e-3]
        free = np.ones(count, dtype=bool)
        for shape in shapes[others]:
            free &= ~shapely.dwithin(shapely.points(middles), shape, half - 1e-6)
        if held.row["drained"] == "none":  # stone may lie there and be taken as full of water
            free &= shapely.intersects(shapely.points(middles), shapely.union_all(lies.get(held.row["chain"], [])))
        yield _Strip(held.row["chain"], middles, tall, long / count, free)


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
    is drained, the pipe taken off; fabric under, behind and over it with a lap: by a sum in steps of 5 cm along the
    middle of the stone. At an outer corner the middle is longer than the walls are, by twice its distance from their
    line times the tangent of half the turn."""
    wide, water = project.drain.stone_width_m, data["water"]
    strips = list(_strips(data, project))
    stone = sum(float((strip.tall * strip.free).sum()) * strip.long * wide for strip in strips)
    cloth = sum(float(((strip.tall + 2.0 * wide + LAP_M) * strip.free).sum()) * strip.long for strip in strips)
    flights = {flight["id"] for flight in data["terraces"]["flights"]}
    under = {chain["id"] for chain in water["chains"] if chain["high_face"] in flights}  # stone lies under their steps
    placed = {key: [one for one in water[key] if one["chain"] not in under] for key in ("stone", "fabric", "drains")}
    told = sum(part["volume_m3"] for part in placed["stone"]) + _pipe_m3(placed["drains"])
    cloth_told = sum(part["length_m"] * part["developed_width_m"] for part in placed["fabric"])
    lengths = {chain["id"]: sum(edge["length_m"] for edge in chain["edges"]) for chain in water["chains"]}
    tall = dict.fromkeys(lengths, max((float(strip.tall.max()) for strip in strips), default=0.0))
    tall.update(dict.fromkeys((strip.chain for strip in strips), 0.0))
    for strip in strips:
        tall[strip.chain] = max(tall.get(strip.chain, 0.0), float(strip.tall.max()))
    ends = {chain: SHORT_M / 2.0 if lengths.get(chain, 0.0) < SHORT_M else 2.0 * END_M for chain in tall}
    longer = {chain: (wide + 2.0 * project.timber.thickness_m) * turns for chain, turns in _outer_turns(data).items()}
    both = {chain: ends[chain] + longer.get(chain, 0.0) for chain in tall}
    out = []
    if not 0.98 * stone - _by(ends, tall, wide) <= told <= 1.02 * stone + _by(both, tall, wide):
        out.append(f"stone: {told:.3f} m3 placed, {stone:.3f} in its zone")
    cloth_m = {chain: high + 2.0 * wide + LAP_M for chain, high in tall.items()}
    if not 0.98 * cloth - _by(ends, cloth_m) <= cloth_told <= 1.02 * cloth + _by(both, cloth_m):
        out.append(f"fabric: {cloth_told:.3f} m2 placed, {cloth:.3f} round the stone")
    return out


def _by(lengths: dict[str, float], tall: dict[str, float], wide: float = 1.0) -> float:
    return sum(lengths[chain] * tall[chain] for chain in tall) * wide


def base_stone_lies_under_the_walls(data: Data, project: Project) -> list[str]:
    """Tamped stone under the whole of every wall's lowest timber, as wide as it and 15 cm deep, where nothing stands;
    under steps 10 cm, under projecting ones the lowest alone, and landings of stone. A corner belongs to one of its
    walls."""
    if data["walls"]["standing"]["legs"]:
        return []
    thick, legs = project.timber.thickness_m, data["walls"]["legs"]
    under = sum((part["end_m"] - part["start_m"]) * thick * BED_M for leg in legs for part in leg["segments"])
    for flight in data["terraces"]["flights"]:
        lies = flight["treads"][: 1 if flight["kind"] == "projecting" else None]
        under += sum(shapely.Polygon(tread["outline_m"]).area * UNDER_STEP_M for tread in lies)
        stones = [stone for landing in flight["landings"] for stone in landing["stone"]]
        under += sum(shapely.Polygon(one["outline_m"]).area * (one["top_m"] - one["bottom_m"]) for one in stones)
    corners = sum(len(leg["segments"]) > 0 for leg in legs) * 2.0 * thick**2 * BED_M
    told = sum(line["quantity"] for line in data["works"]["order"] if line["key"] == "base_stone")
    if abs(told - under) > 0.01 * under + corners:
        return [f"base stone: {told:.3f} m3 ordered, {under:.3f} under the walls"]
    return []


def _class(project: Project) -> str:
    if project.soil.clay:
        return "clay"
    return "sand" if project.soil.unified_class in ("SW", "SP") else "common earth"


def soil_in_its_states(data: Data, project: Project) -> list[str]:
    """Soil away or short is loose by the factor of its class, and so many whole loads of the truck: as much as its
    room holds, or as its payload carries of soil as heavy as the file says."""
    account, access = data["earth"]["account"], project.access
    loose, compacted = STATES[_class(project)]
    heavy = project.soil.unit_weight_kn_m3 * 1000.0 / GRAVITY / loose
    load = access.load_m3 if access.payload_kg is None else min(access.load_m3, access.payload_kg / heavy)
    away = account["away_bank_m3"] * loose
    wanted = {
        "loose for bank": (account["loose_per_bank"], loose), "compacted": (account["compacted_per_bank"], compacted),
        "a load": (account["load_m3"], load), "its weight": (account["load_kg"], load * heavy),
        "away loose": (account["away_loose_m3"], away), "loads": (account["loads"], _whole(abs(away), load)),
        "barrows": (account["barrows"], _whole(abs(away), access.barrow_m3)),
    }  # fmt: skip
    out = [f"{name}: told {told}, worked out {own}" for name, (told, own) in wanted.items()
           if not isclose(told, own, rel_tol=1e-9, abs_tol=1e-9)]  # fmt: skip
    for row in account["brought"]:
        factor = LOOSE.get(row["what"], loose / compacted)
        if not isclose(row["loose_m3"], row["placed_m3"] * factor, rel_tol=1e-9):
            out.append(f"{row['what']}: {row['loose_m3']:.4f} m3 loose for {row['placed_m3']:.4f} in place")
    gone = sum(step["away_m3"] - step["bought_m3"] for step in data["earth"]["steps"])
    if abs(gone - account["away_bank_m3"]) > 1e-6:
        out.append(f"{gone:.6f} m3 leave terrace by terrace, {account['away_bank_m3']:.6f} in the account")
    return out


def _whole(volume: float, load: float) -> int:
    return ceil(volume / load - 1e-9)


def everything_comes_by_truck(data: Data, project: Project) -> list[str]:
    """All that is bought is on one delivery, in loads that hold it and carry it, not one more than a load begun for
    each kind of loose goods; soil away goes in the loads of the account."""
    works, account, access = data["works"], data["earth"]["account"], project.access
    lines = {line["key"]: line for line in works["order"]}
    trucks = [one for one in works["deliveries"] if one["name"] != "soil away"]
    came = Counter(key for one in trucks for key in one["lines"])
    out = [f"{key} comes {came[key]} times" for key, line in lines.items()
           if came[key] != (line["buy"] > 0 and line["group"] != "away")]  # fmt: skip
    heavy = project.soil.unit_weight_kn_m3 * 1000.0 / GRAVITY / account["loose_per_bank"]
    room = access.load_m3
    carries = access.payload_kg or room * heavy
    for one in trucks:
        goods = [lines[key] for key in one["lines"]]
        loose = [line for line in goods if line["measure"] == "m3"]
        kg, cubic = sum(line["kg"] for line in goods), sum(line["buy"] for line in loose)
        if not isclose(one["kg"], kg, rel_tol=1e-9, abs_tol=1e-9) or (loose and not isclose(one["m3"], cubic)):
            out.append(f"{one['name']}: told {one['kg']:.1f} kg, {one['m3']:.2f} m3; its goods {kg:.1f}, {cubic:.2f}")
        least = max(1, ceil(kg / carries - 1e-6), ceil(one["m3"] / room - 1e-6))
        most = sum(max(ceil(line["buy"] / room), ceil(line["kg"] / carries)) for line in loose) or 2 * least
        if not least <= one["loads"] <= max(1, most):
            out.append(f"{one['name']}: {one['loads']} loads, {least} to {most} carry {kg:.0f} kg, {one['m3']:.2f} m3")
    away = [one for one in works["deliveries"] if one["name"] == "soil away"]
    gone, volume = account["loads"], account["away_loose_m3"]
    told = [(one["loads"], one["m3"], one["kg"]) for one in away]
    wanted = [(gone, volume, volume * heavy)] if volume > 0 and gone else []
    if len(told) != len(wanted) or not np.allclose(told, wanted, rtol=1e-6):
        out.append(f"soil away: told {told}, {wanted} by the account")
    return out


AMOUNT_LAWS: tuple[AmountLaw, ...] = (
    stone_and_fabric_fill_their_zone, base_stone_lies_under_the_walls, soil_in_its_states, everything_comes_by_truck,
    beds_have_their_soil,
)  # fmt: skip


def broken_amounts(data: Data, project: Project) -> list[str]:
    """Broken laws of what is bought and carried by volume."""
    return [f"{law.__name__}: {text}" for law in AMOUNT_LAWS for text in law(data, project)]
