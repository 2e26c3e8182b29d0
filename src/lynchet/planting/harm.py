"""Whom a plant may harm: people who eat it, skin that touches it, or animals; read from the words of the table."""

from __future__ import annotations

from typing import Literal

Harmed = Literal["people", "skin", "animals"]

_ANIMALS = {"pets": "dogs, cats and horses", "cats": "cats", "horses and sheep": "horses and sheep", "horses": "horses",
            "livestock": "livestock"}  # fmt: skip
"""Word of the table, and who is meant: of "pets" lists of plants poisonous to animals name these three."""
_SKIN = ("irrita", "burns skin", "sharp", "spines", "milky sap")
_EATEN = ("toxic", "toxin", "not for food", "not for tea", "cyanogenic", "alkaloid", "illness", "coumarin", "oxalates",
          "kidneys", "emetic", "deadly", "rating")  # fmt: skip
_ASIDE = ("edible", "cook")
"""Says how it is eaten: about nobody."""
_DO = {
    "people": "May harm people and animals that eat it: keep it from children and animals.",
    "skin": "May hurt the skin: wear gloves.",
}
_APART = "Set it apart from what is eaten: it could be picked by mistake."


def _parts(caution: str) -> list[str]:
    return [part.strip() for part in caution.split(";") if part.strip()]


def _animals(part: str) -> str:
    """The animals a part of a caution names; empty where it names none."""
    return next((meant for word, meant in _ANIMALS.items() if word in part), "")


def _harmed_by(part: str) -> set[Harmed]:
    if _animals(part):
        return {"animals"}
    found: set[Harmed] = set()
    found |= {"skin"} if any(word in part for word in _SKIN) else set()
    found |= {"people"} if any(word in part for word in _EATEN) else set()
    # What is not understood is taken as the worst.
    return found or (set() if any(word in part for word in _ASIDE) else {"people"})


def is_understood(caution: str) -> bool:
    """Whether every part of a caution says whom it is about."""
    words = (*_ANIMALS, *_SKIN, *_EATEN, *_ASIDE)
    return all(any(word in part for word in words) for part in _parts(caution))


def harmed(caution: str) -> tuple[Harmed, ...]:
    """Who may be harmed, people first; empty where nothing is known, which does not mean safe.

    Args:
        caution: words of the plant table.
    """
    found = set().union(*map(_harmed_by, _parts(caution)))
    order: tuple[Harmed, ...] = ("people", "skin", "animals")
    return tuple(who for who in order if who in found)


def told_for_whom(caution: str) -> str:
    """The caution with those it is about: "toxic to pets (dogs, cats and horses)"."""
    return "; ".join(_told(part) for part in _parts(caution))


def _told(part: str) -> str:
    who = _animals(part)
    if who:
        return part if who in part else f"{part} ({who})"
    if "rating" in part:
        return f"{part} (people or livestock)"
    whom = _harmed_by(part)
    if "people" in whom:
        return f"{part} (people and animals)"
    return part if not whom or "skin" in part else f"{part} (skin)"


def what_to_do(caution: str, edible: str, among_food: bool) -> str:
    """Sentences after a caution: whom it may harm, and what people do eat of the plant.

    Args:
        caution: words of the plant table.
        edible: part that is eaten, or empty.
        among_food: whether the beds are for food.
    """
    who = harmed(caution)
    said = [_DO[one] for one in who if one in _DO]
    animals = list(dict.fromkeys(_animals(part) for part in _parts(caution) if _animals(part)))
    if animals:
        said.append(f"May harm {' and '.join(animals)} that eat it: keep them from it.")
    if edible:
        only = "only its" if "people" in who else "its"
        said.append(f"People eat {only} {edible.replace(', ', ' and ')}.")
    elif among_food and "people" in who:
        said.append(_APART)
    return " ".join(said)
