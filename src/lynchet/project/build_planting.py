"""From checked tables to what grows on the beds: every name looked up in the plant table."""

from __future__ import annotations

from lynchet.core.errors import InputError
from lynchet.planting.frost import day_number
from lynchet.planting.hardiness import zone_label
from lynchet.planting.names import TRAITS, kind_named, kinds, plant_named, trait_named
from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.planting_wish import Planting


def planting_of(got: Got, faults: Faults) -> Planting:
    """What is wished of the beds."""
    wishes, wished_kinds = _wishes(got, faults)
    zone = got["zone"]
    if zone is not None:
        try:
            number, half = zone_label(zone)
            zone = f"{number}{half}"
        except InputError as error:
            faults.take(got.at("zone"), error)
    last, first = (_frost_day(got, key, faults) for key in ("last_frost", "first_frost"))
    return Planting(
        food=got["food"],
        children=bool(got["children"]),
        zone=zone,
        wishes=wishes,
        avoid=_avoided(got, faults),
        kinds=wished_kinds,
        pets=bool(got["pets"]),
        suggest=got["suggest"] is not False,
        moisture=got["moisture"],
        ph=got["ph"],
        region=got["region"] or "",
        last_frost=last,
        first_frost=first,
        bed_soil_m=got["bed_soil"],
        compost_m=0.05 if got["compost"] is None else got["compost"],
        mulch_m=0.05 if got["mulch"] is None else got["mulch"],
    )


def _wishes(got: Got, faults: Faults) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Botanical names, and kinds."""
    names: dict[str, None] = {}
    wished_kinds: dict[str, None] = {}
    for number, text in enumerate(got["wishes"] or ()):
        kind = kind_named(text)
        if kind is not None:
            wished_kinds[kind] = None
            continue
        try:
            name = plant_named(text).botanical_name
        except InputError as error:
            faults.take(got.at("wishes", number), error)
            continue
        if name in names:
            faults.add(got.at("wishes", number), f'"{text}" stands twice', "every plant once")
        names[name] = None
    return tuple(names), tuple(wished_kinds)


def _avoided(got: Got, faults: Faults) -> tuple[str, ...]:
    found = []
    for number, text in enumerate(got["avoid"] or ()):
        word = trait_named(text) or kind_named(text)
        try:
            found.append(word or plant_named(text).botanical_name)
        except InputError as error:
            traits = f"a trait ({', '.join(TRAITS)}), a kind ({', '.join(kinds())}) or a plant"
            faults.add(got.at("avoid", number), error.faults[0].found, traits)
    return tuple(found)


def _frost_day(got: Got, key: str, faults: Faults) -> str | None:
    text: str | None = got[key]
    if text is not None:
        try:
            day_number(text, "spring", key)
        except InputError as error:
            faults.take(got.at(key), error)
            return None
    return text
