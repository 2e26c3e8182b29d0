"""Every bed with its plants: the user's own first, then those that fill what is left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any

import numpy as np
from numpy.typing import NDArray

from lynchet.core.changed import changed
from lynchet.core.quick import quick
from lynchet.planting.choice import Site, Slot, Wanted, misfits, mix, part_for
from lynchet.planting.harm import told_for_whom
from lynchet.planting.keep_clear import Kept
from lynchet.planting.model import Part, Planting, Species
from lynchet.planting.open_ground import OpenBed, strip_width
from lynchet.planting.plants import Plant
from lynchet.planting.setting_out import Ground, grounds_of, places_on

Array = NDArray[np.float64]
_M2_A_SPECIES = {"front": 5.0, "middle": 6.0, "back": 6.0}
_MOST = {"front": 2, "middle": 3, "back": 3}
"""Ground for one species in a part of a bed, and how many there are at most: drifts, no speckle. PRACTICE."""
_LOW_M = 0.02


@quick
@dataclass(frozen=True)
class Given:
    """A species given to a part of a bed."""

    bed: int
    part: Part
    plant: Plant
    wished: bool
    reasons: tuple[str, ...]


_Group = tuple[Given, ...]
_Key = tuple[int, ...]
_Laid = tuple[Given, Array, NDArray[np.bool_]]


@dataclass(frozen=True)
class _Yard:
    """Where plants go."""

    beds: Sequence[OpenBed]
    grounds: Sequence[Sequence[tuple[Part, Ground]]]
    """Parts of each bed."""
    kept: Kept


def _grounds(beds: Sequence[OpenBed]) -> list[list[tuple[Part, Ground]]]:
    grounds = iter(grounds_of([shape for bed in beds for _, shape in bed.parts]))
    return [[(name, next(grounds)) for name, _ in bed.parts] for bed in beds]


def given_beds(
    wishes: Sequence[Plant], beds: Sequence[OpenBed], sites: Sequence[Site], wanted: Wanted, suggest: bool
) -> list[Given]:
    """Which plants go into which part of which bed.

    Args:
        wishes: the user's own plants, in their order.
        beds: as they are open.
        sites: what each offers.
        wanted: of plants chosen here.
        suggest: choose plants for what is left.
    """
    own: Counter[int] = Counter()
    found: list[Given] = []
    for plant in wishes:
        able = [number for number, bed in enumerate(beds) if bed.parts]
        if not able:
            break
        best = min(able, key=lambda n: (len(misfits(plant, sites[n])), (own[n] + 1) / beds[n].area_m2, n))
        own[best] += 1
        part = part_for(plant, [name for name, _ in beds[best].parts])
        found.append(Given(best, part, plant, True, ("your own plant",)))
    for number, bed in enumerate(beds):
        if suggest and sites[number].enough:
            there = tuple(given.plant for given in found if given.bed == number)
            taken = Counter(given.part for given in found if given.bed == number)
            chosen = mix(sites[number], wanted, _slots(bed, taken), there)
            found += [Given(number, one.part, one.plant, False, one.reasons) for one in chosen]
    return sorted(found, key=lambda given: given.bed)


def _slots(bed: OpenBed, taken: Mapping[Part, int]) -> tuple[Slot, ...]:
    shapes: dict[Part, list[Any]] = {}
    for name, shape in bed.parts:
        shapes.setdefault(name, []).append(shape)
    found = []
    for name, parts in shapes.items():
        count = min(_MOST[name], 1 + int(sum(part.area for part in parts) / _M2_A_SPECIES[name])) - taken.get(name, 0)
        deep = max(strip_width(float(part.area), float(part.length)) for part in parts)
        if count > 0:
            found.append(Slot(name, count, round(deep + _LOW_M, 2)))
    return tuple(found)


def planted_beds(given: Sequence[Given], beds: Sequence[OpenBed], sites: Sequence[Site], kept: Kept) -> list[Planting]:
    """Every species in its place, on its lattice, clear of what must be clear.

    A species that finds no place at all in its share of a part leaves it to its neighbours; a wish is tried elsewhere.
    """
    yard = _Yard(beds, _grounds(beds), kept)
    groups: dict[_Key, list[_Laid]] = {}
    laid = _set_out(given, yard, groups)
    lost = [one for one, _, clear in laid if not clear.any()]
    if lost:
        placed = [one for one, _, _ in laid if one not in lost]
        moved = [_elsewhere(one, yard, sites) for one in lost if one.wished]
        placed += [one for one in moved if one is not None]
        laid = _set_out(sorted(placed, key=lambda one: (one.bed, not one.wished)), yard, groups)
    found: list[Planting] = []
    counts: Counter[str] = Counter()
    for one, points, clear in laid:
        name = beds[one.bed].face.id
        if clear.any():
            counts[name] += 1
            planting = _planting(one, beds[one.bed], sites[one.bed], points[clear])
            found.append(changed(planting, id=f"{name}/{counts[name]}"))
    return found


def _elsewhere(one: Given, yard: _Yard, sites: Sequence[Site]) -> Given | None:
    """A wish that found no place where it was given one: the bed and part that suit it next and have one."""
    beds = yard.beds
    for number in sorted(range(len(beds)), key=lambda n: (len(misfits(one.plant, sites[n])), n != one.bed, n)):
        for part in dict.fromkeys(name for name, _ in beds[number].parts):
            there = replace(one, bed=number, part=part)
            if there != one and _free([(there, _of_part([there], yard)[0])], yard)[0].any():
                return there
    return None


def _set_out(given: Sequence[Given], yard: _Yard, known: dict[_Key, list[_Laid]]) -> list[_Laid]:
    """Lattices of every species with what of them is clear, bed by bed and part by part.

    Args:
        given: in the order of the beds.
        yard: the beds, and what plants keep clear of.
        known: groups laid out before, by what their members are, taken as they are; new ones are written into it.
    """
    groups: list[_Group] = []
    for number, bed in enumerate(yard.beds):
        for part in dict.fromkeys(name for name, _ in bed.parts):
            groups.append(tuple(one for one in given if one.bed == number and one.part == part))
    keyed = {tuple(map(id, group)): group for group in groups if group}
    new = {key: group for key, group in keyed.items() if key not in known}
    laid = [pair for group in new.values() for pair in zip(group, _of_part(group, yard), strict=True)]
    rows = iter(zip(laid, _free(laid, yard), strict=True))
    for key, group in new.items():
        known[key] = [(*pair, clear) for pair, clear in islice(rows, len(group))]
    return [row for key in keyed for row in known[key]]


def _of_part(group: Sequence[Given], yard: _Yard) -> list[Array]:
    """Lattices of species that share a part of a bed, nothing taken out."""
    spacings = [one.plant.plant_spacing_m for one in group]
    rows = [places_on(ground, spacings) for name, ground in yard.grounds[group[0].bed] if name == group[0].part]
    return [np.concatenate([of_shape[number] for of_shape in rows]) for number in range(len(group))]


def _free(laid: Sequence[tuple[Given, Array]], yard: _Yard) -> list[NDArray[np.bool_]]:
    """Which of the places are clear, all looked at together."""
    if not laid:
        return []
    sizes = [len(points) for _, points in laid]
    levels = [yard.beds[one.bed].face.level_m - max(one.plant.root_depth_m, ball_of(one.plant)[1]) for one, _ in laid]
    rows = [np.repeat(values, sizes) for values in (
        levels, [ball_of(one.plant)[0] for one, _ in laid], [one.plant.spread_m for one, _ in laid])]  # fmt: skip
    free = yard.kept.free(np.concatenate([points for _, points in laid]), *rows)
    return np.split(free, np.cumsum(sizes)[:-1])


def ball_of(plant: Plant) -> tuple[float, float]:
    """Half width and depth of the root ball as it is bought, by the size of the grown plant. PRACTICE."""
    if plant.type in ("shrub", "small fruit", "vine") and plant.spread_m > 0.6:
        return 0.12, 0.25
    return (0.08, 0.18) if plant.spread_m > 0.8 else (0.05, 0.12)


def _planting(one: Given, bed: OpenBed, site: Site, points: Array) -> Planting:
    half, deep = ball_of(one.plant)
    level = bed.face.level_m
    return Planting(
        id="",
        bed=bed.face.id,
        part=one.part,
        species=species_of(one.plant),
        wished=one.wished,
        reasons=one.reasons,
        misfits=misfits(one.plant, site) if one.wished else (),
        unknown=site.unknown,
        points_m=tuple(map(tuple, points.tolist())),
        ball_m=half,
        bottom_m=level - deep,
        soil_m=level,
        top_m=level + one.plant.height_m,
    )


def species_of(plant: Plant) -> Species:
    """A plant of the table as it is shown."""
    return Species(
        plant.botanical_name, plant.common_name, plant.type, plant.habit, plant.height_m, plant.spread_m,
        plant.plant_spacing_m, plant.root_depth_m, plant.bloom_months if plant.showy else (), plant.flower_colour,
        plant.edible, plant.evergreen, told_for_whom(plant.toxicity_caution),
    )  # fmt: skip
