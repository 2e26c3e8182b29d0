"""Invented yards: a builder of whole projects for tests, a few fixed yards, and the generator of random ones.

Realistic yards follow one recipe (shapes, slopes, houses, paths, steps, trees as measured on no site but chosen to span
what gardens show); crooked ones are meant to break things.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from lynchet.core.frame import Frame
from lynchet.ground.model import Ground
from lynchet.ground.surface import build_surface
from lynchet.project import model as pm
from lynchet.project import things

Point = tuple[float, float]

PLACED = ("houses", "paths", "steps", "fixed", "own_lines", "lot_lines", "springs", "soakaways")
"""Parts of a project that have places."""
SOIL = pm.Soil("sandy", "SM", 30.0, 20.0, 0.0, 18.9, 20.0)
RAIN = pm.Rain(100.0)
PLACE = pm.Place("invented", False, ())


def timber(course_m: float = 0.14, thickness_m: float = 0.14) -> pm.Timber:
    """Timber sold in 2.4 to 4.8 m."""
    stock = tuple(pm.Stock(length) for length in (2.4, 3.6, 4.8))
    return pm.Timber(course_m, thickness_m, 6.0, stock=stock)


def project_of(
    outline: Sequence[Point], readings: Sequence[tuple[float, float, float]], **parts: Any
) -> tuple[pm.Project, Ground]:
    """A project in its own frame, and its ground, from file coordinates.

    Args:
        outline: corners of the area.
        readings: x, y, level.
        parts: fields of ``Project`` in file coordinates (``brief``, ``timber``, ``houses``, ``paths``, ``steps``,
            ``fixed``, ``own_lines``, ``lot_lines``, ``edges``, ``access``).
    """
    frame = Frame.of_outline(outline)
    edges = parts.pop("edges", ())
    inward = {key: tuple(_moved(frame, thing) for thing in parts[key]) for key in PLACED if key in parts}
    points = [(*frame.inward((x, y)), z) for x, y, z in readings]
    source = pm.GroundSource(
        "points", tuple(pm.Reading(f"g{i}", (x, y), z, 0.01) for i, (x, y, z) in enumerate(points)), "level"
    )
    fields: dict[str, Any] = {
        "units": "metric", "name": "invented yard", "frame": frame, "ground": source,
        "area": pm.Area(tuple(frame.inward(p) for p in outline), tuple(edges)), "brief": pm.Brief(), "soil": SOIL,
        "rain": RAIN, "drain": pm.DrainWish(), "timber": timber(), "place": PLACE,
    }  # fmt: skip
    fields.update({**parts, **inward})
    return pm.Project(**fields), ground_of(points)


def ground_of(points: Sequence[tuple[float, float, float]]) -> Ground:
    """Ground over readings, without findings."""
    surface = build_surface(points)
    z = surface.points[:, 2]
    return Ground(surface, tuple(0.01 for _ in z), float(z.min()), float(z.max()), None, None, 0.02, ())


def _moved(frame: Frame, thing: Any) -> Any:
    changes: dict[str, Any] = {}
    for name in ("line_m", "outline_m", "downspouts_m"):
        if hasattr(thing, name):
            changes[name] = tuple(frame.inward(p) for p in getattr(thing, name))
    if getattr(thing, "point_m", None) is not None:
        changes["point_m"] = frame.inward(thing.point_m)
    return replace(thing, **changes)


def readings_over(
    outline: Sequence[Point], level: Callable[[float, float], float], step_m: float = 1.5, margin_m: float = 1.0
) -> list[tuple[float, float, float]]:
    """Readings on a grid over the outline and a margin round it, and at its corners."""
    xs, ys = zip(*outline, strict=True)
    grid_x = np.arange(min(xs) - margin_m, max(xs) + margin_m + step_m, step_m)
    grid_y = np.arange(min(ys) - margin_m, max(ys) + margin_m + step_m, step_m)
    points = [(float(x), float(y)) for x in grid_x for y in grid_y] + [(float(x), float(y)) for x, y in outline]
    return [(x, y, level(x, y)) for x, y in dict.fromkeys(points)]


def rectangle(**parts: Any) -> tuple[pm.Project, Ground]:
    """A plain 9 by 6 m slope of 20 %, three terraces."""
    outline = [(0.0, 0.0), (9.0, 0.0), (9.0, 6.0), (0.0, 6.0)]
    readings = readings_over(outline, lambda x, y: 100.0 + 0.2 * y + 0.01 * x)
    parts.setdefault("brief", pm.Brief(terraces=3))
    return project_of(outline, readings, **parts)


def ell(**parts: Any) -> tuple[pm.Project, Ground]:
    """An L-shaped garden falling along and across, a house at the back, steps wished, room for four terraces."""
    outline = [(0.0, 0.0), (9.3, 0.0), (13.95, 1.15), (14.0, 6.3), (7.8, 6.35), (7.5, 10.5), (-0.1, 9.8)]

    def level(x: float, y: float) -> float:
        return 100.3 + 0.17 * y + 0.012 * x + 0.1 * float(np.sin(0.5 * x)) + 0.004 * y * y

    readings = readings_over(outline, level)
    parts.setdefault("brief", pm.Brief(terraces=4))
    parts.setdefault("houses", (things.House("house", ((-0.5, 9.6), (8.0, 9.95), (8.0, 15.0), (-0.5, 15.0))),))
    parts.setdefault("steps", (things.StepsWish("steps", ((4.0, -1.0), (4.0, 9.0)), 1.05),))
    return project_of(outline, readings, **parts)
