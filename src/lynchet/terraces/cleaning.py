"""Cleaning the area: narrow strips, jogs and sharp corners that no timber can follow are left as ground.

Always all three, in a loop until nothing changes, because each makes cases for the others. Every change is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import asin, degrees, dist
from typing import Any

import numpy as np

from lynchet.core.findings import Finding, Verdict
from lynchet.core.plane import Point, between, cross, distance_to_segment, dot, minus, move, signed_area, unit
from lynchet.project.model import Project
from lynchet.terraces.area import RingEdge, Source, tagged_rings, with_house_touch
from lynchet.terraces.model import HOUSE, OUTSIDE
from lynchet.units.format import area as area_text
from lynchet.units.format import length as length_text

STRIP_M = 0.6
"""Strips narrower than this are left as ground. PRACTICE."""
SHORT_EDGE_M = 0.35
STRAIGHT_M = 1e-3
SHARP_DEG = 45.0
"""Corners sharper than this are cut. Measured on random yards."""
BLUNT_M = 0.6
_ROUNDING_M = 1e-6
MITRE_COS = 0.707
"""Of a bend of 45 degrees, with as much to spare as points are rounded by: walls are mitred there and at lesser ones,
however the yard lies."""
_ROOM_MOST_M = 0.55
"""Under ``BLUNT_M``, so that no edge that cuts off a corner is straightened again."""
_ROUNDS = 60
_SHARP = 2.0
"""Turn, in radians, up to which a corner is plainly not sharp."""
_SURE_M = 0.05
"""Room over the bare need where an outline plainly has no narrow place."""


def cleaned(project: Project, polygon: Any, sources: list[Source]) -> tuple[list[list[RingEdge]], list[Finding]]:
    """Rings of the area fit to build along.

    Args:
        project: for the edge rules, houses and units.
        polygon: the raw area (shapely).
        sources: lines its edges come from.

    Returns:
        Rings with the area on the left of every edge; what was changed.
    """
    opened, findings = _without_strips(project, polygon)
    rings = []
    for raw in tagged_rings(opened, sources):
        ring = _named(with_house_touch(_drop_straight(raw, project), project))
        ring, notes = _settled(ring, project)
        findings += notes
        if len(ring) >= 3 and abs(signed_area([edge.start for edge in ring])) > STRIP_M**2:
            rings.append(_rounded(ring))
    return rings, findings


def _rounded(ring: list[RingEdge]) -> list[RingEdge]:
    return [RingEdge((round(e.start[0], 5) + 0.0, round(e.start[1], 5) + 0.0), e.tag, e.outer) for e in ring]


def _without_strips(project: Project, polygon: Any) -> tuple[Any, list[Finding]]:
    """The area opened by half a strip's width with mitred corners, so that edges come back where they were."""
    if _wide_all_over(polygon):
        return polygon, []
    return _opened(project, polygon)


def _opened(project: Project, polygon: Any) -> tuple[Any, list[Finding]]:
    """The same worked out, also where nothing is narrow."""
    import shapely

    half = STRIP_M / 2
    shrunk = polygon.buffer(-half, join_style="mitre", mitre_limit=10.0)
    grown = _solid(shapely.buffer(shrunk, half, join_style="mitre", mitre_limit=10.0))
    opened = _solid(shapely.intersection(grown, polygon, grid_size=1e-5))
    necks = _necks(polygon, half)
    if necks:
        opened = shapely.difference(opened, shapely.union_all(necks, grid_size=1e-5), grid_size=1e-5)
    lost = polygon.area - opened.area
    if lost < 0.01:
        return polygon if lost < 1e-4 else opened, []
    text = (
        f"Strips narrower than {length_text(STRIP_M, project.units)} ({area_text(lost, project.units)} in all) are "
        "left as they are; no bed fits there."
    )
    return opened, [Finding("terraces.narrow_strip", Verdict.WATCH, text, "area")]


def _wide_all_over(polygon: Any) -> bool:
    """Whether an outline plainly has no narrow place, so that opening it would give it back as it is.

    So it is where no corner comes near a side it does not belong to, none is sharp, and no side is so short that the
    strips along its neighbours cut it off. Only outlines on the micrometre: the opening moves others.
    """
    import shapely

    if polygon.geom_type != "Polygon" or polygon.interiors or polygon.is_empty:
        return False
    points = shapely.get_coordinates(shapely.orient_polygons(polygon))[:-1]
    count = len(points)
    if count < 4 or np.abs(points - np.round(points, 6)).max() > 1e-9:
        return False
    way = np.roll(points, -1, axis=0) - points
    length = np.hypot(way[:, 0], way[:, 1])
    before = np.roll(way, 1, axis=0)
    turn = np.arctan2(before[:, 0] * way[:, 1] - before[:, 1] * way[:, 0], (before * way).sum(axis=1))
    cut = STRIP_M / 2 * np.tan(np.clip(turn, 0.0, _SHARP) / 2)
    if np.abs(turn).max() > _SHARP or (length - cut - np.roll(cut, -1)).min() < _SURE_M:
        return False
    apart = points[:, None, :] - points[None, :, :]
    share = np.clip((apart * way).sum(axis=2) / length**2, 0.0, 1.0)
    away = apart - share[..., None] * way
    gap = np.hypot(away[..., 0], away[..., 1])
    own = np.arange(count)
    gap[own, own] = gap[own, own - 1] = np.inf
    return bool(gap.min() > STRIP_M + _SURE_M)


def _solid(shape: Any) -> Any:
    """The polygons of a shape, mended where a mitred buffer came out crossed."""
    import shapely

    whole = shape if shapely.is_valid(shape) else shapely.make_valid(shape)
    parts = [part for part in shapely.get_parts(whole) if part.geom_type == "Polygon"]
    parts += [p for group in shapely.get_parts(whole) if group.geom_type == "MultiPolygon" for p in group.geoms]
    return shapely.union_all(parts, grid_size=1e-5)


def _necks(polygon: Any, half: float) -> list[Any]:
    """Narrow places between two parts of the boundary, as rectangles.

    Mitred dilation closes over a neck again, so they are found with round joins: what a round opening takes away and
    what touches the boundary in two places.
    """
    import shapely

    opened = polygon.buffer(-half, quad_segs=4).buffer(half * 1.02, quad_segs=4)
    boundary = polygon.boundary
    found: list[Any] = []
    beside = boundary.buffer(1e-4)
    for crumb in shapely.get_parts(shapely.difference(polygon, opened, grid_size=1e-5)):
        if crumb.geom_type != "Polygon" or crumb.area < 1e-4:
            continue
        touch = shapely.line_merge(shapely.intersection(crumb.boundary, beside, grid_size=1e-6))
        if len(shapely.get_parts(touch)) > 1 or len(crumb.interiors):
            found.append(shapely.oriented_envelope(crumb).buffer(1e-3, join_style="mitre"))
    return found + _near_corners(polygon, half)


def _near_corners(polygon: Any, half: float) -> list[Any]:
    """Gaps between a hollow corner and another part of the boundary that a disc still slips past, as rectangles."""
    import shapely

    if polygon.is_empty:
        return []
    edges: list[tuple[Point, Point]] = []
    hollow: list[tuple[Point, Sequence[Point]]] = []
    for part in shapely.get_parts(polygon):
        part = shapely.orient_polygons(part)
        for ring in (part.exterior, *part.interiors):
            points = [(float(x), float(y)) for x, y in ring.coords[:-1]]
            edges += zip(points, [*points[1:], points[0]], strict=True)
            for i, b in enumerate(points):
                near = [points[(i + k) % len(points)] for k in (-1, 0, 1)]
                if cross(minus(b, near[0]), minus(near[2], b)) < -1e-6:
                    hollow.append((b, near))
    found = []
    for corner, beside in hollow:
        for a, b in edges:
            wide = distance_to_segment(corner, a, b)
            if a in beside or b in beside or not 1e-3 < wide < 2 * half - 1e-3:
                continue
            gap = shapely.shortest_line(shapely.Point(corner), shapely.LineString([a, b]))
            # its end on the far edge lies off the polygon by rounding as often as not
            if polygon.contains(gap.centroid) and shapely.difference(gap, polygon).length < _ROUNDING_M:
                found.append(gap.buffer(half / 2, cap_style="square"))
    return found


def _named(ring: list[RingEdge]) -> list[RingEdge]:
    """Edges that lie on no line of the file get a name from their neighbours."""
    out = []
    for i, edge in enumerate(ring):
        tag = edge.tag or f"C{_neighbour(ring, i, -1)}{_neighbour(ring, i, 1)}"
        out.append(RingEdge(edge.start, tag, edge.outer))
    return out


def _neighbour(ring: list[RingEdge], index: int, way: int) -> str:
    for step in range(1, len(ring)):
        tag = ring[(index + way * step) % len(ring)].tag
        if tag and tag[0] != "C":
            return tag
    return "X"


def _settled(ring: list[RingEdge], project: Project) -> tuple[list[RingEdge], list[Finding]]:
    findings: list[Finding] = []
    for _ in range(_ROUNDS):
        before = ring
        ring = _drop_straight(ring, project)
        if len(ring) < 3:
            return [], findings
        ring, note = _drop_short(ring, project)
        if not note:
            ring, note = _blunt_one(ring, project)
        findings += note
        if not note and len(ring) == len(before):
            break
    return ring, findings


def _same_rule(first: RingEdge, second: RingEdge, project: Project) -> bool:
    """True where two edges in one line may be one wall."""
    if first.outer != second.outer:
        return False
    if first.tag == second.tag or "" in (first.tag, second.tag):
        return True
    rules = [project.area.rule(int(edge.tag[1:])) for edge in (first, second) if edge.tag[0] == "A"]
    return len(rules) < 2 or (rules[0].finish, rules[0].width_m, rules[0].dig_beyond_m) == (
        rules[1].finish,
        rules[1].width_m,
        rules[1].dig_beyond_m,
    )


def _drop_straight(ring: list[RingEdge], project: Project) -> list[RingEdge]:
    """Vertices within a millimetre of straight left out; the longer of the two edges gives the name."""
    out = list(ring)
    index = 0
    while index < len(out) and len(out) >= 3:
        before, edge, after = out[index - 1], out[index], out[(index + 1) % len(out)]
        a, b, c = before.start, edge.start, after.start
        span = dist(a, c)
        near = dist(a, b) < 1e-4 or dist(b, c) < 1e-4
        straight = span > 0 and abs(cross(minus(b, a), minus(c, a))) / span < STRAIGHT_M
        ahead = dot(minus(b, a), minus(c, b)) > 0
        spike = straight and not ahead and not near
        if near or spike or (straight and ahead and _same_rule(before, edge, project)):
            longer = before if dist(a, b) >= dist(b, c) else edge
            out[index - 1] = RingEdge(a, longer.tag, longer.outer)
            del out[index]
            index = max(0, index - 2)
        else:
            index += 1
    return out


def _drop_short(ring: list[RingEdge], project: Project) -> tuple[list[RingEdge], list[Finding]]:
    """The shortest edge under its limit loses the end that matters less, rather inside than outside the area."""
    lengths = [dist(edge.start, ring[(i + 1) % len(ring)].start) for i, edge in enumerate(ring)]
    short = [i for i, length in enumerate(lengths) if length < _ROOM_MOST_M and length < _room_m(ring, i, project)]
    if not short or len(ring) <= 3:
        return ring, []
    index = min(short, key=lambda i: (lengths[i], i))
    ends = [index, (index + 1) % len(ring)]
    gain = {i: _turn_area(ring, i) for i in ends}  # over 0: the corner sticks out, dropping it keeps inside the area
    drop = min(ends, key=lambda i: (abs(gain[i]) if gain[i] > 0 else 3.0 * abs(gain[i]), i))
    keep = ring[drop - 1] if lengths[drop - 1] >= lengths[drop] else ring[drop]
    out = list(ring)
    out[drop - 1] = RingEdge(ring[drop - 1].start, keep.tag, keep.outer)
    del out[drop]
    size = length_text(lengths[index], project.units)
    text = f"A jog of {size} in the edge {ring[index].tag} is straightened: " + (
        "a wall cannot follow it." if lengths[index] < SHORT_EDGE_M else "two walls cannot end so near each other."
    )
    return out, [Finding("terraces.jog", Verdict.WATCH, text, ring[index].tag)]


def _room_m(ring: list[RingEdge], index: int, project: Project) -> float:
    """Least length of an edge. Where it may be without a wall, the walls at both its ends run on to its line, each by
    its thickness over the sine of the angle; at lesser bends they are mitred, and do not."""
    edge, after = ring[index], ring[(index + 1) % len(ring)]
    if edge.tag[0] in "PF" or _finish(edge, project) == "wall":
        return SHORT_EDGE_M
    if {_finish(beside, project) for beside in (ring[index - 1], after)} & {"open", "house"}:
        return SHORT_EDGE_M
    marks = [one.start for one in (ring[index - 1], edge, after, ring[(index + 2) % len(ring)])]
    ways = [unit(minus(b, a)) for a, b in pairwise(marks)]
    turns = [(cross(a, b), dot(a, b)) for a, b in pairwise(ways)]
    if any(sine <= 0.0 or cosine > MITRE_COS for sine, cosine in turns):
        return SHORT_EDGE_M
    return min(max(SHORT_EDGE_M, sum(project.timber.thickness_m / sine for sine, _ in turns)), _ROOM_MOST_M)


def _finish(edge: RingEdge, project: Project) -> str:
    """How an edge of the file ends; empty where it is none, and a wall stands as the levels ask."""
    if edge.outer == HOUSE:
        return "house"
    return project.area.rule(int(edge.tag[1:])).finish if edge.tag[0] == "A" else ""


def _turn_area(ring: list[RingEdge], index: int) -> float:
    a, b, c = ring[index - 1].start, ring[index].start, ring[(index + 1) % len(ring)].start
    return 0.5 * cross(minus(b, a), minus(c, b))


def _blunt_one(ring: list[RingEdge], project: Project) -> tuple[list[RingEdge], list[Finding]]:
    """The first corner sharper than the limit cut off where the area is wide enough."""
    for i, edge in enumerate(ring):
        before, after = ring[i - 1], ring[(i + 1) % len(ring)]
        back, on = unit(minus(before.start, edge.start)), unit(minus(after.start, edge.start))
        turn = cross(on, back)
        opening = degrees(asin(max(-1.0, min(1.0, abs(turn)))))
        if dot(back, on) <= 0 or opening >= SHARP_DEG or turn <= 0:
            continue
        reach = BLUNT_M / 2 / max(1e-6, ((1 - dot(back, on)) / 2) ** 0.5)
        back_m, on_m = dist(before.start, edge.start), dist(after.start, edge.start)
        out = list(ring)
        name = f"C{before.tag}{edge.tag}" if "C" not in before.tag + edge.tag else before.tag
        if reach > min(back_m, on_m) - SHORT_EDGE_M:  # the whole shorter edge goes
            del out[i]
            if back_m < on_m:
                out[i - 1] = RingEdge(before.start, edge.tag, edge.outer)
        else:
            out[i : i + 1] = [
                RingEdge(move(edge.start, back, reach), name, OUTSIDE),
                RingEdge(move(edge.start, on, reach), edge.tag, edge.outer),
            ]
        text = (
            f"The corner of {opening:.0f} degrees between {before.tag} and {edge.tag} is cut where it is "
            f"{length_text(BLUNT_M, project.units)} wide: timber cannot be lapped in so sharp a corner."
        )
        return out, [Finding("terraces.sharp_corner", Verdict.WATCH, text, f"{before.tag} {edge.tag}")]
    return ring, []


def middle(edge: RingEdge, after: RingEdge) -> Point:
    """Middle of an edge."""
    return between(edge.start, after.start, 0.5)
