"""The soil account: what is dug, what goes back, what is pushed out, what leaves and what is brought."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lynchet.core.plane import signed_area
from lynchet.earth.account import Volumes
from lynchet.earth.model import Brought, BuildStep, Pushed, SoilAccount
from lynchet.earth.order import Moved, in_order
from lynchet.earth.rows import Array
from lynchet.earth.solids import MATERIALS
from lynchet.earth.stone_placed import BASE_LOOSE, DRAIN_LOOSE
from lynchet.ground.earth_states import SOIL_FACTORS, full_load, whole_loads
from lynchet.planting.bed_soil import loose_order
from lynchet.project.model import Project
from lynchet.units.measures import GRAVITY

SETTLES_PCT = 10.0
"""Bought bed soil and compost settle by so much: 10 to 15 % is usual. PRACTICE."""


@dataclass(frozen=True)
class Factors:
    """States of the soil, and what carries it."""

    loose: float
    compacted: float
    barrow_m3: float
    load_m3: float
    load_kg: float


def factors_of(project: Project) -> Factors:
    """Factors of the soil's class, and the load the truck takes of it."""
    loose, compacted = SOIL_FACTORS[_soil(project)]
    access = project.access
    density = project.soil.unit_weight_kn_m3 * 1000.0 / GRAVITY / loose
    load = access.load_m3
    if access.payload_kg is not None:
        load = float(full_load(load, access.payload_kg, density))
    return Factors(loose, compacted, access.barrow_m3, load, load * density)


def _soil(project: Project) -> str:
    if project.soil.clay:
        return "clay"
    return "sand" if (project.soil.unified_class or "").upper() in ("SW", "SP") else "common_earth"


def loads(loose_m3: float, factors: Factors) -> tuple[int, int]:
    """(loads, barrows) of a loose volume."""
    return int(whole_loads(loose_m3, factors.load_m3)), int(whole_loads(loose_m3, factors.barrow_m3))


@dataclass(frozen=True)
class Topsoil:
    """Topsoil of the whole job, bank measure."""

    stripped_m3: float
    compost_share: float
    """Of the bed soil."""
    compost_m3: float
    needed_m3: float
    used_m3: float
    filled_m3: float
    """Left over, and put into the fill in place of soil bought."""

    @property
    def bought_m3(self) -> float:
        """Bed soil that has to be bought."""
        return self.needed_m3 - self.used_m3

    @property
    def over_m3(self) -> float:
        """Left over."""
        return self.stripped_m3 - self.used_m3


def topsoil_of(project: Project, volumes: Volumes, factors: Factors) -> Topsoil:
    """What becomes of the topsoil: beds and places dug outside first, then the fill where that is short."""
    stripped = float(volumes.of("topsoil off").sum())
    laid, back = float(volumes.of("bed soil").sum()), float(volumes.of("topsoil back").sum())
    depth = project.bed_soil_m
    share = min(1.0, project.planting.compost_m / depth) if depth > 0 else 0.0
    needed = laid * (1.0 - share) + back
    used = min(stripped, needed)
    dug = float(volumes.dug_m3().sum()) - stripped
    short = float(volumes.of("fill").sum()) / factors.compacted - dug
    return Topsoil(stripped, share, laid * share, needed, used, min(stripped - used, max(0.0, short)))


def account_of(
    project: Project, volumes: Volumes, factors: Factors, solid_m3: Mapping[str, float], stone_m3: tuple[float, float]
) -> SoilAccount:
    """The soil account.

    Args:
        project: bed soil, mulch, ground that may be raised.
        volumes: everything moved.
        factors: of the soil.
        solid_m3: whole volume of the materials placed, in the ground or over it.
        stone_m3: drain stone and base stone in place.
    """
    top = topsoil_of(project, volumes, factors)
    k = factors.compacted
    dug, fill = float(volumes.dug_m3().sum()), float(volumes.of("fill").sum())
    cut, plain = float(volumes.plain_cut_m3.sum()), float(volumes.plain_fill_m3.sum())
    left = dug - top.used_m3 - fill / k
    spread = min(spread_room_m3(project), max(0.0, left) * k)
    away = left - spread / k
    pushed = _pushed(volumes, top, k)
    loose = away * factors.loose
    away_loads, barrows = loads(abs(loose), factors)
    return SoilAccount(
        bench_cut_m3=cut,
        trench_m3=dug - cut,
        fill_m3=fill,
        displaced_m3=sum(row.volume_m3 for row in pushed),
        timber_m3=solid_m3["timber"] + solid_m3["ties"],
        stone_m3=sum(stone_m3),
        compacted_per_bank=k,
        loose_per_bank=factors.loose,
        away_bank_m3=away,
        away_loose_m3=loose,
        barrows=barrows,
        loads=away_loads,
        plain_fill_m3=plain,
        plain_away_bank_m3=cut - plain / k,
        pushed=pushed,
        settling_bank_m3=(dug - cut - top.used_m3) * (1.0 - 1.0 / k),
        topsoil_m3=top.stripped_m3,
        topsoil_used_m3=top.used_m3,
        topsoil_filled_m3=top.filled_m3,
        spread_m3=spread,
        brought=_brought(volumes, top, max(0.0, -loose), stone_m3, factors),
        load_m3=factors.load_m3,
        load_kg=factors.load_kg,
    )


def spread_room_m3(project: Project) -> float:
    """Soil the ground that may be raised takes, compacted measure."""
    return sum(abs(signed_area(area.outline_m)) * area.most_m for area in project.digging.spread)


def _pushed(volumes: Volumes, top: Topsoil, compacted: float) -> tuple[Pushed, ...]:
    taken = dict(zip(MATERIALS, volumes.taken_m3.sum(axis=0).tolist(), strict=True))
    rows = [Pushed(what, taken[what], taken[what] / compacted) for what in MATERIALS]
    bed = top.bought_m3 + top.compost_m3
    mulch = float(volumes.lowered_m3.sum())
    return (*rows, Pushed("bed soil", bed, bed / compacted), Pushed("mulch", mulch, mulch / compacted))


def _brought(
    volumes: Volumes, top: Topsoil, fill_loose: float, stone_m3: tuple[float, float], factors: Factors
) -> tuple[Brought, ...]:
    """What comes by the load; nothing that is not needed."""
    drain, base = stone_m3
    mulch = float(volumes.of("mulch").sum())
    settled = [float(loose_order(volume, SETTLES_PCT)) for volume in (top.bought_m3, top.compost_m3)]
    rows = (
        ("fill", fill_loose / factors.loose * factors.compacted, fill_loose),
        ("bed soil", top.bought_m3, settled[0]),
        ("compost", top.compost_m3, settled[1]),
        ("mulch", mulch, mulch),
        ("drain stone", drain, drain * DRAIN_LOOSE),
        ("base stone", base, base * BASE_LOOSE),
    )
    return tuple(
        Brought(what, placed, loose, loads(loose, factors)[1])  # type: ignore[arg-type]
        for what, placed, loose in rows
        if loose > 1e-6
    )


def steps_of(
    project: Project, volumes: Volumes, factors: Factors, walls: tuple[tuple[str, ...], ...]
) -> tuple[BuildStep, ...]:
    """The terraces in order, the lowest first, with what each digs, fills, heaps and sends away.

    Args:
        project: ground that may be raised.
        volumes: everything moved.
        factors: of the soil.
        walls: legs built with each terrace.
    """
    count = len(walls)
    top = topsoil_of(project, volumes, factors)
    stripped = volumes.by_terrace(volumes.of("topsoil off"), count)
    dug = volumes.by_terrace(volumes.dug_m3(), count) - stripped
    needed = volumes.by_terrace(volumes.of("fill"), count) / factors.compacted
    laid = volumes.by_terrace(volumes.of("bed soil"), count) * (1.0 - top.compost_share)
    laid = laid + volumes.by_terrace(volumes.of("topsoil back"), count)
    soil = in_order(np.maximum(dug, 0.0).tolist(), needed.tolist())
    topsoil = in_order(stripped.tolist(), laid.tolist())
    pushed = volumes.by_terrace(
        (volumes.taken_m3.sum(axis=1) + volumes.lowered_m3) / factors.compacted, count
    ) + _bed_pushed(volumes, top, count, factors)
    walk = _Walk(factors, top, spread_room_m3(project) / factors.compacted, *_shares(soil, topsoil, top))
    return tuple(
        walk.step(k + 1, walls[k], (soil[k], topsoil[k]), (float(dug[k]), float(stripped[k]), float(pushed[k])))
        for k in range(count)
    )


def _bed_pushed(volumes: Volumes, top: Topsoil, count: int, factors: Factors) -> Array:
    """Bed soil that comes in, shared among the terraces by what each needs."""
    bed = volumes.by_terrace(volumes.of("bed soil"), count)
    whole = float(bed.sum())
    return np.asarray(bed / whole * (top.bought_m3 + top.compost_m3) / factors.compacted if whole > 0 else bed * 0.0)


def _shares(soil: tuple[Moved, ...], topsoil: tuple[Moved, ...], top: Topsoil) -> tuple[float, float]:
    """Share of the fill that would be bought, and of the topsoil that would leave, which fill each other."""
    bought, over = sum(row.bought_m3 for row in soil), sum(row.away_m3 for row in topsoil)
    return top.filled_m3 / bought if bought > 0 else 0.0, top.filled_m3 / over if over > 0 else 0.0


class _Walk:
    """Sums kept while the terraces are gone through."""

    def __init__(self, factors: Factors, top: Topsoil, room_m3: float, of_bought: float, of_over: float) -> None:
        self.factors, self.top, self.room = factors, top, room_m3
        self.of_bought, self.of_over = of_bought, of_over
        self.gone = 0.0
        """Loose, and by the truck when all walls stand: until then it lies on the heap."""
        self.topsoil_lies = 0.0
        """Bank measure, until the beds are filled when all walls stand."""

    def step(
        self, terrace: int, walls: tuple[str, ...], moved: tuple[Moved, Moved], sums: tuple[float, float, float]
    ) -> BuildStep:
        """One terrace."""
        (soil, topsoil), (dug, stripped, pushed) = moved, sums
        loose = self.factors.loose
        leaves = soil.away_m3 + topsoil.away_m3 * (1.0 - self.of_over)
        spread = min(self.room, leaves)
        self.room -= spread
        away = leaves - spread
        before, self.gone = self.gone, self.gone + away * loose
        stripped_so_far = self.topsoil_lies + stripped
        self.topsoil_lies = stripped_so_far - topsoil.away_m3
        from_topsoil = soil.bought_m3 * self.of_bought
        carried = soil.from_heap_m3 + soil.from_above_m3 + soil.to_heap_m3 + soil.bought_m3 + leaves
        carried += stripped + topsoil.own_m3 + topsoil.from_heap_m3
        return BuildStep(
            terrace=terrace,
            walls=walls,
            topsoil_m3=stripped,
            dug_m3=dug,
            needed_m3=soil.own_m3 + soil.from_heap_m3 + soil.from_above_m3 + soil.bought_m3,
            pushed_m3=pushed,
            own_m3=soil.own_m3,
            from_heap_m3=soil.from_heap_m3,
            from_above_m3=soil.from_above_m3,
            from_topsoil_m3=from_topsoil,
            bought_m3=soil.bought_m3 - from_topsoil,
            to_heap_m3=soil.to_heap_m3,
            spread_m3=spread,
            away_m3=away,
            heap_loose_m3=soil.heap_m3 * loose,
            peak_loose_m3=(soil.before_m3 + soil.dug_m3) * loose + before,
            topsoil_heap_loose_m3=stripped_so_far * loose,
            loads_away=loads(self.gone, self.factors)[0] - loads(before, self.factors)[0],
            barrows=loads(carried * loose, self.factors)[1],
        )
