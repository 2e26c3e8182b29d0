"""What can stand on the order list: keys of the price list, units, waste, packs and bulk weights."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache

from lynchet.core.tables import read_table
from lynchet.units.measures import FOOT, MEASURES, System
from lynchet.works.stick_names import GRADE, stick_named

SEVERAL = {
    "stone": ("drain_stone", "base_stone"),
    "soil": ("bed_soil", "fill_soil"),
    "pipe": ("drain_pipe", "solid_pipe"),
    "fittings": ("bend_22", "bend_45", "bend_90", "tee", "wye", "cap"),
    "screws": ("screw", "tie_screw", "step_screw"),
    "pins": ("base_pin", "corner_pin"),
    "plants": ("plant",),
    "labor": ("labour",),
    "gravel": ("drain_stone", "base_stone"),
    "drain_rock": ("drain_stone",),
    "filter_fabric": ("fabric",),
    "geotextile": ("fabric",),
    "perforated_pipe": ("drain_pipe",),
    "rebar": ("base_pin", "corner_pin"),
    "topsoil": ("bed_soil",),
    "haul_off": ("load_away",),
    "haul_away": ("load_away",),
}
"""Words that stand for several items at once, or for one by another name."""
TIMBER = "timber"
"""Key of sticks of every length; one length is "timber_2.4_m" or "timber_8_ft"."""
PLANT = "plant_"
"""Keys of one kind of plant begin so: "plant_common_yarrow"."""
_MEASURES = {"m": "length", "m2": "area", "m3": "volume", "kg": "mass", "l": "volume"}
_LITRE = 1e-3
_SPELT = {
    "sqyd": "yd2", "sqft": "ft2", "sqm": "m2", "cuyd": "yd3", "cuft": "ft3", "yd": "yd", "qt": "qt", "hour": "h",
    "hr": "h",
    "piece": "each", "one": "each", "ea": "each", "pcs": "each", "tonne": "t", "tonnes": "t", "box": "pack",
    "roll": "pack", "tin": "pack", "bag": "pack", "load": "each", "stick": "each", "litre": "l", "liter": "l",
}  # fmt: skip


@dataclass(frozen=True)
class Item:
    """One kind of thing that is bought, carted or paid by the hour."""

    key: str
    name: str
    group: str
    measure: str
    unit: str
    """As shown and sold, by system of units or pack."""
    per_unit: float
    """How much of ``measure`` one unit is."""
    waste: float
    waste_why: str
    pack: float | None
    kg: float
    """Weight of one ``measure``; 0 where it does not matter."""
    kg_why: str


@cache
def items(system: System) -> dict[str, Item]:
    """All items by key, with units and packs of one system."""
    us = "_us" if system == "us" else ""
    found = {}
    for row in read_table("works", "items").rows:
        pack = float(row["pack" + us]) if row["pack" + us] else None
        unit = row["pack_name" + us] or row["unit" + us]
        found[row["key"]] = Item(
            row["key"], (us and row["name_us"]) or row["name"], row["group"], row["measure"], unit,
            pack if pack is not None else _size(row["measure"], row["unit" + us], 0.0) or 1.0,
            float(row["waste"]), row["waste_why"], pack, float(row["kg"]), row["kg_why"],
        )  # fmt: skip
    return found


@lru_cache(maxsize=1024)
def plain_key(text: str) -> str:
    """A key as the price list has it: small letters; blanks and strokes as underscores, other marks left out.

    Marks of feet and inches become words: "timber 8'" is "timber_8_ft".
    """
    for mark, unit in (("''", '"'), ("\u2032", "'"), ("\u2019", "'"), ("\u2033", '"'), ("\u00d7", "x")):
        text = text.replace(mark, unit)
    text = re.sub(r"(?<=\d),(?=\d)", ".", GRADE.sub(" ", text))
    text = re.sub(r"(?<=\d)\s*\"", " in ", re.sub(r"(?<=\d)\s*'", " ft ", text))
    return re.sub(r"[\s\-_]+", "_", re.sub(r"[^\w\s\-./]", "", text.lower()).strip())


def known_key(text: str) -> bool:
    """Whether a key of a price list means something: an item, several, sticks of a length, a plant."""
    key = plain_key(text)
    if key in items("metric") or key in SEVERAL or key == TIMBER:
        return True
    return stick_named(key) is not None or sized(key) is not None or (key.startswith(PLANT) and len(key) > len(PLANT))


def sized(key: str) -> Item | None:
    """The fixing of which a key names one length in mm ("screw_150"), as the order list does; None for other keys."""
    kind, _, size = key.rpartition("_")
    item = items("metric").get(kind)
    return item if item is not None and item.group == "fixings" and size.isdigit() else None


@cache
def _key_of_name() -> dict[str, str]:
    systems: tuple[System, ...] = ("metric", "us")
    named = [(key, item.name) for system in systems for key, item in items(system).items()]
    short = [(key, plain_key(re.split("[,:(]", name)[0])) for key, name in named]
    alone = {name: key for key, name in short if all(other == key for other, same in short if same == name)}
    return alone | {plain_key(name): key for key, name in named}


def item_key(text: str) -> str:
    """The key of an item written by its key, or by its name as the order list shows it, its first words at least."""
    key = plain_key(text)
    return _key_of_name().get(key, key)


_STICK = re.compile(r"(timber|stick|sleeper|lumber|beam|\d+_?x_?\d)")


def foreign(text: str) -> bool:
    """Whether a text is not so much as a misspelt item, as most rows of a merchant's whole list."""
    key = plain_key(text)
    return not (_STICK.match(key) or get_close_matches(key, _known(), 1, 0.75) or _near_names(key))


def _known() -> list[str]:
    return [*items("metric"), *SEVERAL, TIMBER, "timber_2.4_m", "timber_8_ft"]


def _near_names(key: str) -> bool:
    """Whether a key is almost the name of an item, as the order list shows it."""
    return bool(get_close_matches(key, [name for name in _key_of_name() if len(name) > 5], 1, 0.85))


def nearest(text: str) -> tuple[str, ...]:
    """Known keys spelt most like a text, the nearest first; all where none is near."""
    known = _known()
    key = plain_key(text)
    if _STICK.match(key):
        return ("timber_8_ft", "timber_2.4_m", "6x6x8", "timber (priced per ft or m)")
    near = get_close_matches(key, known, 3, 0.5)
    near += [one for one in known if one not in near and len(key) > 2 and (key in one or one in key)]
    return tuple(near[:3]) or tuple(known)


_PACK_OF = re.compile(r"(?:(?:box|pack|bag|tin|can|roll) of )?(\d+(?:\.\d+)?)\s*(?:each|pcs|pieces)?([a-z]+[23]?)?")
"""A pack with its size, or the size alone: a price per 100."""


_US = {"m": (FOOT, "ft"), "m2": (FOOT**2, "sq ft"), "m3": (MEASURES["volume"].units["yd3"], "yd3")}


def told_amount(amount: float, measure: str, system: System) -> tuple[float, str]:
    """An amount of work in m, m2 or m3 as a list tells it: the same, or in ft, sq ft or yd3; pieces as they are."""
    size, said = _US.get(measure, (1.0, measure)) if system == "us" else (1.0, measure)
    return amount / size, said


def amount_of(item: Item, per: str) -> float | None:
    """How much of the item's measure one ``per`` holds; None where the item is not sold so.

    Args:
        item: what is sold.
        per: a unit ("t", "yd3", "sq ft", "each", "pack", "box of 50"); empty for the unit the list shows.
    """
    pack, word = _sold_by(per)
    if pack is not None:
        one = 1.0 if item.measure == "each" and not pack[2] else _size(item.measure, pack[2], item.kg)
        return None if one is None or float(pack[1]) <= 0.0 else float(pack[1]) * one
    if word in ("", "pack", "unit") or word == item.unit:
        return item.per_unit if word != "pack" or item.pack is not None else None
    return _size(item.measure, word, item.kg)


@lru_cache(maxsize=256)
def _sold_by(per: str) -> tuple[re.Match[str] | None, str]:
    """What a unit of a price list says: of a pack its size, else the unit as it is spelt here."""
    word = re.sub(r"[\s.]+", "", per.strip().lower())
    return _PACK_OF.fullmatch(per.strip().lower()), _SPELT.get(word, _SPELT.get(word.rstrip("s"), word))


def _size(measure: str, unit: str | None, kg: float) -> float | None:
    """How much of a measure one unit is, by volume, length, area, count, or (with a weight) by weight."""
    if unit is None:
        return None
    unit = _SPELT.get(unit.replace(" ", ""), unit)
    if measure == "each":
        return 1.0 if unit in ("each", "h") else None
    if unit == "qt":
        return 0.946352946 if measure == "l" else None
    kind = MEASURES[_MEASURES[measure]]
    if unit in kind.units:
        return kind.units[unit] / (_LITRE if measure == "l" else 1.0)
    masses = MEASURES["mass"].units
    return masses[unit] / kg if unit in masses and kg > 0 else None


def units_of(item: Item) -> Iterable[str]:
    """Units in which a price of the item may be given, for messages."""
    names = {
        "m": ("m", "ft"),
        "m2": ("m2", "sq ft", "sq yd"),
        "m3": ("m3", "yd3"),
        "l": ("l", "qt"),
        "kg": ("kg", "lb"),
    }
    found = [*names.get(item.measure, ("h",) if item.unit == "h" else ("each",))]
    if item.kg > 0:
        found += ["t", "ton"]
    return [*found, "pack"] if item.pack is not None else found
