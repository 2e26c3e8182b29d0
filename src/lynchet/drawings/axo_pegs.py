"""Pegs and strings in the picture of a day on which walls are set out and nothing else is to be seen yet."""

from __future__ import annotations

from itertools import groupby, pairwise

import numpy as np

from lynchet.drawings.axo_labels import Wish
from lynchet.drawings.axo_scene import Scene
from lynchet.drawings.model import Item, Line
from lynchet.ground.surface import level_at
from lynchet.plan.building_days import BuildingDays
from lynchet.walls.pegs import SettingPoint

_TASK = "site/set out"
_EDGE_M, _LEAST_M = 0.05, 0.3
_STRING_M, _OVER_M = 0.15, 0.06
"""A string over the highest ground under it, and a peg over the string. PRACTICE."""


def pegs_of(days: BuildingDays, day: int, scene: Scene, words: str) -> tuple[list[Item], list[Wish]]:
    """Pegs, a level string over each stretch of wall, and their label; nothing on days that show more.

    Args:
        days: of the plan.
        day: from 1.
        scene: what is seen.
        words: of the label.
    """
    done, before = days.done(day).get(_TASK, 0.0), days.done(day - 1).get(_TASK, 0.0)
    if done <= before or any(part.new for part in scene.parts):
        return [], []
    items: list[Item] = []
    strings: list[np.ndarray] = []
    for _, group in groupby(days.plan.walls.setting_out.points, key=lambda peg: peg.id.rpartition(".")[0]):
        row = list(group)
        for peg, other in list(pairwise(row))[::2]:
            found = _string(days, scene, (peg, other))
            if found is not None:
                posts, string = found
                items += posts
                strings.append(string)
                items.append(Line(id=f"string-{peg.id}", layer="labels", pts=_pts(string), pen="visible", role="warn"))
    if not strings:
        return [], []
    near = max(strings, key=lambda string: float(string[:, 0].mean()))
    (ax, ay), (bx, by) = near[:, :2].tolist()
    return items, [Wish("pegs", words, ((ax + 2 * bx) / 3, (ay + 2 * by) / 3))]


def _string(
    days: BuildingDays, scene: Scene, ends: tuple[SettingPoint, SettingPoint]
) -> tuple[list[Item], np.ndarray] | None:
    """Pegs, the line under the string and the string between them, as far as they are in the picture; else None."""
    from shapely.geometry import LineString, Point

    points = np.array([peg.point_m for peg in ends])
    levels = np.asarray(level_at(days.plan.ground.surface, points), dtype=float)
    shown = LineString(points).intersection(scene.block.shape)
    if shown.geom_type != "LineString" or shown.length < _LEAST_M or np.isnan(levels).any():
        return None
    along = np.array([shown.interpolate(share, normalized=True).coords[0] for share in np.linspace(0.0, 1.0, 9)])
    ground = np.asarray(level_at(days.plan.ground.surface, along), dtype=float)
    top = float(np.nanmax(ground)) + _STRING_M
    line = _pts(scene.camera.project(np.column_stack([along, ground])[~np.isnan(ground)]))
    posts: list[Item] = [Line(id=f"face-{ends[0].id}", layer="labels", pts=line, pen="fine", dash="hidden", role="mid")]
    for peg, point, level in zip(ends, points, levels, strict=True):
        if scene.block.shape.buffer(_EDGE_M).covers(Point(point)):
            foot = scene.camera.project(np.array([[*point, level], [*point, top + _OVER_M]]))
            posts.append(Line(id=f"peg-{peg.id}", layer="labels", pts=_pts(foot), pen="outline"))
    return posts, scene.camera.project(np.array([[*point, top] for point in shown.coords]))


def _pts(projected: np.ndarray) -> tuple[tuple[float, float], ...]:
    return tuple((float(u), float(v)) for u, v, *_ in projected)
