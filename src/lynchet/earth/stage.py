"""The earth stage: everything dug, put in, pushed out, heaped and carried, in one account and in order of building."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from lynchet.core.plane import signed_area
from lynchet.earth.account import beds_of, moves_of, volumes_of
from lynchet.earth.balance import account_of, factors_of, steps_of
from lynchet.earth.columns import SMALL_M2, STEP_M, Columns, Depths, columns_of
from lynchet.earth.findings import findings_of
from lynchet.earth.finishes import ALONE, Finish, finishes_of, lowered_m
from lynchet.earth.held_ground import held_ground
from lynchet.earth.model import Earth, EarthMove, SoilAccount
from lynchet.earth.places import places_of
from lynchet.earth.room import room_of
from lynchet.earth.rows import rows_over
from lynchet.earth.solids import Owners, Solids, in_arrays, solids_of
from lynchet.earth.stone_placed import base_stone_m3, drain_stone_m3
from lynchet.ground.model import Ground
from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.terraces.model import Terraces
from lynchet.walls.model import Walls
from lynchet.water.model import Water

METHOD = (
    "Cut and fill of each bed to its finished level: exact over the triangles of the measured ground. Everything else: "
    "the yard cut along rows 0.2 m (8 in) apart or less, aslant to every wall, the ground, the finish and every solid "
    "looked at upright in pieces up to 0.5 m long; what several solids dig is counted once."
)


def earth(
    project: Project, ground: Ground, terraces: Terraces, walls: Walls, water: Water, stability: Stability
) -> Earth:
    """Moves by place and kind, the soil account, the order of building, heaps and the way for barrows."""
    if terraces.refused or not terraces.beds:
        return _nothing(project)
    owners = Owners(terraces, walls, water)
    finishes = finishes_of(project, terraces, owners, walls.shaped)
    solids = in_arrays(solids_of(terraces, walls, water, stability, project.timber.thickness_m, owners),
                       project.digging.work_room_m)  # fmt: skip
    columns = _columns(project, ground, (terraces, walls), finishes, solids)
    mulch = project.planting.mulch_m, lowered_m(project)
    volumes = volumes_of(columns, finishes, solids, terraces.beds, mulch)
    factors = factors_of(project)
    stone = drain_stone_m3(water), base_stone_m3(terraces, walls)
    account = account_of(project, volumes, factors, solids.volumes_m3(), stone)
    if solids.dug.any():
        undug = replace(solids, dug=np.zeros_like(solids.dug))
        less = _columns(project, ground, (terraces, walls), finishes, undug)
        whole = volumes_of(less, finishes, undug, terraces.beds, mulch)
        away = account_of(project, whole, factors, solids.volumes_m3(), stone).away_bank_m3
        account = replace(account, stood_bank_m3=away - account.away_bank_m3)
    steps = steps_of(project, volumes, factors, _walls_by_terrace(walls, owners, len(terraces.levels_m)))
    room = room_of(project, terraces, water, finishes, held_ground(walls, stability))
    places = places_of(project, ground, terraces, room, steps)
    steps = tuple(replace(step, carry_m=places.carry_m(step.terrace)) for step in steps)
    found = Earth(
        beds=beds_of(volumes, terraces.beds),
        account=account,
        moves=(*moves_of(volumes), *_spread(project, account, len(terraces.levels_m))),
        steps=steps,
        heaps=places.heaps,
        drop_zone=places.drop_zone,
        barrow_run=places.barrow_run,
        truck_reaches=places.truck_reaches,
        method=METHOD,
    )
    return replace(found, findings=findings_of(project, terraces, columns, finishes, found))


def _columns(
    project: Project, ground: Ground, laid: tuple[Terraces, Walls], finishes: tuple[Finish, ...], solids: Solids
) -> Columns:
    terraces, walls = laid
    corners = [solids.rings.start]
    corners += [np.array(ring, dtype=float) for one in finishes if one.kind != ALONE for ring in one.rings]
    small = any(bed.area_m2 < SMALL_M2 for bed in terraces.beds)
    step = STEP_M / 2.0 if small else STEP_M
    rows = rows_over(np.concatenate(corners), [leg.direction for leg in walls.legs], step)
    depths = Depths(project.digging.topsoil_m, project.bed_soil_m, lowered_m(project))
    return columns_of(ground.surface, finishes, solids, rows, depths, terraces.fall)


def _walls_by_terrace(walls: Walls, owners: Owners, count: int) -> tuple[tuple[str, ...], ...]:
    """Legs built with each terrace, in the order of the file; with the highest also what stands on it."""
    built = [(leg.id, min(owners.of_leg(leg.id), count)) for leg in walls.legs if leg.segments]
    return tuple(tuple(leg for leg, terrace in built if terrace == k) for k in range(1, count + 1))


def _spread(project: Project, account: SoilAccount, last: int) -> list[EarthMove]:
    """Soil spread, shared among the areas by what each takes."""
    room = [abs(signed_area(area.outline_m)) * area.most_m for area in project.digging.spread]
    whole = sum(room)
    if account.spread_m3 <= 0.0 or whole <= 0.0:
        return []
    return [
        EarthMove(area.name, last, "spread", "compacted", account.spread_m3 * part / whole)
        for area, part in zip(project.digging.spread, room, strict=True)
    ]


def _nothing(project: Project) -> Earth:
    factors = factors_of(project)
    account = SoilAccount(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, factors.compacted, factors.loose, 0.0, 0.0, 0, 0,
                          load_m3=factors.load_m3, load_kg=factors.load_kg)  # fmt: skip
    return Earth((), account, method=METHOD)
