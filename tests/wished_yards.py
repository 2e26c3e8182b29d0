"""Random yards with what no other recipe sets: filed yards to which edits add things on the ground, wishes, goods on
hand, prices and rules, each one now and then. ``built`` yards have walls that stand, things found and soil moved."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from math import cos, pi, sin
from pathlib import Path

import numpy as np

from filed_yards import FOOT_M, STOCK, laid, yard_text
from lynchet.core.errors import InputError
from lynchet.plan.effort import LIVE, Effort
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import Loaded, load_text
from lynchet.project.read import checked
from random_yards import Draft, Rng, realistic_draft

Edit = tuple[str, object]
Point = tuple[float, float]
TASKS = ("set up", "trench", "base", "courses", "stone", "fill", "bed soil", "plants", "haul away", "clear up")
UNIT_OF = {"set up": "job", "clear up": "job", "courses": "m", "plants": "each", "haul away": "m3"}
HELPS = ("back friction", "buried course", "pins", "screws", "returns", "ties")


@dataclass(frozen=True)
class Yard:
    """What edits are made from: the draft in its own coordinates (low side at y = 0), how it lies in the file."""

    seed: int
    rng: Rng

    @cached_property
    def draft(self) -> Draft:
        """The ground and shape below the file."""
        return realistic_draft(self.seed)

    @cached_property
    def units(self) -> str:
        """Of the file."""
        return laid(self.seed)[1]

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Least and greatest x, least and greatest y of the outline."""
        xs, ys = zip(*self.draft.outline, strict=True)
        return min(xs), max(xs), min(ys), max(ys)

    def some(self, share: float) -> bool:
        """True in this share of all yards."""
        return bool(self.rng.random() < share)

    def pick(self, *of: str) -> str:
        """One of these."""
        return str(of[int(self.rng.integers(len(of)))])

    def between(self, low: float, high: float) -> float:
        """A number between two."""
        return float(self.rng.uniform(low, high))

    def long(self, low_m: float, high_m: float | None = None) -> str:
        """A length with its unit, as a file has it."""
        metres = low_m if high_m is None else self.between(low_m, high_m)
        return f"{metres / FOOT_M:.3f} ft" if self.units == "us" else f"{metres:.3f} m"

    def at(self, x: float, y: float) -> list[float]:
        """A place of the draft as a place of the file."""
        scale = FOOT_M if self.units == "us" else 1.0
        px, py = laid(self.seed)[0]((x, y))
        return [round(px / scale, 4), round(py / scale, 4)]

    def inside(self, low: float = 0.0, high: float = 1.0) -> list[float]:
        """Somewhere in the box round the outline, its depth between two shares."""
        x0, x1, y0, y1 = self.box
        return self.at(self.between(x0, x1), self.between(y0 + low * (y1 - y0), y0 + high * (y1 - y0)))

    def round_box(self, x: float, y: float, half: float) -> list[list[float]]:
        """A square turned by chance."""
        turn = self.between(0.0, pi / 2)
        return [self.at(x + half * cos(turn + k * pi / 2), y + half * sin(turn + k * pi / 2)) for k in range(4)]


def _ground(yard: Yard) -> Iterator[Edit]:
    if yard.some(0.2):
        yield "ground.trust", yard.long(0.005, 0.06)
    if yard.some(0.1):
        yield "ground.held", yard.pick("ground", "unknown")
    if yard.some(0.3):
        edge = int(yard.rng.integers(len(yard.draft.outline)))
        yield "area.edges.1.from", edge
        yield "area.edges.1.dig_beyond", yard.long(0.0, 1.2)
        yield "area.edges.1.finish", yard.pick("wall", "open", "bank", "house")
        yield "area.edges.1.width", yard.long(0.5, 2.0)
        if yard.some(0.4):
            yield "area.edges.1.inset", yard.long(0.0, 0.7)
    if yard.some(0.4):
        yield "site.frost_depth", yard.long(0.0, 1.2)
    if yard.some(0.25):
        yield "soil.base", yard.pick("bare soil", "stone pad")
        yield "soil.cohesion", yard.pick("0 kPa", "4 kPa")


def _houses(yard: Yard) -> Iterator[Edit]:
    """A house behind or below the yard, with roof water, siding and a floor."""
    x0, x1, y0, y1 = yard.box
    number = len(yard.draft.houses) + 1
    low = yard.some(0.3)
    gap = yard.between(0.2, 3.0)
    base = (y0 - gap - 6.0, y0 - gap) if low else (y1 + gap, y1 + gap + 6.0)
    level = 100.0
    corners = [(x0, base[0]), (x1, base[0]), (x1, base[1]), (x0, base[1])]
    if yard.some(0.5):
        yield f"house.{number}.name", "second house"
        yield f"house.{number}.outline", [yard.at(*corner) for corner in corners]
    elif number == 1:
        return
    else:
        number = 1
    if yard.some(0.6):
        deep, slope = (base[1] if low else base[0]), yard.between(-0.2, 0.6)
        level = 100.0 + slope * max(0.0, deep if deep < 50 else 0.0)
        yield f"house.{number}.floor", yard.long(level)
        if yard.some(0.5):
            yield f"house.{number}.siding", {"kind": "wood", "lowest": yard.long(level - yard.between(0.05, 0.4))}
    if yard.some(0.5):
        yield f"house.{number}.eaves", yard.long(2.5, 6.0)
        yield f"house.{number}.ridge", yard.long(6.2, 9.0)
    if yard.some(0.4):
        yield f"house.{number}.footing_depth", yard.long(0.3, 1.5)
    if yard.some(0.6):
        feet = [yard.at(yard.between(x0, x1), (y0 - 0.15 if low else y1 + 0.15)) for _ in range(1 + yard.some(0.4))]
        yield f"house.{number}.roof", {"area": yard.pick("40 m2", "90 m2", "700 ft2"), "downspouts": feet}
    yield f"house.{number}.built", int(yard.rng.integers(1920, 2020))


def _stays(yard: Yard) -> Iterator[Edit]:
    """Trees with roots and crowns, lines in the ground, rocks, lot lines, own steps."""
    x0, x1, y0, y1 = yard.box
    number = len(yard.draft.fixed)
    while yard.some(0.45) and number < 4:
        number += 1
        kind = yard.pick("tree", "tree", "service", "septic", "rock", "well", "pole", "wall", "other")
        key = f"fixed.{number}"
        yield f"{key}.kind", kind
        yield f"{key}.name", f"{kind} {number}"
        if kind == "service":
            run = yard.between(y0, y1)
            yield f"{key}.line", [yard.at(x0 - 2.0, run), yard.at(x1 + 2.0, run + yard.between(-1.0, 1.0))]
            yield f"{key}.depth", yard.long(0.3, 1.2)
        elif kind in ("septic", "rock", "wall", "other"):
            yield f"{key}.outline", yard.round_box(yard.between(x0, x1), yard.between(y0, y1), yard.between(0.2, 1.0))
        else:
            yield f"{key}.at", yard.inside(-0.2, 1.2)
        if kind == "tree":
            yield f"{key}.stem", yard.long(0.05, 0.6)
            yield f"{key}.height", yard.long(2.0, 14.0)
            yield f"{key}.crown", yard.long(1.0, 8.0)
        elif yard.some(0.5):
            yield f"{key}.clear", yard.long(0.0, 0.8)
    if yard.some(0.3):
        side = x1 + yard.between(0.0, 1.0)
        yield "lot_line.1.line", [yard.at(side, y0 - 4), yard.at(side, y1 + 4)]
        yield "lot_line.1.trust", yard.pick("survey", "fence", "guess")
        yield "lot_line.1.height", yard.long(0.0, 1.8)
    if yard.some(0.25) and not yard.draft.steps:
        middle = yard.between(x0, x1)
        yield "steps.1.line", [yard.at(middle, y0 - 1.0), yard.at(middle + yard.between(-0.5, 0.5), y1 + 0.5)]
        yield "steps.1.landing", yard.long(0.92, 1.3)
        yield "steps.1.width", yard.long(0.8, 1.5)


def _loads(yard: Yard) -> Iterator[Edit]:
    """A load right within the height, things on the walls."""
    if yard.some(0.3):
        x0, x1, y0, y1 = yard.box
        yield "load.1.name", "hot tub"
        yield "load.1.outline", yard.round_box(yard.between(x0, x1), yard.between(y0, y1), yard.between(0.5, 2.0))
        yield "load.1.pressure", yard.pick("2.4 kPa", "7 kPa", "250 psf")
    for number in range(1, 1 + int(yard.rng.integers(0, 3))):
        kind = yard.pick("fence", "seat", "cap", "rail", "tub")
        yield f"on_wall.{number}.kind", kind
        yield f"on_wall.{number}.fixed_to", yard.pick("top course", "behind", "own posts")
        yield f"on_wall.{number}.height", yard.long(0.0, 1.8) if kind in ("fence", "rail") else yard.long(0.05, 0.5)
        yield f"on_wall.{number}.at", yard.pick("W1", "W2", "A0", "")
        if yard.some(0.5):
            yield f"on_wall.{number}.push", yard.pick("0.3 kN/m", "0.74 kN/m", "50 lb/ft")


def _water(yard: Yard) -> Iterator[Edit]:
    """Outlets named, soakaways, springs, rain, holes that meet something."""
    x0, x1, y0, _ = yard.box
    for number in range(1, 1 + int(yard.rng.integers(0, 4)) * yard.some(0.5)):
        yield f"drain.outlet.{number}.at", yard.at(yard.between(x0 - 2, x1 + 2), y0 - yard.between(0.3, 3.0))
        if yard.some(0.2):
            yield f"drain.outlet.{number}.level", yard.long(98.0, 101.0)
    if yard.some(0.35):
        yield "soakaway.1.name", "pit"
        yield "soakaway.1.at", yard.at(yard.between(x0 - 3, x1 + 3), y0 - yard.between(1.0, 6.0))
        for key, low, high in (("length", 1.0, 5.0), ("width", 0.6, 2.0), ("depth", 0.4, 1.5)):
            yield f"soakaway.1.{key}", yard.long(low, high)
        if yard.some(0.7):
            yield "soakaway.1.soak", yard.pick("5 mm/h", "25 mm/h", "120 mm/h", "2 in/h")
        if yard.some(0.3):
            yield "soakaway.1.voids", yard.pick("40 %", "95 %")
        if yard.some(0.2):
            yield "soakaway.1.inlet", yard.long(97.0, 100.0)
    if yard.some(0.3):
        yield "spring.1.at", None
        yield "spring.1.line", [yard.inside(0.4, 1.0), yard.inside(0.4, 1.0)]
        yield "spring.1.flow", yard.pick("0.01 l/s", "0.2 l/s", "3 gpm")
        yield "spring.1.cut_off", yard.some(0.5)
    if yard.some(0.3):
        yield "rain.intensity", yard.pick("60 mm/h", "180 mm/h", "7 in/h")
        yield "rain.runoff", yard.pick("20 %", "90 %")
        yield "rain.storm", yard.pick("20 mm", "60 mm")
    if yard.some(0.4):
        yield "hole.1.water", None
        yield "hole.1.at", yard.inside(-0.2, 1.2)
        yield "hole.1.depth", yard.long(1.0, 1.6)
        yield "hole.1.feel", yard.pick("gritty", "silky", "sticky", "unknown")
        yield f"hole.1.{yard.pick('water', 'refusal')}", yard.long(0.2, 0.9)
        yield "hole.1.soak", yard.pick("10 min", "2 h", "1500 min")
    if yard.some(0.4):
        yield "drain.dig_outside", yard.some(0.5)
        yield "drain.pipe_from", yard.long(0.0, 0.3)
        yield "drain.fall", yard.pick("0.5 %", "2 %", "4 %")
        yield "drain.stone", yard.long(0.15, 0.5)
        yield "drain.pipe", yard.pick("80 mm", "4 in", "150 mm")


def _goods(yard: Yard) -> Iterator[Edit]:
    """Sticks on hand, sticks nobody sells, prices of lengths and per length, prices of goods, own rates."""
    lengths = STOCK[yard.units]
    if yard.some(0.5):
        rows: list[dict[str, object]] = []
        for one in lengths:
            row: dict[str, object] = {"length": one}
            if yard.some(0.6):
                row["price"] = round(yard.between(8.0, 70.0), 2)
            if yard.some(0.5):
                row["on_hand"] = int(yard.rng.integers(1, 9))
                if yard.some(0.4) and rows:
                    row["sold"] = False
                    row.pop("price", None)
            rows.append(row)
        yield "timber.1.stock", rows
    if yard.some(0.3):
        yield "timber.1.end_trim", yard.long(0.01, 0.06)
        yield "timber.1.over_length", yard.long(0.0, 0.03)
        yield "timber.1.kerf", yard.pick("0 mm", "4 mm")
    if yard.some(0.3):
        yield "timber.1.profile", yard.pick("rounded", "square")
        yield "timber.1.reused", yard.some(0.5)
        yield "timber.1.material.treatment", yard.pick("above ground", "none", "creosote", "unknown")
    if yard.some(0.5):
        items: dict[str, object] = {"timber": f"{yard.between(4.0, 14.0):.2f} {yard.pick('per m', 'per ft')}"}
        for key, per in (("drain_stone", "per t"), ("base_stone", "per m3"), ("drain_pipe", "per m"), ("screw", ""),
                         ("labour", ""), ("delivery", ""), ("load_away", ""), ("fabric", "per m2"), ("compost", ""),
                         ("plant", ""), ("base_pin", ""), ("solid_pipe", "per ft")):  # fmt: skip
            if yard.some(0.7):
                items[key] = f"{yard.between(1.0, 60.0):.2f} {per}" if per else round(yard.between(1.0, 60.0), 2)
        yield "prices.currency", "XXX"
        yield "prices.items", items
        for key, high in (("overhead", 30.0), ("profit", 25.0), ("tax", 21.0)):
            if yard.some(0.5):
                yield f"prices.{key}", f"{yard.between(0.0, high):.1f} %"
    if yard.some(0.2):
        task = yard.pick(*TASKS)
        yield "rates.1.task", task
        yield "rates.1.unit", UNIT_OF.get(task, "m3")
        yield "rates.1.hours", round(yard.between(0.1, 3.0), 2)
    if yard.some(0.4):
        yield "works.crew", int(yard.rng.integers(1, 6))
        yield "works.hours_a_day", round(yard.between(3.0, 9.0), 1)
        yield "works.start", "2027-04-30"
        yield "works.weekends_only", yard.some(0.4)
        yield "works.holidays", ["2027-05-01", "2027-05-13"]


def _access(yard: Yard) -> Iterator[Edit]:
    x0, _, y0, y1 = yard.box
    if yard.some(0.3):
        yield "access.truck_stop", yard.at(x0 - yard.between(2.0, 9.0), y0 - yard.between(2.0, 9.0))
        yield "access.gate_at", yard.at(x0 - 1.5, y0 - 1.5)
        yield "access.gate", yard.long(0.6, 2.0)
        yield "access.tip_at_heap", yard.some(0.5)
    if yard.some(0.2):
        yield "access.heap", yard.inside(-0.5, 1.5)
    if yard.some(0.2):
        yield "access.only_way", True
        yield "access.passage", yard.long(0.7, 1.2)
    if yard.some(0.3):
        yield "access.payload", yard.pick("800 kg", "7.5 ton", "2 t" if yard.units == "metric" else "3000 lb")
        yield "access.load", yard.pick("1 m3", "6 yd3")
        yield "access.street", yard.long(2.0, 5.0)
    if yard.some(0.3):
        yield "earth.topsoil", yard.long(0.0, 0.3)
        yield "earth.work_room", yard.long(0.1, 0.5)
        if yard.some(0.5):
            box = [(x0 - 6, y0), (x0 - 3, y0), (x0 - 3, y1), (x0 - 6, y1)]
            yield "earth.spread.1.outline", [yard.at(*corner) for corner in box]
            yield "earth.spread.1.most", yard.long(0.05, 0.2)
    if yard.some(0.3):
        yield "place.heights.1", {"name": "paper", "measure": yard.pick("retained", "exposed", "base_to_top"),
                                  "limit": yard.long(0.3, 1.3), "tiers_add": yard.pick("never", "always", "setback"),
                                  "surcharge_counts": yard.some(0.5)}  # fmt: skip
        yield "place.building_clear", yard.long(0.3, 2.0)
        yield "place.lot_clear", yard.long(0.0, 1.0)


def _planting(yard: Yard) -> Iterator[Edit]:
    if not yard.some(0.5):
        return
    yield "planting.zone", yard.pick("5b", "7a", "9a")
    yield "planting.food", yard.some(0.5)
    yield "planting.children", yard.some(0.4)
    yield "planting.pets", yard.some(0.4)
    yield "planting.moisture", yard.pick("dry", "medium", "wet")
    yield "planting.ph", round(yard.between(5.0, 8.0), 1)
    yield "planting.wishes", [yard.pick("chives", "herbs", "English lavender", "wild thyme"), "daylily"][:1]
    yield "planting.avoid", [yard.pick("toxic", "spreading", "trailing")]
    yield "planting.suggest", yard.some(0.7)
    yield "planting.bed_soil", yard.long(0.1, 0.45)
    yield "planting.compost", yard.long(0.0, 0.09)
    yield "planting.mulch", yard.long(0.0, 0.12)
    yield "planting.last_frost", "04-20"
    yield "planting.first_frost", "10-25"


def _brief(yard: Yard) -> Iterator[Edit]:
    """Wishes that other recipes never have."""
    for share, key, make in (
        (0.3, "lean", lambda: yard.pick("0", "4 %", "8 %", "15 %")),
        (0.2, "embedment", lambda: yard.long(0.0, 0.5)),
        (0.2, "freeboard", lambda: yard.long(0.0, 0.15)),
        (0.2, "joint_offset", lambda: yard.long(0.2, 1.0)),
        (0.2, "shortest_piece", lambda: yard.long(0.3, 0.9)),
        (0.2, "longest_piece", lambda: yard.long(1.8, 3.2)),
        (0.2, "least_bed", lambda: yard.long(0.3, 1.5)),
        (0.2, "bench_spacing", lambda: yard.long(0.8, 2.0)),
        (0.2, "highest_wall", lambda: yard.long(0.3, 1.0)),
        (0.2, "reach", lambda: yard.long(0.4, 0.8)),
        (0.2, "one_stick", lambda: True),
        (0.15, "earthquake", lambda: yard.pick("8 %", "15 %")),
        (0.2, "lines", lambda: "fall"),
        (0.2, "helps_off", lambda: sorted({yard.pick(*HELPS), yard.pick(*HELPS)})),
        (0.3, "ties", lambda: yard.pick("always", "never")),
        (0.5, "weeps", lambda: yard.some(0.7)),
    ):
        if yard.some(share):
            yield f"brief.{key}", make()  # type: ignore[no-untyped-call]


PARTS: tuple[Callable[[Yard], Iterator[Edit]], ...] = (
    _ground, _houses, _stays, _loads, _water, _goods, _access, _planting, _brief,
)  # fmt: skip


def wished_edits(seed: int) -> list[Edit]:
    """Edits of the filed yard of this seed."""
    yard = Yard(seed, np.random.default_rng([seed, 23]))
    parts = [list(part(yard)) for part in PARTS if yard.some(0.6)]
    return fitting(load_text(yard_text(seed), f"yard {seed}", Path()), parts)


def fitting(loaded: Loaded, parts: list[list[Edit]]) -> list[Edit]:
    """The edits of all parts, without those parts the file says no to."""
    whole = [edit for part in parts for edit in part]
    if _reads(loaded, whole):
        return whole
    kept: list[Edit] = []
    for part in parts:
        kept += part if _reads(loaded, [*kept, *part]) else []
    return kept


def _reads(loaded: Loaded, edits: list[Edit]) -> bool:
    try:
        checked(loaded, edits)
    except InputError:
        return False
    return True


def wished_plan(seed: int, effort: Effort = LIVE) -> Plan:
    """A filed yard with all that is added."""
    loaded = load_text(yard_text(seed), f"yard {seed}", Path())
    return plan_project(checked(loaded, wished_edits(seed)), effort=effort)
