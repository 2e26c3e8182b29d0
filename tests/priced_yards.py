"""Random yards under a firm: a price list beside the file, terms of an offer, schemes of one's own, wall lines, places
to look from. What is told of each is held to plans made anew."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

import numpy as np
import shapely

from filed_yards import STOCK, yard_text
from lawbook.whole import Whole
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import Loaded, load_text
from lynchet.project.model import Project
from lynchet.project.read import checked
from lynchet.works.items import items
from wished_yards import Edit, Yard, fitting

T = TypeVar("T")
LIST = "prices.csv"
PER = {"m3": ("m3", "yd3", "t"), "m2": ("m2", "sq yd"), "m": ("m", "ft"), "each": ("", "each"), "l": ("l", "")}
"""Units a list may price by, for what an item is measured in."""


@dataclass(frozen=True, eq=False)
class Priced(Whole):
    """A plan with the file it was made of."""

    loaded: Loaded
    edits: tuple[Edit, ...]
    rows: str
    """The price list beside the file."""

    def read(self, *more: Edit) -> Project:
        """The project with further edits."""
        return _beside(self.loaded, self.rows, lambda loaded: checked(loaded, [*self.edits, *more]))

    def again(self, *more: Edit) -> Plan:
        """The file planned with further edits."""
        return plan_project(self.read(*more), effort=LIVE)

    def dearer(self, times: float) -> Plan:
        """The file planned where everything costs so many times as much."""
        found = self.read()
        dear = tuple(replace(one, money=one.money * times) for one in found.prices.items)
        stock = tuple(one if one.price is None else replace(one, price=one.price * times) for one in found.timber.stock)
        return plan_project(replace(found, prices=replace(found.prices, items=dear),
                                    timber=replace(found.timber, stock=stock)), effort=LIVE)  # fmt: skip


def priced(seed: int) -> Priced:
    """The filed yard of this seed with money, an offer and schemes."""
    yard = Yard(seed, np.random.default_rng([seed, 31]))
    loaded = load_text(yard_text(seed), f"yard {seed}", Path())
    rows = _price_rows(yard)
    parts = [list(part(yard)) for part in (_money, _offer, _lines, _schemes, _views)]
    edits = _beside(loaded, rows, lambda loaded: fitting(loaded, parts))
    project = _beside(loaded, rows, lambda loaded: checked(loaded, edits))
    return Priced(plan_project(project, effort=LIVE), loaded, tuple(edits), rows)


def _beside(loaded: Loaded, rows: str, read: Callable[[Loaded], T]) -> T:
    """What is read of a file beside which its price list lies."""
    with TemporaryDirectory() as folder:
        (Path(folder) / LIST).write_text(rows, encoding="utf-8")
        return read(replace(loaded, folder=Path(folder)))


def _price_rows(yard: Yard) -> str:
    """A list of prices as a yard gives it out: most items, by one unit or another; sticks by length."""
    lines = ["item,price,per"]
    for key, item in items(yard.units).items():
        if yard.some(0.75):
            per = yard.pick(*PER[item.measure])
            if per == "t" and not item.kg:
                per = "m3"
            lines.append(f"{key},{yard.between(0.5, 90.0):.2f},{per}")
    lines += [f"timber {one},{yard.between(9.0, 60.0):.2f},each" for one in STOCK[yard.units] if yard.some(0.6)]
    if yard.some(0.6):
        lines.append(f"timber,{yard.between(4.0, 14.0):.2f},{yard.pick('m', 'ft')}")
    return "\n".join(lines) + "\n"


def _money(yard: Yard) -> Iterator[Edit]:
    yield "prices.file", LIST
    yield "prices.items", {"labour": round(yard.between(20.0, 70.0), 2), "load_away": 210.0}
    yield "prices.currency", "XXX"
    for key, high in (("overhead", 30.0), ("profit", 25.0), ("tax", 21.0)):
        if yard.some(0.7):
            yield f"prices.{key}", f"{yard.between(0.0, high):.1f} %"


def _offer(yard: Yard) -> Iterator[Edit]:
    yield "quote", {"number": "7", "client": "A. Client"}
    yield "terms.valid_days", 30
    shares = sorted(int(one) for one in yard.rng.integers(5, 95, 2))
    stages = [shares[0], shares[1] - shares[0], 100 - shares[1]]
    yield "terms.stages", [{"name": f"stage {n}", "share": f"{one} %"} for n, one in enumerate(stages) if one]
    for share, key, make in (
        (0.4, "minimum", lambda: round(yard.between(0.0, 60000.0), 2)),
        (0.4, "minimum_days", lambda: round(yard.between(0.0, 30.0), 1)),
        (0.4, "bill_days", lambda: round(yard.between(0.1, 2.0), 1)),
        (0.4, "travel_a_day", lambda: round(yard.between(0.0, 90.0), 2)),
        (0.4, "travel_once", lambda: round(yard.between(0.0, 300.0), 2)),
        (0.5, "round_to", lambda: [1, 5, 10, 50, 100][int(yard.rng.integers(5))]),
        (0.4, "rounding", lambda: yard.pick("nearest", "up")),
        (0.4, "run_over", lambda: "35 %"),
    ):
        if yard.some(share):
            yield f"terms.{key}", make()  # type: ignore[no-untyped-call]
    yield "allowance", [{"name": "rock", "unit": "m3", "cost": 160}, {"name": "root", "unit": "each", "price": 60}]
    if yard.some(0.5):
        yield "cost", [{"name": "digger", "quantity": 2, "unit": "day", "price": round(yard.between(1.0, 500.0), 2)},
                       {"name": "papers"}][: 1 + yard.some(0.2)]  # fmt: skip
    if yard.some(0.6):
        yield "option", [{"name": "seat cap", "quantity": 12, "unit": "ft", "cost": round(yard.between(1.0, 90.0), 2)}]
    if yard.some(0.4):
        yield "on_wall.1", {"kind": "cap", "height": yard.long(0.05)}
        yield "option.1", {"name": "no cap", "leave_out": "on_wall"}


def _lines(yard: Yard) -> Iterator[Edit]:
    """The front of a terrace drawn by hand across the yard, straight or a little bent."""
    if not yard.some(0.4):
        return
    _, _, y0, y1 = yard.box
    count = int(yard.rng.integers(2, 4))
    terrace = int(yard.rng.integers(2, count + 1))
    yield "brief.terraces", count
    level = y0 + (y1 - y0) * ((terrace - 1) / count + yard.between(-0.06, 0.06))
    line = shapely.LineString([(-99.0, level), (199.0, level)])
    across = shapely.intersection(line, shapely.Polygon(yard.draft.outline))
    part = max(getattr(across, "geoms", [across]), key=lambda one: one.length)
    if part.is_empty:
        return
    (ax, ay), (bx, by) = part.coords[0], part.coords[-1]
    points = [yard.at(ax, ay), yard.at(bx, by)]
    if yard.some(0.4):
        points.insert(1, yard.at((ax + bx) / 2.0, ay + yard.between(-0.3, 0.3)))
    yield "wall_line.1", {"terrace": terrace, "points": points}


def _schemes(yard: Yard) -> Iterator[Edit]:
    """One or two other briefs, offered as options or not."""
    for number in range(1, 2 + yard.some(0.3)):
        row: dict[str, object] = {"name": f"scheme {number}"}
        for share, key, make in (
            (0.5, "terraces", lambda: int(yard.rng.integers(1, 5))),
            (0.3, "lean", lambda: yard.pick("0", "8 %")),
            (0.3, "least_bed", lambda: yard.long(0.5, 1.2)),
            (0.3, "path_strip", lambda: yard.long(0.4, 0.9)),
            (0.3, "weeps", lambda: yard.some(0.5)),
            (0.3, "ties", lambda: yard.pick("never", "always")),
            (0.2, "highest_wall", lambda: yard.long(0.4, 0.9)),
        ):
            if yard.some(share):
                row[key] = make()  # type: ignore[no-untyped-call]
        if yard.some(0.5):
            row["option"] = f"the other way {number}"
        yield f"scheme.{number}", row


def _views(yard: Yard) -> Iterator[Edit]:
    if yard.some(0.6):
        x0, x1, y0, _ = yard.box
        yield "view.1", {"name": "from below", "at": yard.at((x0 + x1) / 2.0, y0 - 4.0), "eye": yard.long(1.4, 1.8)}
    if yard.some(0.3):
        yield "view.2", {"name": "across", "at": yard.inside(-0.3, 0.1), "towards": yard.inside(0.6, 1.0)}
