"""What stays, as simple bodies: houses up to their eaves and ridge, trees as a stem and a crown."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, pi, sin
from typing import Any

import numpy as np

from lynchet.drawings.axo_camera import FromEye
from lynchet.drawings.axo_faces import Array, Face, Upright, flat, upright_faces
from lynchet.ground.surface import level_at
from lynchet.plan.model import Plan
from lynchet.project.model import Fixed, House

_UNDER_M = 1.0
_ROUND = 20
_STEM_SHARE = 0.35
"""Of a tree's height under its crown. PRACTICE."""


def house_faces(plan: Plan, house: House, wedge: Any) -> list[Face]:
    """Walls and roof of a house as far as they lie before the eye; none where its eaves are not known.

    The walls go straight up from the outline; over a ridge the roof is a plain pitched one along the longer side.
    """
    if house.eaves_m is None:
        return []
    base = _base(plan, house)
    ridge = house.ridge_m
    shape = _polygon(house.outline_m).intersection(wedge)
    walls = upright_faces(Upright(house.name, shape, flat(base - _UNDER_M), flat(base + house.eaves_m), 1))
    if ridge is None or ridge <= house.eaves_m or shape.is_empty:
        return walls
    return [*walls, *_roof(house, wedge, base + house.eaves_m, base + ridge)]


def _base(plan: Plan, house: House) -> float:
    if house.floor_m is not None:
        return house.floor_m
    levels = level_at(plan.ground.surface, house.outline_m, 1e9)
    return float(np.nanmin(levels)) if not np.isnan(levels).all() else plan.ground.lowest_m


def _polygon(ring: Any) -> Any:
    from shapely.geometry import Polygon

    return Polygon(ring).buffer(0)


def _roof(house: House, wedge: Any, eaves_m: float, ridge_m: float) -> list[Face]:
    """Two slopes that meet over the middle of the longer way, as uprights with sloping tops."""
    ring = list(_polygon(house.outline_m).minimum_rotated_rectangle.exterior.coords)[:4]
    corners = np.array(ring)
    one, two = corners[1] - corners[0], corners[3] - corners[0]
    if float(np.hypot(*one)) < float(np.hypot(*two)):
        corners = np.roll(corners, -1, axis=0)
        one, two = corners[1] - corners[0], corners[3] - corners[0]
    half = float(np.hypot(*two)) / 2.0
    across, middle = two / (2.0 * half), corners[0] + two / 2.0
    found: list[Face] = []
    for sign in (-1.0, 1.0):
        edge = middle + sign * half * across
        part = _polygon([middle, middle + one, edge + one, edge]).intersection(wedge)
        rise = -sign * (ridge_m - eaves_m) / half * across
        top = float(rise[0]), float(rise[1]), ridge_m - float(rise @ middle)
        found += upright_faces(Upright(f"{house.name} roof", part, flat(eaves_m), top, 1))
    return found


def tree_faces(plan: Plan, tree: Fixed, camera: FromEye) -> Iterator[Face]:
    """Stem and crown of a tree, facing the eye; nothing where its height or crown is not known, or it is too near."""
    if tree.height_m is None or tree.crown_m is None:
        return
    at = np.array(tree.line_m[0])
    ground = float(level_at(plan.ground.surface, [tree.line_m[0]], 1e9)[0])
    if np.isnan(ground):
        ground = plan.ground.lowest_m
    if float((at - camera.eye[:2]) @ camera.ahead[:2]) < 1.5 * tree.crown_m:
        return
    foot = np.array([*at, ground])
    half, low = max(0.05, (tree.stem_m or 0.2) / 2.0), _STEM_SHARE * tree.height_m
    up, right = np.array([0.0, 0.0, 1.0]), camera.right
    stem = np.array([foot - half * right, foot + half * right, foot + half * right + (low + 0.3) * up,
                     foot - half * right + (low + 0.3) * up])  # fmt: skip
    yield Face((stem,), f"{tree.id} stem", "plant", 2, -camera.ahead, False)
    middle = foot + (tree.height_m + low) / 2.0 * up
    yield oval(middle, (tree.crown_m, tree.height_m - low), camera, f"{tree.id} crown")


def oval(middle: Array, size: tuple[float, float], camera: FromEye, body: str, corners: int = _ROUND) -> Face:
    """An upright oval that faces the eye's way."""
    return ovals(middle[None], size, camera, [body], corners)[0]


def ovals(
    middles: Array, size: tuple[float, float], camera: FromEye, names: Sequence[str], corners: int = _ROUND
) -> list[Face]:
    """Upright ovals of one size round (n, 3) middles, that face the eye's way."""
    turns = 2.0 * pi * np.arange(corners) / corners
    across, over = 0.5 * size[0] * np.array([cos(t) for t in turns]), 0.5 * size[1] * np.array([sin(t) for t in turns])
    rings = middles[:, None] + across[:, None] * camera.right + over[:, None] * np.array([0.0, 0.0, 1.0])
    return [Face((ring,), name, "plant", 2, -camera.ahead, False) for ring, name in zip(rings, names, strict=True)]
