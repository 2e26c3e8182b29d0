"""What is seen of the finished garden from a standpoint: ground, walls, steps, what stays, and plants of some age."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from lynchet.drawings.axo_bodies import bodies
from lynchet.drawings.axo_camera import FromEye
from lynchet.drawings.axo_faces import Face
from lynchet.drawings.axo_ground import DUG, NATIVE, Block, ground_cells, known_ground
from lynchet.drawings.axo_ground_faces import ground_faces
from lynchet.drawings.axo_visible import Seen, picture_of, seen_before
from lynchet.drawings.eye_bodies import house_faces, ovals, tree_faces
from lynchet.drawings.eye_place import Stand
from lynchet.plan.building_days import BuildingDays
from lynchet.planting.growth import grown_share
from lynchet.project.model import House

SAME = 1e-6
"""Difference of one over the distance below which faces lie in one place."""
_GROUND = {NATIVE: 0, DUG: 1}
"""Kinds of ground of which all is one shape, drawn first."""
_LEAST_PLANT = 0.004
"""Plants smaller than this part of their distance are left out: they would be a dot."""


@dataclass(frozen=True, eq=False)
class Sight:
    """What is seen, and what each body is."""

    standing: tuple[tuple[Seen, str], ...]
    plants: tuple[tuple[tuple[Seen, str], ...], ...]
    """For every age, the farthest first."""
    not_drawn: tuple[str, ...]
    """Houses and trees whose height the file does not say."""
    stood_in: tuple[str, ...] = ()
    """Houses one stands in, which would hide all."""


def sight_of(days: BuildingDays, stand: Stand, ages: Sequence[float]) -> Sight:
    """What is seen from a standpoint when all is built.

    Args:
        days: of the plan.
        stand: from where.
        ages: years since planting, a picture each; 0 = nothing planted.
    """
    import shapely

    plan = days.plan
    camera = stand.camera(plan.project.frame.mirrored)
    wedge = stand.wedge()
    known = known_ground(plan.ground.surface)
    block = Block(shapely.intersection(known, wedge), plan.ground.lowest_m - 1.0, np.empty((0, 3)), True)
    kinds: dict[str, str] = {}
    inside = tuple(house for house in plan.project.houses if stand.inside(house.outline_m))
    faces = list(_standing(days, block, wedge, kinds, inside))
    light = [face for tree in plan.project.fixed if tree.kind == "tree" for face in tree_faces(plan, tree, camera)]
    kinds |= {face.body: "stem" if face.body.endswith("stem") else "crown" for face in light}
    every = [*faces, *light]
    # Ground of one kind is one shape: its triangles are no lines one would see.
    groups = [kinds[face.body] if kinds[face.body] in _GROUND else n for n, face in enumerate(every)]
    picture = picture_of(every, camera, SAME, groups)
    told = [(one, kinds[one.face.body]) for one in picture.seen]
    standing = sorted((one for one in told if one[0].face.hides), key=lambda one: _GROUND.get(one[1], 2))
    trees = [one for one, _ in told if not one.face.hides]
    # Plants of all ages in one go: they take nothing from one another.
    own = [list(_plants(days, camera, wedge, years)) if years > 0 else [] for years in ages]
    age = {id(face): n for n, some in enumerate(own) for face in some}
    leaves = seen_before([face for some in own for face in some], picture.before, camera, SAME) if age else []
    plants = []
    for n in range(len(ages)):
        far = _farthest_first([*trees, *(one for one in leaves if age[id(one.face)] == n)], camera)
        plants.append(tuple((one, kinds.get(one.face.body, "plant")) for one in far))
    return Sight(
        tuple(standing), tuple(plants), tuple(_unknown(days)), tuple(house.name or "the house" for house in inside)
    )


def _farthest_first(sheets: Sequence[Seen], camera: FromEye) -> list[Seen]:
    """Sheets that face the eye, in the order they are drawn."""
    near = camera.project(np.array([one.face.rings[0][0] for one in sheets]).reshape(-1, 3))[:, 2].tolist()
    order = sorted(range(len(sheets)), key=lambda n: (near[n], sheets[n].face.body))
    return [sheets[n] for n in order]


def _standing(
    days: BuildingDays, block: Block, wedge: Any, kinds: dict[str, str], inside: Sequence[House]
) -> Iterator[Face]:
    """Ground, walls, steps and houses, less those one stands in."""
    plan = days.plan
    done = {task.id: 1.0 for task in plan.works.tasks}
    for cell, sides in ground_faces(ground_cells(days, block, done), block, plan.ground.surface):
        for side in sides:
            kinds[side.body] = cell.kind
            yield side
    for thing, _, sides in bodies(days, block, done, done):
        kinds[thing.id] = thing.kind
        yield from sides
    for house in plan.project.houses:
        if house in inside:
            continue
        for face in house_faces(plan, house, wedge):
            kinds[face.body] = "roof" if face.body.endswith(" roof") else "house"
            yield face


def _plants(days: BuildingDays, camera: FromEye, wedge: Any, years: float) -> Iterator[Face]:
    """Every plant before the eye, as large as it is after some years."""
    import shapely

    for planting in days.plan.planted.plantings:
        species = planting.species
        share = grown_share(species.type, years)
        wide, high = share * species.spread_m, share * species.height_m
        inside = shapely.contains_xy(wedge, np.array(planting.points_m).reshape(-1, 2))
        mulch_m = days.plan.project.planting.mulch_m
        feet = np.array([(*plant.point_m, plant.soil_m + mulch_m) for plant in planting.plants]).reshape(-1, 3)
        inside &= max(wide, high) >= _LEAST_PLANT * ((feet - camera.eye) @ camera.ahead)
        names = [plant.id for plant, within in zip(planting.plants, inside.tolist(), strict=True) if within]
        yield from ovals(feet[inside] + np.array([0.0, 0.0, high / 2.0]), (wide, high), camera, names, 12)


def _unknown(days: BuildingDays) -> Iterator[str]:
    project = days.plan.project
    yield from (house.name for house in project.houses if house.eaves_m is None)
    yield from (
        thing.name for thing in project.fixed if thing.kind == "tree" and (thing.height_m is None or not thing.crown_m)
    )
