"""Sums of a wall's section, worked out again by slices from the data a plan is written with: bare, helped, tied, and
with weep holes blocked.

Left out are walls with a load, a tier or an earthquake on them. Forces are averaged over 1.2 m of wall, straight
between the ends of each stretch; a joint goes with that which has as many courses over it. What the screws between two
courses hold is taken from the fixings, checked elsewhere against published cases.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import pairwise
from math import cos, inf, radians, sin, tan
from typing import NamedTuple

import numpy as np

from lawbook.drained import Data, Held, held_of
from lynchet.project.model import Project
from lynchet.stability.constants import fixings
from lynchet.terraces.model import OUTSIDE

WATER_KN_M3 = 9.81
WINDOW_M = 1.2
SLICES = 1000
NEAR = 0.01
CASES = ("dry", "wet", "one outlet shut", "all shut")
PIN_M, PIN_LONG_M, PINS_APART_M, PIN_FALL_DEG = 0.0127, 0.61, 1.2, 5.0
"""Bars of 1/2 in x 24 in, 4 ft apart, where the ground in front falls no steeper. PRACTICE."""
SHUT = ("one outlet shut", "all shut")
Key = tuple[str, int]
Sums = np.ndarray[tuple[int], np.dtype[np.float64]]


class Sides(NamedTuple):
    """What pushes on the back over a foot, kN and kN m per metre of wall."""

    thrust: float
    """Of the ground, along its own way."""
    turn: float
    wet: float
    """Of the water, level."""
    wet_turn: float
    head_m: float
    """By which the water behind stands over that in front, at the foot."""


class Section:
    """The places of a plan, with what is needed to weigh them."""

    def __init__(self, data: Data, project: Project) -> None:
        self.project, self.soil, self.wood = project, project.soil, project.timber
        self.walls: dict[Key, dict[int, list[Data]]] = {}
        for place in data["stability"]["places"]:
            self.walls.setdefault((place["leg"], place["held"]), {}).setdefault(place["stretch"], []).append(place)
        self.kept: dict[tuple[object, ...], Sums] = {}
        screws = fixings(self.wood.course_m, self.wood.thickness_m)
        off = "screws" in project.brief.helps_off
        self.screws = 0.0 if off else screws.screws_kn_per_m
        self.screws_turn = 0.0 if off else screws.hold_down_kn_per_m * self.wood.thickness_m / 2.0

    def plain(self, place: Data) -> bool:
        """Whether no load or tier stands on any place within the window or next to it."""
        at, half = place["station_m"], WINDOW_M / 2
        groups = self.walls[place["leg"], place["held"]].values()
        near = [one for group in groups for one in group
                if group[0]["station_m"] <= at + half and group[-1]["station_m"] >= at - half]  # fmt: skip
        return not self.project.brief.earthquake and not any(one["strips"] or one["surcharge_kpa"] for one in near)

    def mean(self, place: Data, joint: int, case: str) -> Sums:
        """What holds and pushes at a joint of a place, the mean of the window round it."""
        above, at = place["courses"] - joint, place["station_m"]
        total, length = 1e-9 * self.own(place, joint, case), 1e-9
        for group in self.walls[place["leg"], place["held"]].values():
            first, last = group[0], group[-1]
            low, high = max(at - WINDOW_M / 2, first["station_m"]), min(at + WINDOW_M / 2, last["station_m"])
            if high - low <= 1e-9 or _water(first, case) is None:
                continue
            share = ((low + high) / 2 - first["station_m"]) / (last["station_m"] - first["station_m"])
            ends = [self.own(one, max(one["courses"] - above, 0), case) for one in (first, last)]
            total = total + (high - low) * ((1.0 - share) * ends[0] + share * ends[1])
            length += high - low
        return np.asarray(total / length)

    def own(self, place: Data, joint: int, case: str) -> Sums:
        """Down, out, holds, turns; then ground in front (kN, kN m), pins, screws (kN, kN m), for a place alone."""
        key = (place["leg"], place["held"], place["stretch"], place["station_m"], place["weep_m"], joint, case)
        if key not in self.kept:
            self.kept[key] = np.array([*self._sums(place, joint, case), *self._helps(place, joint)])
        return self.kept[key]

    def pushes(self, place: Data, foot: float, case: str) -> Sides:
        """On the back over a foot."""
        z, thick, pressure, head = self._pressed(place, foot, case)
        wet, low = head
        total, turn = float(np.sum(pressure) * thick), float(np.sum(pressure * (z - foot)) * thick)
        water = WATER_KN_M3 * (wet * wet / 2.0 + wet * low)
        water_turn = WATER_KN_M3 * (wet * wet / 2.0 * (low + wet / 3.0) + wet * low * low / 2.0)
        return Sides(total, turn, water, water_turn, wet)

    def _pressed(self, place: Data, foot: float, case: str) -> tuple[Sums, float, Sums, tuple[float, float]]:
        """Middles of slices from the surface down, their thickness, pressure of the ground on each along its own way;
        head of the water over that in front, and over the foot that of the water in front."""
        soil = self.soil
        level = _water(place, case)
        water = -inf if level is None or case == "dry" else level
        runs = case == "wet" or place["weep_m"] is not None  # what stands below then presses both ways
        balanced = max(place["low_m"], place["base_m"]) if runs and place["front"] != "house" else place["base_m"]
        high = max(place["high_m"], foot)
        thick = (high - foot) / SLICES
        z = high - (np.arange(SLICES) + 0.5) * thick
        under = (balanced < z) & (z < water)
        weight = np.where(under, soil.saturated_unit_weight_kn_m3 - WATER_KN_M3, soil.unit_weight_kn_m3)
        stress = np.cumsum(weight) * thick - weight * thick / 2.0
        head, low = max(water - max(balanced, foot), 0.0), max(min(balanced, water) - foot, 0.0)
        return z, thick, self.active(place) * stress, (head, low)

    def active(self, place: Data) -> float:
        """Coulomb's coefficient."""
        slope = min(place["backslope_deg"], self.soil.friction_deg - 0.5)
        return _active(self.soil.friction_deg, self.rub(), slope, place["lean_deg"])

    def rub(self) -> float:
        """Friction of the fill on the back."""
        return 0.0 if "back friction" in self.project.brief.helps_off else self.soil.wall_friction_deg

    def friction(self, joint: int) -> float:
        """Tangent of that of the joint."""
        base = self.soil.friction_deg * (1.0 if self.soil.base == "stone pad" else 0.75)
        return tan(radians(base)) if joint == 0 else 0.4

    def _sums(self, place: Data, joint: int, case: str) -> tuple[float, float, float, float]:
        """Moments about the front edge of the lowest course over the joint."""
        course = (place["top_m"] - place["base_m"]) / place["courses"]
        foot, lean = place["base_m"] + joint * course, place["lean_deg"]
        push, angle = self.pushes(place, foot, case), radians(self.rub() - lean)
        wide, tall = self.wood.thickness_m, place["top_m"] - foot
        own, lift = tall * wide * self.wood.unit_weight_kn_m3, WATER_KN_M3 * push.head_m / 2.0 * wide
        arm, back = tan(radians(lean)), push.turn / push.thrust if push.thrust > 0 else 0.0
        holds = own * (wide / 2.0 + arm * max(tall / 2.0 - course / 2.0, 0.0)) - lift * wide * 2.0 / 3.0
        holds += push.thrust * sin(angle) * (wide + arm * max(back - course / 2.0, 0.0))
        down, out = own + push.thrust * sin(angle) - lift, push.thrust * cos(angle) + push.wet
        return down, out, holds, push.turn * cos(angle) + push.wet_turn

    def _helps(self, place: Data, joint: int) -> tuple[float, float, float, float, float]:
        """Ground in front that always stays, pins of the base by Broms, screws of the joints over it."""
        brief, soil = self.project.brief, self.soil
        course = (place["top_m"] - place["base_m"]) / place["courses"]
        buried = max(place["low_m"] - place["base_m"], 0.0)
        dug = brief.dig_depth_m if place["front"] == "bed" else 0.0
        kept = 0.0 if place["front"] == "house" else max(buried - dug, 0.0)
        deep = 0.0 if "buried course" in brief.helps_off else max(kept - joint * course, 0.0)
        fall = min(place["front_fall_deg"], soil.friction_deg - 0.5)
        ground = 0.5 * _passive(soil.friction_deg, fall) * soil.unit_weight_kn_m3 * deep * deep
        pins = 0.0
        bare = max(dug - buried, 0.0)
        firm = place["front"] != "house" and place["front_fall_deg"] <= PIN_FALL_DEG
        long = PIN_LONG_M - course - bare
        if joint == 0 and brief.pins and "pins" not in brief.helps_off and firm and long > 0:
            # Broms 1964: three times the passive pressure on the bar, moments about its tip
            rankine = tan(radians(45.0 + soil.friction_deg / 2.0)) ** 2
            pins = 0.5 * soil.unit_weight_kn_m3 * PIN_M * rankine * long**3 / (bare + long) / PINS_APART_M
        over = (self.screws, self.screws_turn) if joint > 0 else (0.0, 0.0)
        return ground, ground * deep / 3.0, pins, *over

    def factors(self, place: Data, joint: int, case: str) -> dict[str, float]:
        """Of sliding and overturning, bare and with what helps; pins and ground in front share the same ground."""
        down, out, holds, turns, ground, ground_turn, pins, screws, screws_turn = self.mean(place, joint, case).tolist()
        if out < 1e-6 or turns < 1e-6:
            return {}
        grip = self.friction(joint) * down
        return {
            "sliding_bare": grip / out, "sliding": (grip + max(ground, pins) + screws) / out,
            "overturning_bare": holds / turns, "overturning": (holds + ground_turn + screws_turn) / turns,
        }  # fmt: skip


def _water(place: Data, case: str) -> float | None:
    """Level behind a place; None where the case does not apply."""
    key = {"wet": "wet_m", "one outlet shut": "one_shut_m", "all shut": "all_shut_m"}.get(case)
    return -inf if key is None else place[key]


def sums_are_those_of_the_section(data: Data, project: Project) -> list[str]:
    """Factors of sliding and overturning in the cases dry, wet, one and all outlets shut, bare and helped."""
    out, section = [], Section(data, project)
    for check in _told(data, section):
        place = check["place"]
        for name, own in section.factors(place, check["joint"], check["case"]).items():
            if check[name] is None or abs(check[name] - own) > NEAR * max(abs(own), 0.1):
                out.append(
                    f"{place['leg']} at {place['station_m']:.2f}, {check['case']}, joint {check['joint']}: "
                    f"{name} {check[name]}, by slices {own:.4f}"
                )
    return out[:5]


def _told(data: Data, section: Section) -> Iterator[Data]:
    for check in data["stability"]["joints"]:
        if check["case"] in CASES and section.plain(check["place"]):
            yield check


def looked_at(data: Data, project: Project) -> tuple[int, int, int]:
    """How many checks of joints, of ties, and words on blocked weep holes the laws work out again."""
    section = Section(data, project)
    return sum(1 for _ in _told(data, section)), len(_tied(data, section)), len(list(_words(data)))


def _tied(data: Data, section: Section) -> list[Data]:
    return [one for one in data["stability"]["tie_checks"] if one["case"] in CASES and section.plain(one["place"])]


def ties_carry_what_the_section_pushes(data: Data, project: Project) -> list[str]:
    """Of tied places: what is left to the base and what it holds, the pull of a tie, and what holds the tie."""
    out, section = [], Section(data, project)
    for check in _tied(data, section):
        place, case = check["place"], check["case"]
        sizes = [_size(data, place, height) for height, _ in check["rows"]]
        left, needs = _shared(section, check)
        down, _, _, _, ground, _, pins, screws, _ = section.mean(place, 0, case).tolist()
        own = {"base_demand_kn_per_m": left,
               "base_capacity_kn_per_m": max(section.friction(0) * down, 0.0) + max(ground, pins) + screws}  # fmt: skip
        pulls = [need * apart for need, (_, apart) in zip(needs, check["rows"], strict=True)]
        holds = [_hold(section, check, row[0], size) for row, size in zip(check["rows"], sizes, strict=True)]
        worst = max(range(len(pulls)), key=lambda n: pulls[n] / max(holds[n], 1e-9))
        where = f"{place['leg']} at {place['station_m']:.2f}, {case}"
        if place["backslope_deg"] > 0.0:  # the wedge reaches further back there: ties hold less than on the level
            worst = min(range(len(pulls)), key=lambda n: abs(pulls[n] - check["demand_kn"]))
            if check["capacity_kn"] > holds[worst] * (1.0 + NEAR) + 1e-9:
                out.append(f"{where}: capacity_kn {check['capacity_kn']:.4f}, own at most {holds[worst]:.4f}")
        else:
            own["capacity_kn"] = holds[worst]
        own["demand_kn"] = pulls[worst]
        for name, value in own.items():
            if abs(check[name] - value) > NEAR * max(abs(value), 0.1):
                out.append(
                    f"{place['leg']} at {place['station_m']:.2f}, {case}: {name} {check[name]:.4f}, own {value:.4f}"
                )
    return out[:5]


def _size(data: Data, place: Data, height_m: float) -> tuple[float, float]:
    """Length and cross-piece of the tie of a row that lies nearest to a place."""
    near = [tie for tie in data["stability"]["ties"] if (tie["leg"], tie["held"]) == (place["leg"], place["held"])
            and tie["bottom_m"] < place["base_m"] + height_m < tie["top_m"]]  # fmt: skip
    tie = min(near, key=lambda one: abs(one["station_m"] - place["station_m"]))
    return tie["length_m"], tie["cross_length_m"]


def _shared(section: Section, check: Data) -> tuple[float, list[float]]:
    """What rows of ties leave to the base, and what each takes in kN per metre, the lowest first.

    Each row holds the pressure between half heights to those beside it, the top one up to the top; or, where that is
    more, its share of the moment that is missing about the base, of which a row as high as it lies takes the more.
    """
    place, case = check["place"], check["case"]
    foot = place["base_m"]
    z, thick, pressure, (head, low) = section._pressed(place, foot, case)
    level = pressure * cos(radians(section.rub() - place["lean_deg"]))
    level = level + WATER_KN_M3 * np.clip(foot + low + head - np.maximum(z, foot + low), 0.0, None)
    _, _, holds, _ = section.mean(place, 0, case)[:4].tolist()
    moment = float(np.sum(level * (z - foot)) * thick)
    missing = max((1.1 if case in SHUT else 1.5) * moment - max(holds, 0.0), 0.0)
    heights = [height for height, _ in check["rows"]]
    edges = [heights[0] / 2.0, *((a + b) / 2.0 for a, b in pairwise(heights)), inf]
    lower, upper = z - foot - thick / 2.0, z - foot + thick / 2.0
    held = [float(np.sum(level * np.clip(np.minimum(upper, b) - np.maximum(lower, a), 0.0, None)))
            for a, b in pairwise(edges)]  # fmt: skip
    by_turn = [missing * height / sum(one * one for one in heights) for height in heights]
    return float(np.sum(level) * thick) - sum(held), [max(pair) for pair in zip(held, by_turn, strict=True)]


def _hold(section: Section, check: Data, height_m: float, size: tuple[float, float]) -> float:
    """What one tie of a row holds: half of it undug, all of it with the bed behind dug out."""
    whole = _undug(section, check, height_m, (*size, 0.0)) / 2.0
    return min(whole, _undug(section, check, height_m, (*size, section.project.brief.dig_depth_m)))


def _undug(section: Section, check: Data, height_m: float, what: tuple[float, float, float]) -> float:
    """Friction on the timber beyond the wedge that slides, or the cross-piece's own ground, the larger.

    Args:
        what: length, cross-piece, and how deep the ground behind is dug.
    """
    place, case, (length, cross, dug) = check["place"], check["case"], what
    phi, soil, wide = radians(section.soil.friction_deg), section.soil, section.wood.thickness_m
    course = (place["top_m"] - place["base_m"]) / place["courses"]
    surface = place["high_m"] - dug
    top, under = place["base_m"] + height_m + course / 2.0, place["base_m"] + height_m - course / 2.0
    if surface <= top + 1e-12:
        return 0.0
    level = _water(place, case)
    water = -inf if level is None or case == "dry" else level
    moist, wet = soil.unit_weight_kn_m3, soil.saturated_unit_weight_kn_m3 - WATER_KN_M3

    def stress(z: float) -> float:
        return moist * (surface - max(z, min(water, surface))) + wet * max(min(water, surface) - z, 0.0)

    back, front = tan(np.pi / 4 - phi / 2), tan(np.pi / 4 + phi / 2)
    around = 2.0 * wide + 2.0 * course * (1.0 - sin(phi))  # Jaky, the sides at rest
    free = max(length - (top - place["base_m"]) * back, 0.0)
    friction = around * stress(place["base_m"] + height_m) * tan(0.75 * phi) * free
    # the wedge behind the wall and that before the cross-piece cross at this depth, and hold nothing above it
    depth = surface - under
    crossing = ((surface - place["base_m"]) * back + depth * front - (length - wide)) / (back + front)
    first = max(surface - top, min(max(crossing, 0.0), depth))
    zs = surface - np.linspace(first, depth, 400)
    mean = float(np.mean([stress(float(z)) for z in (zs[1:] + zs[:-1]) / 2.0]))
    return max(friction, (front**2 - back**2) * mean * (depth - first) * cross)


BLOCKED = re.compile(r"With them blocked as well, what holds would be (\d+\.\d+) times what pushes")


def _words(data: Data) -> Iterator[tuple[Data, float]]:
    """Findings on walls that rest on weep holes, with the factor told of these blocked."""
    for finding in data["findings"]:
        told = BLOCKED.search(finding["text"])
        if told and finding["code"] == "stability.wall":
            yield finding, float(told[1])


def blocked_holes_let_the_water_rise(data: Data, project: Project) -> list[str]:
    """What is told of a wall with its weep holes blocked too is the least of all its sections, the water behind them
    as high as the drain lets it and nothing of it balanced in front."""
    out = []
    rows = list(held_of(data))
    natural = {OUTSIDE} | {face["id"] for face in data["terraces"]["faces"] if face["kind"] in ("path", "kept")}
    for finding, told in _words(data):
        own_places = [one for one in data["stability"]["places"] if one["leg"] == finding["place"]]
        places = [_without_holes(one, rows, natural) for one in own_places]
        section = Section({"stability": {"places": places}}, project)
        if not all(section.plain(place) for place in places):
            continue
        least = min((min(own["sliding"], own["overturning"])
                     for place in places if _water(place, finding["case"]) is not None
                     for joint in range(place["courses"])
                     if (own := section.factors(place, joint, finding["case"]))), default=inf)  # fmt: skip
        if abs(max(least, 0.0) - told) > NEAR * max(least, 1.0) + 0.005:
            out.append(f"{finding['place']}, {finding['case']}, holes blocked: told {told:.2f}, own {least:.4f}")
    return out[:5]


def _without_holes(place: Data, rows: Sequence[Held], natural: set[str]) -> Data:
    """A place of which the holes are blocked."""
    if place["weep_m"] is None:
        return place
    here = next(one for one in rows if one.leg["id"] == place["leg"] and one.held == place["held"]
                and one.start_m <= place["station_m"] <= one.end_m)  # fmt: skip
    assert here.row is not None
    rim = place["high_m"] if here.faces[1] in natural else place["top_m"]
    shut = {name: min(here.row[name], rim) for name in ("one_shut_m", "all_shut_m")}
    return {**place, **shut, "weep_m": None}


SECTION_LAWS: tuple[Callable[[Data, Project], list[str]], ...] = (
    sums_are_those_of_the_section,
    ties_carry_what_the_section_pushes,
    blocked_holes_let_the_water_rise,
)


@cache
def _active(friction_deg: float, rub_deg: float, slope_deg: float, lean_deg: float) -> float:
    """Coulomb's coefficient by the weight of the wedge that pushes the most (trial wedges, no closed form).

    Terzaghi, Peck and Mesri, Soil Mechanics in Engineering Practice, 3rd ed. 1996, 45 (trial wedges). MEMORY.
    """
    phi, rub, slope, lean = (radians(one) for one in (friction_deg, rub_deg, slope_deg, lean_deg))
    planes = slope + (radians(89.9) + lean - slope) * np.arange(1, 4000) / 4000  # from the horizontal
    planes = planes[planes > phi]
    # back of the wall: from (0, 0) to (tan lean, 1), ground from there at the slope; a wedge one high
    top = tan(lean)
    x = np.where(planes < radians(90), (1.0 - top * tan(slope)) / (np.tan(planes) - tan(slope)), 0.0)
    area = np.abs(top * x * np.tan(planes) - x) / 2.0
    # weight and reaction on the plane in balance with the thrust, which points down by rub - lean on the wall
    least = np.sin(planes - phi) / np.cos(planes - phi - (rub - lean))
    return 2.0 * float(np.max((area * least)[x > top], initial=0.0))


@cache
def _passive(friction_deg: float, fall_deg: float) -> float:
    """Coefficient of a smooth upright face pushed into ground that falls away from it, by trial wedges as above."""
    phi, fall = radians(friction_deg), radians(fall_deg)
    planes = (radians(89.9) + fall) * np.arange(1, 8000) / 8000 - fall  # down to the fall of the ground itself
    planes = planes[(planes + phi > 0.0) & (planes + phi < radians(89.99))]
    return float(np.min(np.tan(planes + phi) / (np.tan(planes) + tan(fall))))
