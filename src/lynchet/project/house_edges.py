"""Edges of the area at which a house is said to stand: there is one, and it stands there."""

from __future__ import annotations

from itertools import pairwise

from lynchet.core.plane import Point, distance_to_segment, segments_cross
from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.model import Area, House
from lynchet.project.polygons import outside_m
from lynchet.units.format import length

NEAR_M = 1.0
"""Further from its edge a house is another house, or drawn elsewhere. PRACTICE."""


def check_house_edges(got: Got, area: Area, houses: tuple[House, ...], faults: Faults) -> None:
    """A fault for each edge with finish "house" near which the file has no house: its siding could not be kept dry.

    Args:
        got: the table of the area.
        area: as built from it.
        houses: of the file.
        faults: keeps what is wrong.
    """
    count = len(area.outline_m)
    for row in got["edges"]:
        edge = row["from"]
        if row["finish"] != "house" or edge is None or edge >= count:
            continue
        ends = area.outline_m[edge], area.outline_m[(edge + 1) % count]
        off = min((_apart_m(ends, house.outline_m) for house in houses if house.outline_m), default=None)
        accepted = "a [[house]] whose outline touches this edge, or another finish"
        if not houses:
            faults.add(row.at("finish"), "a house at this edge, and the file has no [[house]]", accepted)
        elif off is not None and off > NEAR_M:
            found = f"the nearest [[house]] stands {length(off, faults.system, 2)} from this edge"
            faults.add(row.at("finish"), found, accepted)


def _apart_m(ends: tuple[Point, Point], outline: tuple[Point, ...]) -> float:
    """Distance of an edge from a house; 0 where they meet."""
    sides = list(pairwise((*outline, outline[0])))
    if any(segments_cross(*ends, *side) is not None for side in sides) or outside_m(ends[0], outline) == 0.0:
        return 0.0
    return min(
        *(distance_to_segment(corner, *ends) for corner in outline),
        *(distance_to_segment(end, *side) for end in ends for side in sides),
    )
