"""What cannot be a triangle net is refused here, with the point, triangle or line that is at fault."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lynchet.core.calculator import refuse, refuse_if
from lynchet.ground.net_overlay import cut_by_triangles, integrals, overlapping
from lynchet.ground.outlines import crosses, different_points, off_line, open_ring, same_place, sides_meet
from lynchet.ground.triangle_net import Edge, anticlockwise, delaunay, twice_areas

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
SAME_M = 1e-6
LEAST_M2 = 1e-9
OVERLAP_M2 = 1e-6


@dataclass(frozen=True)
class NetKeys:
    """Names of the arguments a net comes from, for errors."""

    points: str = "points"
    triangles: str = "triangles"
    break_lines: str = "break_lines"


def checked_net(
    points: Array,
    triangles: list[list[int]] | None,
    break_lines: list[list[int]] | None,
    keys: NetKeys,
) -> Indices:
    """The triangles given, or a Delaunay net held to the break lines; faults are refused.

    Args:
        points: (n, 3), near the origin.
        triangles: three point numbers each.
        break_lines: point numbers in order.
        keys: names for the errors.
    """
    count = len(points)
    refuse_if(count < 3, keys.points, f"{count} found", "three points or more")
    pair = same_place(points, SAME_M)
    if pair is not None:
        raise refuse(keys.points, f"duplicate plan place: points {pair[0]} and {pair[1]}", "more than 1e-6 m apart")
    refuse_if(off_line(points) <= SAME_M, keys.points, "all on one line", "points that span an area")
    beside = triangles is not None and break_lines is not None
    refuse_if(beside, keys.break_lines, "break lines beside triangles", "one of the two")
    if triangles is not None:
        return _checked_triangles(points, triangles, keys.triangles)
    return delaunay(points, _checked_edges(points, break_lines or [], keys.break_lines))


def checked_boundary(boundary: list[list[float]], origin: Array) -> Array:
    """Corners of a simple outline, shifted to the origin; faults are refused."""
    found = different_points(boundary) if boundary else 0
    refuse_if(found < 3, "boundary", f"{found} different corners found", "three or more")
    ring = open_ring(boundary) - origin
    refuse_if(off_line(ring) <= 1e-9, "boundary", "no area", "corners that enclose an area")
    refuse_if(sides_meet(ring), "boundary", "sides that cross or touch", "a simple outline")
    return ring


def _checked_triangles(points: Array, triangles: list[list[int]], key: str) -> Indices:
    refuse_if(not triangles, key, "none found", "one or more, as index triples")
    for number, triangle in enumerate(triangles):
        wrong = len(set(triangle)) < 3 or min(triangle) < 0 or max(triangle) >= len(points)
        accepted = f"three different index numbers, 0 to {len(points) - 1}"
        refuse_if(wrong, f"{key}[{number}]", f"{triangle} found", accepted)
    net = np.array(triangles, dtype=np.intp)
    flat = np.abs(twice_areas(points, net)) / 2.0 < LEAST_M2
    found = f"index {triangles[int(np.argmax(flat))]} makes no area"
    refuse_if(bool(flat.any()), f"{key}[{int(np.argmax(flat))}]", found, "1e-9 m2 or more in plan")
    net = anticlockwise(points, net)
    corners = points[net][..., :2]
    one, two = overlapping(corners, corners)
    one, two = one[one < two], two[one < two]
    pieces, pairs = cut_by_triangles(corners[one], corners[two])
    for pair in pairs[integrals(pieces)[0] > OVERLAP_M2].tolist():
        raise refuse(key, f"triangles {one[pair]} and {two[pair]} overlap", "no common area")
    return net


def _checked_edges(points: Array, lines: list[list[int]], key: str) -> list[Edge]:
    """Edges of the break lines, each once."""
    edges: dict[Edge, None] = {}
    for number, line in enumerate(lines):
        where = f"{key}[{number}]"
        refuse_if(len(line) < 2, where, f"a break line of {len(line)} numbers", "two or more")
        out = min(line) < 0 or max(line) >= len(points)
        refuse_if(out, where, f"break line {line}", f"point numbers from 0 to {len(points) - 1}")
        twice = any(a == b for a, b in pairwise(line))
        refuse_if(twice, where, f"break line {line}", "no number twice running")
        edges |= {(min(pair), max(pair)): None for pair in pairwise(line)}
    plan = points[:, :2]
    for a, b in edges:
        near = _distance_of_points(plan, plan[a], plan[b])
        near[[a, b]] = np.inf
        found = f"the break line from {a} to {b} runs through point {int(np.argmin(near))}"
        refuse_if(bool(near.min() <= SAME_M), key, found, "naming every point it runs through")
    ends = np.array(list(edges), dtype=np.intp).reshape(-1, 2)
    for number, (a, b) in enumerate(edges):
        cut = crosses(plan[a], plan[b], plan[ends[:number, 0]], plan[ends[:number, 1]])
        refuse_if(bool(cut.any()), key, f"break lines that cross, one from {a} to {b}", "a point where lines meet")
    return list(edges)


def _distance_of_points(plan: Array, start: Array, end: Array) -> Array:
    """Distance of every point from one segment."""
    along = end - start
    share = np.clip(((plan - start) @ along) / float(along @ along), 0.0, 1.0)
    return np.asarray(np.hypot(*(plan - start - share[:, None] * along).T), dtype=float)
