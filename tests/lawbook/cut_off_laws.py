"""Laws of cut-off drains, worked out again from the data a plan is written with: their stone and fabric are ordered."""

from __future__ import annotations

from math import dist, pi

from lawbook.drained import Data

TRENCH_M = 0.30
"""As wide as a spade digs. PRACTICE."""
UNDER_M = 0.05
"""Stone under the pipe: 2 in, International Residential Code R405.1."""
LAP_M = 0.30
"""Lap of the fabric. PRACTICE."""
CLOTH_M = {"metric": 0.15, "us": 6 * 0.0254}
"""Side of the square of fabric behind a weep hole. PRACTICE."""


def _by_hand(cut: Data) -> tuple[float, float]:
    """Stone (m3) and fabric (m2) of one drain from the bodies that are drawn: length times section, the pipe off."""
    stone = fabric = 0.0
    for part in cut["stone"]:
        long, tall = dist(part["start_m"], part["end_m"]), part["top_start_m"] - part["bottom_start_m"]
        stone += long * max(0.0, TRENCH_M * tall - pi / 4 * cut["outside_m"] ** 2)
        fabric += long * (2 * (TRENCH_M + tall) + LAP_M)
    return stone, fabric


def _line(data: Data, key: str) -> float:
    return sum(float(line["quantity"]) for line in data["works"]["order"] if line["key"] == key)


def cut_off_stone_lies_round_its_pipe(data: Data) -> list[str]:
    """From the upper end on, without a gap, its foot as far under the invert as pipe wall and stone want."""
    out = []
    for cut in data["water"]["cut_offs"]:
        parts, wall = cut["stone"], (cut["outside_m"] - cut["bore_m"]) / 2
        if not parts:
            if not any(one["code"] == "water.cut_off_stone" and one["verdict"] != "ok" for one in data["findings"]):
                out.append(f"{cut['id']} has no stone, and nothing says so")
            continue
        runs = {f"{cut['id']}/{n + 1}": n for n in range(len(cut["points_m"]) - 1)}
        for part in parts:
            n = runs[part["pipe"]]
            (a, b), (high, low) = cut["points_m"][n : n + 2], cut["inverts_m"][n : n + 2]
            for end in ("start", "end"):
                at, foot = part[f"{end}_m"], part[f"bottom_{end}_m"]
                invert = high + (low - high) * dist(a, at) / dist(a, b)
                if abs(dist(a, at) + dist(at, b) - dist(a, b)) > 1e-6 or abs(invert - wall - UNDER_M - foot) > 1e-6:
                    out.append(f"{part['id']} lies at {foot:.4f}, its pipe at {invert:.4f} m")
    return out


def cut_off_stone_is_ordered(data: Data) -> list[str]:
    """The order list holds all stone and fabric that is placed, that of cut-off drains with it; so does the account."""
    water, out = data["water"], []
    if not data["works"]["order"]:
        return []
    stone = sum(one["volume_m3"] for one in water["stone"])
    fabric = sum(one["length_m"] * one["developed_width_m"] for one in water["fabric"])
    fabric += len(data["stability"]["weeps"]) * CLOTH_M[data["units"]] ** 2
    aprons = {one["id"] for one in water["outlets"] if one["apron_m"]}
    for body in water["bodies"]:
        if body["kind"] == "soakaway" or (body["kind"] == "outlet" and body["id"] in aprons):
            stone += _area(body["outline_m"]) * (body["top_start_m"] - body["bottom_start_m"])
    hours = 0.0
    for cut in water["cut_offs"]:
        more = _by_hand(cut)
        stone, fabric, hours = stone + more[0], fabric + more[1], hours + more[0]
    pairs = {"drain stone": (_line(data, "drain_stone"), stone, "m3"), "fabric": (_line(data, "fabric"), fabric, "m2")}
    brought = sum(one["placed_m3"] for one in data["earth"]["account"]["brought"] if one["what"] == "drain stone")
    if data["earth"]["account"]["brought"]:
        pairs["drain stone of the soil account"] = (brought, stone, "m3")
    out += [f"{name}: {told:.6f} told, {by_hand:.6f} {unit} by hand"
            for name, (told, by_hand, unit) in pairs.items() if abs(told - by_hand) > 1e-6]  # fmt: skip
    tasks = {task["id"]: task for task in data["works"]["tasks"]}
    if hours > 1e-6 and "stone of cut-off drains" not in tasks["site/drain"]["origin"]:
        out.append("no hours for the stone of cut-off drains")
    return out


def _area(ring: list[list[float]]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))) / 2


CUT_OFF_LAWS = (cut_off_stone_lies_round_its_pipe, cut_off_stone_is_ordered)
