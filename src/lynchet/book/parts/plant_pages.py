"""Beds and plants: sun, what is planted where and how many, water, when, what to know before buying."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.blocks import Block, Caution, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.planting.model import BedSun, Planted
from lynchet.units.format import apart, area, cans
from lynchet.units.measures import System


def plant_pages(planted: Planted, us: bool, words: Words) -> tuple[Block, ...]:
    """The planting sheet in words; nothing where there is no bed."""
    return tuple(_blocks(planted, us, words)) if planted.beds else ()


def _blocks(planted: Planted, us: bool, words: Words) -> Iterator[Block]:
    yield Heading(words("plants.head"), 1, flows=not planted.plantings)
    yield Para(words("plants.intro"))
    rows = []
    for bed in planted.beds:
        sun = planted.sun_of(bed.bed)
        rows.append((bed.bed, area(bed.soil_m2, "us" if us else "metric"), *_sun(sun, words)))
    yield Table(words.many("plants.sun_heads"), tuple(rows), "lrll")
    if planted.plantings:
        yield Heading(words("plants.list_head"))
        list_rows = tuple(
            (one.bed, words(f"plants.{one.part}"), f"{one.species.common_name} ({one.species.botanical_name})",
             str(one.count), apart(one.species.spacing_m, "us" if us else "metric"), "; ".join(one.misfits))
            for one in planted.plantings
        )  # fmt: skip
        heads = words.many("plants.list_heads")
        if any(row[-1] for row in list_rows):
            yield Table(heads, list_rows, "lllrrl", (0.7, 1, 4, 0.9, 1.2, 3))
        else:
            yield Table(heads[:-1], tuple(row[:-1] for row in list_rows), "lllrr", (0.7, 1, 4, 0.9, 1.2))
    for caution in planted.cautions:
        yield Caution(caution.text)
    if not planted.plantings:
        yield Para(words("plants.none"))
    thirsty = [one for one in planted.water if one.weekly_l > 0 or one.first_weeks_l > 0]
    if thirsty:
        yield Heading(words("plants.water_head"))
        system: System = "us" if us else "metric"
        water = tuple((one.bed, cans(one.weekly_l, system), cans(one.first_weeks_l, system)) for one in thirsty)
        yield Table(words.many("plants.water_heads"), water, "lrr")


def _sun(sun: BedSun | None, words: Words) -> tuple[str, str]:
    if sun is None or sun.season_h is None:
        return words("plants.unknown"), words("plants.unknown")
    band = "" if sun.low_h is None or sun.high_h is None else f" ({sun.low_h:.1f} to {sun.high_h:.1f})"
    return f"{sun.season_h:.1f}{band}", words(f"plants.light_{sun.light}")
