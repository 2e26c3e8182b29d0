"""Plants by the name people write: botanical or common, either form of the table's cells; and kinds of plants."""

from __future__ import annotations

import re
from difflib import SequenceMatcher, get_close_matches
from functools import cache

from lynchet.core.errors import Fault, UnknownNameError
from lynchet.planting.plants import Plant, plant_table

TRAITS = ("toxic", "spreading", "trailing", "self-seeding")
"""Traits that may be kept out."""
_SHOWN = 6


def _plain(text: str) -> str:
    """Lower case, letters and digits in words, one space between."""
    return " ".join(re.findall(r"[a-z0-9]+", text.lower().replace("'", "")))


def _forms(cell: str) -> list[str]:
    """A cell whole, without its brackets, and what stands in them."""
    inside = re.findall(r"\(([^)]*)\)", cell)
    return list(dict.fromkeys(_plain(form) for form in (cell, re.sub(r"\([^)]*\)", "", cell), *inside)))


@cache
def _table() -> dict[str, tuple[Plant, ...]]:
    """Plants by every form of their names."""
    found: dict[str, tuple[Plant, ...]] = {}
    for plant in plant_table():
        for form in {*_forms(plant.botanical_name), *_forms(plant.common_name)}:
            found[form] = (*found.get(form, ()), plant)
    return found


@cache
def kinds() -> tuple[str, ...]:
    """Kinds of plants in the table: annual, bulb, fern, ..."""
    return tuple(dict.fromkeys(plant.type for plant in plant_table()))


def kind_named(text: str) -> str | None:
    """The kind a word means, one or many ("herbs", "fern"); None where it is none."""
    word = _plain(text)
    for kind in kinds():
        plain = _plain(kind)
        if word in (plain, plain + "s", plain + "es"):
            return kind
    return None


def trait_named(text: str) -> str | None:
    """The trait a word means; None where it is none."""
    word = _plain(text)
    also = {"poisonous": "toxic", "poison": "toxic", "invasive": "spreading", "self seeders": "self-seeding"}
    return next((trait for trait in TRAITS if word in (_plain(trait), _plain(trait) + "s")), also.get(word))


def plant_named(text: str) -> Plant:
    """The plant of a name.

    Args:
        text: botanical or common name, the current or the one in brackets, in any case; or words that only one plant's
            name holds.

    Raises:
        UnknownNameError: no plant has this name, or several have; the nearest names are given.
    """
    word = _plain(text)
    found = _table().get(word, ()) if word else ()
    if not found and word:
        wanted = set(word.split())
        found = tuple(dict.fromkeys(p for form, plants in _table().items() if wanted <= set(form.split())
                                    for p in plants))  # fmt: skip
    if len(found) == 1:
        return found[0]
    if found:
        raise UnknownNameError(Fault(f'"{text}" means {len(found)} plants', f"one of {_listed(found)}"))
    raise UnknownNameError(Fault(f'there is no plant "{text}" in the table', _nearest(word)))


def _listed(plants: tuple[Plant, ...]) -> str:
    names = [f"{plant.common_name} ({plant.botanical_name})" for plant in plants[:_SHOWN]]
    return ", ".join(names) + (f" and {len(plants) - _SHOWN} more" if len(plants) > _SHOWN else "")


def _nearest(word: str) -> str:
    """Plants whose names share words with it, the rarer the words the better, then names spelt much alike."""
    holds: dict[str, list[Plant]] = {}
    for form, plants in _table().items():
        for part in set(form.split()):
            holds.setdefault(part, []).extend(plants)
    score: dict[Plant, float] = {}
    for one in word.split():
        for part in get_close_matches(one, list(holds), 3, 0.8):
            for plant in set(holds[part]):
                alike = SequenceMatcher(None, one, part).ratio()
                score[plant] = score.get(plant, 0.0) + alike / len(set(holds[part]))
    for form in get_close_matches(word, list(_table()), 4, 0.6):
        for plant in _table()[form]:
            score[plant] = score.get(plant, 0.0) + 0.3 * SequenceMatcher(None, word, form).ratio()
    best = sorted(score, key=lambda plant: (-score[plant], plant.botanical_name))[:4]
    near = f"; the nearest are {_listed(tuple(best))}" if best else ""
    return f"a common or botanical name of the plant table, or a kind ({', '.join(kinds())}){near}"
