"""Random yards with a spring above them and a drain that cuts it off: along a line, round a bend, or at one place."""

from __future__ import annotations

from dataclasses import replace
from math import dist

import numpy as np
import shapely

from lawbook.whole import Whole, whole
from lynchet.ground.surface import level_at
from lynchet.project.things import House, Spring
from random_yards import realistic


def sprung(seed: int) -> Whole:
    """A realistic yard, in metres or feet, with a spring 1 to 2.4 m outside the highest edge without a house."""
    project, ground = realistic(seed)
    rng = np.random.default_rng([seed, 23])
    ring = project.area.outline_m
    sides = [(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True) if dist(a, b) > 2.0]
    clear = [one for one in sides if all(_apart_m(one, house) > 2.5 for house in project.houses)]
    sides = clear or sides
    levels = [float(np.mean(level_at(ground.surface, [a, b], 0.5))) for a, b in sides]
    (ax, ay), (bx, by) = sides[int(np.nanargmax(levels))]
    long, out = dist((ax, ay), (bx, by)), float(rng.uniform(1.0, 2.0))
    nx, ny = (by - ay) / long, (ax - bx) / long  # the area is on the left
    shares = sorted(rng.uniform(0.0, 1.0, int(rng.integers(1, 4))).tolist())
    aside = rng.uniform(0.0, 0.4, len(shares)).tolist()
    line = tuple((ax + s * (bx - ax) + (out + more) * nx, ay + s * (by - ay) + (out + more) * ny)
                 for s, more in zip(shares, aside, strict=True))  # fmt: skip
    spring = Spring("spring", line, 0.05, cut_off=True)
    units = "us" if rng.random() < 0.5 else "metric"
    return whole(replace(project, springs=(spring,), units=units), ground)


def _apart_m(side: tuple[tuple[float, float], tuple[float, float]], house: House) -> float:
    return float(shapely.distance(shapely.LineString(side), shapely.Polygon(house.outline_m)))
