"""Random yards with a few keys drawn from all that the file accepts: sizes from the least to the greatest, both ends
now and then, every word, flags both ways. Keys are read from their declarations, so new ones are drawn too."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, log
from pathlib import Path

import numpy as np

from filed_yards import yard_text
from lynchet.plan.effort import LIVE, Effort
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.keys import Key, Table
from lynchet.project.keys_build import FILE
from lynchet.project.load import Loaded, load_text
from lynchet.project.read import checked
from lynchet.units.measures import MEASURES
from wished_yards import Edit, Yard, fitting

ROOMS = (*["brief"] * 7, *["timber"] * 3, *["drain"] * 3, *["soil", "earth", "planting"] * 2, "rain", "area", "works",
         "access", "load", "on_wall", "soakaway", "spring", "hole", "site", "place")  # fmt: skip
"""Tables of the file that keys are drawn from; those named more than once are drawn from more often."""
TEXTS = {
    "planting.zone": ("1", "5b", "7a", "13b"), "planting.last_frost": ("01-01", "04-20", "06-30"),
    "planting.first_frost": ("07-01", "10-25", "12-31"), "planting.region": ("British Isles", "New England"),
    "material.species": ("pine", "oak", "western red cedar", "anything"), "material.grade": ("C16", "C24", "No. 2"),
    "feel": ("gritty", "silky", "sticky", "clay"), "name": ("one",), "at": ("W2", "A0"),
}  # fmt: skip
"""Texts by the end of their key; other texts are not drawn."""
SOILS = ("soil.class", "soil.feel", "soil.jar", "soil.friction_angle")
"""A file says one of them."""
FOUND_M = 500.0
"""A length that may lie this far under zero is a level."""


def wide_plan(seed: int, effort: Effort = LIVE) -> Plan:
    """The filed yard of this seed with keys drawn from their whole range."""
    loaded = load_text(yard_text(seed), f"yard {seed}", Path())
    return plan_project(checked(loaded, wide_edits(seed)), effort=effort)


def wide_edits(seed: int) -> list[Edit]:
    """Edits of the filed yard of this seed, three to six of them but for those the file says no to."""
    yard = Yard(seed, np.random.default_rng([seed, 53]))
    loaded = load_text(yard_text(seed), f"yard {seed}", Path())
    return fitting(loaded, [_drawn(yard, loaded) for _ in range(int(yard.rng.integers(3, 7)))])


def _drawn(yard: Yard, loaded: Loaded) -> list[Edit]:
    """One key, or one table of a list, and its value."""
    room = yard.pick(*ROOMS)
    slots = list(_slots(room, FILE.keys[room], loaded))
    path, key = slots[int(yard.rng.integers(len(slots)))]
    others: list[Edit] = [(one, None) for one in SOILS if path in SOILS]
    value = _value(yard, path, key)
    return [] if value is None else [*others, (path, value)]


def _slots(path: str, key: Key, loaded: Loaded) -> Iterator[tuple[str, Key]]:
    """Dotted keys that can be set; of a list of tables a whole one, of the timber each key of the first."""
    if key.kind == "table" and key.table is not None and not any(one.required for one in key.table.keys.values()):
        for name, one in key.table.keys.items():
            yield from _slots(f"{path}.{name}", one, loaded)
    elif path == "timber" and key.table is not None:
        for name, one in key.table.keys.items():
            yield from _slots(f"timber.1.{name}", one, loaded)
    elif key.kind == "tables":
        held = loaded.raw
        for part in path.split("."):
            held = held[int(part) - 1] if isinstance(held, list) else held.get(part, {})
        yield f"{path}.{len(held) + 1}", key
    elif path not in ("area.outline", "area.length", "area.depth", "brief.timber"):
        yield path, key


def _value(yard: Yard, path: str, key: Key) -> object:
    """A value of a key, as the file has it; None for what is not drawn."""
    if key.table is not None:
        return _row(yard, path, key.table)
    if key.kind in MEASURES or key.kind in ("slope", "fraction", "number"):
        return _measured(yard, key)
    if key.words:
        some = [one for one in key.words if yard.some(0.5)]
        return some if key.kind == "texts" else yard.pick(*key.words)
    return _other(yard, path, key)


def _other(yard: Yard, path: str, key: Key) -> object:
    """What has neither a range nor words."""
    match key.kind:
        case "flag":
            return yard.some(0.5)
        case "whole":
            corners = len(yard.draft.outline) - 1
            return round(_number(yard, key.low or 0, corners if path.endswith(".from") else key.high or 100, False))
        case "section":
            return f"{yard.long(_log(yard, 0.06, 0.25))} x {yard.long(_log(yard, 0.06, 0.25))}"
        case "point":
            return yard.inside(-0.4, 1.4)
        case "points":
            x0, x1, y0, y1 = yard.box
            place = yard.between(x0, x1), yard.between(1.2 * y0 - 0.2 * y1, 1.2 * y1 - 0.2 * y0)
            return yard.round_box(*place, _log(yard, 0.1, 10.0))[: max(key.least, 2) if key.least < 3 else 4]
        case "date":
            return f"2027-{int(yard.rng.integers(1, 13)):02d}-15"
        case "levels":
            return yard.pick("balance", "equal")
    return next((yard.pick(*of) for end, of in TEXTS.items() if f".{path}".endswith(f".{end}")), None)


def _row(yard: Yard, path: str, table: Table) -> dict[str, object]:
    """One table with all it must hold and some of the rest."""
    found = {name: _value(yard, f"{path}.{name}", key) for name, key in table.keys.items()
             if key.required or yard.some(0.4)}  # fmt: skip
    return {name: value for name, value in found.items() if value is not None}


def _measured(yard: Yard, key: Key) -> object:
    """A number with its unit, in the units of the file."""
    if key.kind == "length" and key.low == -FOUND_M:
        return yard.long(100.0 + yard.between(-2.0, 3.0))
    value = _number(yard, key.low or 0.0, key.high or 100.0, key.above)
    if key.kind == "number":
        return value
    if key.kind in ("slope", "fraction"):
        return f"{100.0 * value:.6f} %"
    measure = MEASURES[key.kind]
    unit = measure.plain_unit("us" if yard.units == "us" else "metric")
    return f"{value / measure.units[unit]:.9f} {unit}"


def _number(yard: Yard, low: float, high: float, above: bool) -> float:
    """From a whole range: an end now and then, else by its size."""
    if yard.some(0.2):
        return high if above or yard.some(0.5) else low
    return yard.between(low, high) if low < 0.0 else _log(yard, max(low, high / 1000.0), high)


def _log(yard: Yard, low: float, high: float) -> float:
    """Each doubling is drawn as often."""
    return exp(yard.between(log(low), log(high)))
