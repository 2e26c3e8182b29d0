"""Figures that cost money, worked out again from what is written of a plan alone: what is ordered, for how much, how
long it takes."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from math import ceil, dist, isclose
from typing import Any

from lawbook.drained import Data

CENT = 0.0051
UNIT_M = {"m": 1.0, "m2": 1.0, "m3": 1.0, "each": 1.0, "l": 1.0, "ft": 0.3048, "sq yd": 0.9144**2, "yd3": 0.9144**3}
"""A unit of sale in the measure of its line: the yard is 0.9144 m, the foot 0.3048 m (international agreement of
1959)."""
PINS = {"base_pin": "base pin", "screw": "screw", "corner_pin": "corner pin", "tie_screw": "tie screw"}


def _long(points: list[list[float]]) -> float:
    return sum(dist(a, b) for a, b in pairwise(points))


def _area(ring: list[list[float]]) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))) / 2.0


def _wanted(data: Data) -> dict[str, float]:
    """What the plan places, by key of the order list, where nothing stands."""
    water, timber = data["water"], data["timber"]
    found: Counter[str] = Counter()
    cuts = [(one["points_m"], one["holed"]) for one in water["cut_offs"]]  # with holes along the spring alone
    holed = [one["points_m"] for one in water["drains"]] + [points[:holed] for points, holed in cuts]
    solid = [one["points_m"] for key in ("solids", "roof_pipes") for one in water[key]]
    solid += [points[holed - 1 :] for points, holed in cuts]
    found["drain_pipe"] = sum(map(_long, holed))  # type: ignore[assignment]
    found["solid_pipe"] = sum(map(_long, solid))  # type: ignore[assignment]
    found.update(one["kind"].replace(" ", "_") for one in water["fittings"])
    for key, kind in PINS.items():
        found[key] = sum(one["kind"] == kind for one in timber["fasteners"])
    found["base_pin"] = max(found["base_pin"], len(data["stability"]["pins"]))
    sticks = Counter(round(one["stock_m"], 3) for one in timber["sticks"])
    found["sticks"] = sum(sticks.values())
    return dict(found)


def ordered_is_placed(data: Data) -> list[str]:
    """Pipes as long as they lie, as many fittings, pins, screws and sticks as are placed; where nothing stands."""
    if data["walls"]["standing"]["legs"]:
        return []
    ordered: Counter[str] = Counter()
    for line in data["works"]["order"]:
        head = line["key"] if line["key"] in ("bend_22", "bend_45", "bend_90") else line["key"].rstrip("0123456789_")
        ordered["sticks" if line["group"] == "timber" else head] += line["quantity"]
    return [
        f"{key}: placed {amount:.4f}, ordered {ordered[key]:.4f}"
        for key, amount in _wanted(data).items()
        if not isclose(amount, ordered[key], rel_tol=1e-6, abs_tol=1e-6)
    ]


def what_is_bought_is_enough(data: Data) -> list[str]:
    """Net and waste, in whole packs where it comes in packs, not one pack more; in the unit it is sold by."""
    out = []
    for line in data["works"]["order"]:
        need, buy = line["need"], line["buy"]
        if line["group"] != "timber" and not isclose(need, line["quantity"] * (1.0 + line["waste"]), rel_tol=1e-9):
            out.append(f"{line['key']}: {need} needed for {line['quantity']} with {line['waste']:.0%} waste")
        step = line["pack"] or (1.0 if line["measure"] == "each" else None)
        least = need if step is None else step * ceil(need / step - 1e-6)
        if not isclose(buy, least, rel_tol=1e-6):
            out.append(f"{line['key']}: {buy} bought where {least} are needed")
        unit = UNIT_M.get(line["unit"], line["pack"])
        if unit is not None and not isclose(line["buy_units"] * unit, buy, rel_tol=1e-6):
            out.append(f"{line['key']}: {buy} are not {line['buy_units']} {line['unit']}")
        price, money = line["unit_price"], line["money"]
        if (price is None) != (money is None) or (
            price is not None and abs(money - price * line["buy_units"]) > 0.0051
        ):
            out.append(f"{line['key']}: {line['buy_units']} at {price} are told as {money}")
    return out


def _hours(task: dict[str, Any]) -> float:
    return float(sum(task["hours"].values()) / 3.0)


def price_adds_up(data: Data) -> list[str]:
    """Goods, trucks and hours make the direct cost; on it lie overhead, then a profit that is a share of the price; the
    tax on that."""
    works = data["works"]
    price = works["price"]
    if price["direct"] is None:
        return []
    direct = sum(line["money"] or 0.0 for line in works["order"] if line["buy"] > 0)
    direct += sum(one["money"] or 0.0 for one in works["deliveries"] if one["name"] != "soil away")
    direct += sum(_hours(task) for task in works["tasks"]) * (price["hour_money"] or 0.0)
    total = direct * (1.0 + price["overhead"]) / (1.0 - price["profit"])
    rows = {
        "direct": (price["direct"]["likely"], direct),
        "total": (price["total"]["likely"], total),
        "tax": (price["tax_money"], total * price["tax"]),
    }
    near = 0.01 * (len(works["order"]) + len(works["tasks"]) + 2)
    out = [f"{name} is told as {told:.2f}, adds up to {sums:.2f}" for name, (told, sums) in rows.items()
           if abs(told - sums) > near]  # fmt: skip
    low, likely, high = (price["total"][key] for key in ("low", "likely", "high"))
    return out if low <= likely <= high else [*out, f"total {low} {likely} {high}"]


def what_is_priced_is_counted(data: Data) -> list[str]:
    """A line of the price for everything bought, one for all trucks that bring, one for all hours; those without money
    are told by name, and no others; low, expected and high in order, and the parts are the whole."""
    works = data["works"]
    price, out = works["price"], []
    wanting = [line for line in works["order"] if line["buy"] > 0]
    trucks = [one for one in works["deliveries"] if one["name"] != "soil away"]
    lines = len(wanting) + bool(trucks) + bool(works["tasks"])
    if price["lines"] != lines:
        out.append(f"{price['lines']} lines told, {lines} are there")
    missing = [line["name"] for line in wanting if line["money"] is None]
    missing += ["deliveries by truck"] if any(one["money"] is None for one in trucks) else []
    missing += ["work by the hour"] if works["tasks"] and price["hour_money"] is None else []
    if sorted(missing) != sorted(price["missing"]):
        out.append(f"without a price are {missing}, told are {price['missing']}")
    words = f"no price for {len(missing)} of {lines} line"
    if price["direct"] is not None and missing and len(missing) < lines and not price["words"].startswith(words):
        out.append(f"told is {price['words']!r}, {len(missing)} of {lines} lines have no price")
    if price["direct"] is None:
        return out
    for name, band in [("direct", price["direct"]), ("total", price["total"]),
                       *((part["name"], part["money"]) for part in price["parts"])]:  # fmt: skip
        if not 0.0 <= band["low"] <= band["likely"] + 1e-9 <= band["high"] + 2e-9:
            out.append(f"{name}: {band['low']}, {band['likely']}, {band['high']} are not in order")
    if abs(sum(part["money"]["likely"] for part in price["parts"]) - price["direct"]["likely"]) > CENT:
        out.append("the parts of the price are not its direct cost")
    return out


def days_hold_the_hours(data: Data) -> list[str]:
    """Every task is done once, in the days told, each no longer than a day, by the crew told."""
    works = data["works"]
    crew, day_h = works["programme"]["crew"], works["programme"]["day_h"]
    shares: Counter[str] = Counter()
    hours: Counter[str] = Counter()
    out = []
    for day in works["days"]:
        used = sum(step["crew_h"] for step in day["steps"])
        if abs(used - day["used_h"]) > 1e-6 or abs(day_h - used - day["idle_h"]) > 1e-6 or used > day_h + 1e-6:
            out.append(f"day {day['number']}: {used:.3f} h of work, told {day['used_h']:.3f}, a day has {day_h}")
        for step in day["steps"]:
            shares[step["task"]] += step["share"]
            hours[step["task"]] += step["crew_h"]
    for task in works["tasks"]:
        low, likely, high = (task["hours"][key] for key in ("low", "likely", "high"))
        if abs(shares[task["id"]] - 1.0) > 1e-6 or not 0.0 <= low <= likely <= high:
            out.append(f"{task['id']}: {shares[task['id']]:.4f} of it on the days, hours {low} {likely} {high}")
        people = min(crew, task["people"])
        if not isclose(hours[task["id"]] * people, likely, rel_tol=1e-6, abs_tol=1e-6):
            out.append(f"{task['id']}: {hours[task['id']]:.3f} h of {people}, {likely:.3f} person hours told")
    if works["programme"]["days"] != len(works["days"]):
        out.append(f"{works['programme']['days']} days told, {len(works['days'])} planned")
    return out


def pins_and_screws_are_as_told(data: Data) -> list[str]:
    """A fastener is as long as it lies, and so is every one of its line on the list."""
    lines = {(one["kind"], round(one["length_m"], 4)) for one in data["timber"]["fastener_lines"]}
    out = [f"{one['id']}: {one['top_m'] - one['bottom_m']:.3f} m deep, {one['length_m']:.3f} m long"
           for one in data["timber"]["fasteners"]
           if one["kind"] == "corner pin" and abs(one["top_m"] - one["bottom_m"] - one["length_m"]) > 1e-3]  # fmt: skip
    if data["walls"]["standing"]["legs"]:
        return out
    counted = Counter((one["kind"], round(one["length_m"], 4)) for one in data["timber"]["fasteners"])
    told: Counter[tuple[str, float]] = Counter()
    for one in data["timber"]["fastener_lines"]:
        told[one["kind"], round(one["length_m"], 4)] += one["count"]
    out += [f"{key}: {count} placed, {told[key]} told" for key, count in counted.items() if told[key] != count]
    return out + [f"{key} of the list lies nowhere" for key in lines if key[0] in ("screw", "corner pin")
                  and key not in counted]  # fmt: skip


FIGURE_LAWS = (ordered_is_placed, what_is_bought_is_enough, price_adds_up, what_is_priced_is_counted,
               days_hold_the_hours, pins_and_screws_are_as_told)  # fmt: skip
