"""What is bought and carried by volume, worked out again from what is written of a plan: soil in
its states, loads; of stone and beds see ``stone_laws``, ``bed_laws``."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from math import ceil, isclose

import numpy as np
import shapely

from lawbook.bed_laws import beds_have_their_soil
from lawbook.drained import Data, at
from lawbook.stone_laws import stone_and_fabric_fill_their_zone
from lynchet.project.model import Project

BED_M = 0.15
"""Stone under the timber (6 in). PRACTICE."""
STATES = {"sand": (1.11, 0.95), "common earth": (1.25, 0.90), "clay": (1.43, 0.90)}
"""Loose and compacted for one in the bank: US Army FM 5-434, table 1-1 (MEMORY)."""
LOOSE = {"drain stone": 1.10, "base stone": 1.20, "bed soil": 1.0 / 0.9, "compost": 1.0 / 0.9, "mulch": 1.0}
"""Loose for one in place: stone settles and spills, tamped stone loses a sixth, bed soil a tenth. PRACTICE."""
UNDER_STEP_M = 0.10
"""Tamped stone under steps (4 in). PRACTICE."""
GRAVITY = 9.80665
AmountLaw = Callable[[Data, Project], list[str]]


def base_stone_lies_under_the_walls(data: Data, project: Project) -> list[str]:
    """Tamped stone under the whole of every wall's lowest timber, as wide as it and 15 cm deep, where nothing stands;
    under steps 10 cm, under projecting ones the lowest alone, and landings of stone. A corner belongs to one of its
    walls."""
    if data["walls"]["standing"]["legs"]:
        return []
    thick, legs = project.timber.thickness_m, data["walls"]["legs"]
    under = sum(_foot_m2(leg, data["walls"]["runs"]) for leg in legs) * BED_M
    for flight in data["terraces"]["flights"]:
        lies = flight["treads"][: 1 if flight["kind"] == "projecting" else None]
        under += sum(shapely.Polygon(tread["outline_m"]).area * UNDER_STEP_M for tread in lies)
        stones = [stone for landing in flight["landings"] for stone in landing["stone"]]
        under += sum(shapely.Polygon(one["outline_m"]).area * (one["top_m"] - one["bottom_m"]) for one in stones)
    corners = sum(len(leg["segments"]) > 0 for leg in legs) * thick**2 * BED_M
    told = sum(line["quantity"] for line in data["works"]["order"] if line["key"] == "base_stone")
    if abs(told - under) > 0.01 * under + corners:
        return [f"base stone: {told:.3f} m3 ordered, {under:.3f} under the walls"]
    return []


def _foot_m2(leg: Data, runs: list[Data]) -> float:
    """Plan area of the lowest timber of every part of a wall."""
    found = 0.0
    for part in leg["segments"]:
        lowest = [run for run in runs if run["leg"] == leg["id"] and run["course"] == part["base"]]
        ends = [at(leg, part[end], left) for end, left in
                (("start_m", -1.0), ("end_m", -1.0), ("end_m", 1.0), ("start_m", 1.0))]  # fmt: skip
        own = shapely.Polygon(ends).buffer(1e-6, join_style="mitre")
        found += sum(shapely.Polygon(run["outline_m"]).intersection(own).area for run in lowest)
    return found


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
    each kind of loose goods; a truck that one stick is too heavy for is told, and counted as one that carries it; soil
    away goes in the loads of the account."""
    works, account, access = data["works"], data["earth"]["account"], project.access
    lines = {line["key"]: line for line in works["order"]}
    trucks = [one for one in works["deliveries"] if one["name"] != "soil away"]
    came = Counter(key for one in trucks for key in one["lines"])
    out = [f"{key} comes {came[key]} times" for key, line in lines.items()
           if came[key] != (line["buy"] > 0 and line["group"] != "away")]  # fmt: skip
    heavy = project.soil.unit_weight_kn_m3 * 1000.0 / GRAVITY / account["loose_per_bank"]
    room = access.load_m3
    carries = access.payload_kg or room * heavy
    told_heavy = any(one["code"] == "works.payload" for one in data["findings"])
    for one in trucks:
        goods = [lines[key] for key in one["lines"]]
        loose = [line for line in goods if line["measure"] == "m3"]
        kg, cubic = sum(line["kg"] for line in goods), sum(line["buy"] for line in loose)
        if not isclose(one["kg"], kg, rel_tol=1e-9, abs_tol=1e-9) or (loose and not isclose(one["m3"], cubic)):
            out.append(f"{one['name']}: told {one['kg']:.1f} kg, {one['m3']:.2f} m3; its goods {kg:.1f}, {cubic:.2f}")
        stick = max((line["kg"] / line["buy"] for line in goods if line["group"] == "timber"), default=0.0)
        able = max(carries, stick) if told_heavy else carries
        least = max(1, ceil(kg / able - 1e-6), ceil(one["m3"] / room - 1e-6))
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
