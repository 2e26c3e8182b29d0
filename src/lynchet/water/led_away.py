"""Water that must never enter a wall drain: springs in cut-off drains, roof water in pipes of its own."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import dist, inf

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.things import House, Spring
from lynchet.water.beside import CutOff, HouseCheck, RoofPipe
from lynchet.water.cut_off_stone import cut_off_finding, cut_off_stone
from lynchet.water.lying import Lying, Pipe, lying
from lynchet.water.model import Outlet, Point
from lynchet.water.ring import Ring
from lynchet.water.roof_water import roof_flow_l_s
from lynchet.water.tails import Tail, Tenant, daylight, look_ahead
from lynchet.water.yard import Yard

_CUT_OFF_DEPTH_M = 0.60
"""Depth of a cut-off drain under the ground at the spring. PRACTICE."""
_ROOF_DEPTH_M = 0.30
_AT_A_PLACE_M = 1.0
"""Pipe with holes, in stone, where a spring comes out at one place. PRACTICE."""
_REACH_M = 6.0
_NEAR_M = 3.0
_ASIDE_M = (0.0, 0.75, -0.75, 1.5, -1.5, 2.5, -2.5)


@dataclass(frozen=True)
class LedAway:
    """Pipes of their own, with their outlets and what was found."""

    cut_offs: tuple[CutOff, ...]
    roofs: tuple[RoofPipe, ...]
    outlets: tuple[Outlet, ...]
    checks: tuple[HouseCheck, ...]
    findings: tuple[Finding, ...]


Pipes = Sequence[Pipe]


def led_away(yard: Yard, ring: Ring, tenants: list[Tenant], laid: Pipes) -> LedAway:
    """Springs and downspouts, each to daylight of its own outside the walls.

    Args:
        yard: the earlier results.
        ring: the ring.
        tenants: pipes of the wall drains on it; roof and spring water may not join them.
        laid: pipes of the wall drains, wherever they lie: no way to the ring runs through one.
    """
    taken = [replace(tenant, joins=False) for tenant in tenants]
    before: list[Pipe] = [*laid]
    cut_offs, roofs, outlets = [], [], []
    checks: list[HouseCheck] = []
    findings: list[Finding] = []
    for spring in yard.project.springs:
        made = _cut_off(yard, ring, taken, spring, before) if spring.cut_off else None
        if made is None:
            findings.append(_spring_stop(spring))
        else:
            line = _along_spring(spring, made[0])
            cut = _in_stone(yard, line, made[0])
            wanted = sum(dist(a, b) for a, b in itertools.pairwise(line))
            cut_offs.append(cut)
            before.append(cut)
            outlets.append(made[1])
            taken.append(made[2])
            findings.append(cut_off_finding(cut, wanted, yard.settings, yard.project.units))
    for house in yard.project.houses:
        for number, spout in enumerate(house.downspouts_m, start=1):
            if yard.outline.distance(_dot(spout)) > _NEAR_M:
                continue
            pipe = _roof(yard, ring, taken, (house, number), before)
            checks.append(HouseCheck(house.name, 0, "roof water", f"downspout {number}", float(pipe is not None), 1.0,
                                     "", pipe is not None))  # fmt: skip
            findings.append(_roof_finding(yard, house, number, pipe is not None))
            if pipe is not None:
                roofs.append(pipe[0])
                before.append(pipe[0])
                outlets.append(pipe[1])
                taken.append(pipe[2])
    return LedAway(tuple(cut_offs), tuple(roofs), tuple(outlets), tuple(checks), tuple(findings))


def _dot(point: Point):  # type: ignore[no-untyped-def]
    from shapely.geometry import Point as Dot

    return Dot(point)


def _out(
    yard: Yard, ring: Ring, taken: list[Tenant], start: Point, invert_m: float, laid: Pipes
) -> tuple[Tail, tuple[Point, ...], tuple[float, ...]] | None:
    """The shortest way from a point outside along the ring to daylight, clear of what is laid."""
    s = yard.settings
    nearest = ring.nearest_m(start)
    others: Lying | None = None
    best: tuple[float, tuple[Tail, tuple[Point, ...], tuple[float, ...]]] | None = None
    for aside in _ASIDE_M:
        at = (nearest + aside) % ring.length_m
        stub = dist(start, ring.point_at(at))
        if stub > _REACH_M:
            continue
        for way in (1, -1):
            ahead, _ = look_ahead(ring, at, way, taken, s)
            for tail in daylight(ahead, invert_m - s.fall * stub, Tail(at, way, 0.0, 0.0, 0.0), s):
                if best is not None and stub + tail.length_m >= best[0] - 1e-6:
                    continue
                others = others or lying(laid)
                points, levels = _laid_back(ring, tail, start, invert_m, s.fall)
                if _stub_free(yard, points[:2], levels[:2]) and not others.meets(points, levels, _apart_m(yard)):
                    best = stub + tail.length_m, (tail, points, levels)
    return best[1] if best is not None else None


def _apart_m(yard: Yard) -> float:
    """Between the middles of two pipes at least."""
    return yard.settings.outside_m + yard.settings.clear_m


def _laid_back(
    ring: Ring, tail: Tail, start: Point, invert_m: float, fall: float
) -> tuple[tuple[Point, ...], tuple[float, ...]]:
    """A pipe from a point outside along a tail, laid back from its end to the ring, with its inverts."""
    points = [start, *ring.points_between(tail.r_m, tail.way, tail.length_m)]
    levels = [tail.end_invert_m]
    for a, b in zip(points[:0:-1], points[-2:0:-1], strict=False):
        levels.append(levels[-1] + fall * dist(a, b))
    return tuple(points), (invert_m, *reversed(levels))


def _stub_free(yard: Yard, ends_m: Sequence[Point], inverts_m: Sequence[float]) -> bool:
    """Whether a pipe can run straight to the ring: no timber, no house but its own in its way."""
    from shapely.geometry import LineString

    if dist(*ends_m) < 1e-6:
        return True
    line = LineString(ends_m)
    if yard.timber_near(line, min(inverts_m) - 0.2, max(inverts_m) + 0.3, yard.settings.radius_m):
        return False
    return bool(yard.houses.is_empty or line.intersection(yard.houses.buffer(-0.02)).length < 1e-9)


def _end(yard: Yard, name: str, points: tuple[Point, ...], inverts: tuple[float, ...], flow: float) -> Outlet:
    a, b = next((p, points[-1]) for p in reversed(points[:-1]) if dist(p, points[-1]) > 1e-6)
    length = dist(a, b)
    way = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    ground = float(yard.level_at([b])[0])
    return Outlet(f"{name}/outlet", "daylight", b, way, inverts[-1], ground, flow, (name,))


def _cut_off(
    yard: Yard, ring: Ring, taken: list[Tenant], spring: Spring, laid: Pipes
) -> tuple[CutOff, Outlet, Tenant] | None:
    """A drain along the spring's line, falling to its lower end, then out."""
    line = list(spring.line_m)
    levels = yard.level_at(line)
    if any(level != level for level in levels):
        return None
    if len(line) > 1 and levels[0] < levels[-1]:
        line, levels = line[::-1], levels[::-1]
    lengths = [dist(a, b) for a, b in itertools.pairwise(line)]
    low = float(min(levels)) - _CUT_OFF_DEPTH_M
    inverts = [low]
    for length in reversed(lengths):
        inverts.append(inverts[-1] + yard.settings.fall * length)
    inverts = inverts[::-1]
    if len(line) > 1 and lying(laid).meets(line, inverts, _apart_m(yard)):
        return None
    found = _out(yard, ring, taken, line[-1], low, laid)
    if found is None:
        return None
    tail, points, after = found
    name = f"spring/{spring.name}"
    flow = spring.flow_l_s or 0.0
    whole = (*line[:-1], *points), (*inverts[:-1], *after)
    outlet = _end(yard, name, *whole, flow)
    tenant = Tenant(name, tail.r_m, tail.way, tail.length_m, tail.needs_m, tail.end_invert_m, joins=False)
    s = yard.settings
    return CutOff(name, spring.name, *whole, flow, s.bore_m, s.outside_m, outlet.id), outlet, tenant


def _along_spring(spring: Spring, cut: CutOff) -> list[Point]:
    """Where the drain wants stone: along the spring, or the first of the pipe where it comes out at one place."""
    at_a_place = len(spring.line_m) == 1
    return _first_of(cut.points_m, _AT_A_PLACE_M) if at_a_place else list(cut.points_m[: len(spring.line_m)])


def _in_stone(yard: Yard, line: list[Point], cut: CutOff) -> CutOff:
    """The drain with its stone along a line, up to timber that lies over it."""
    return replace(cut, stone=cut_off_stone(cut, line, _surface_m(yard, line), yard.settings, partial(_timber_m, yard)))


def _timber_m(yard: Yard, outline: Sequence[Point], bottom_m: float, top_m: float) -> float:
    """Underside of the timber over an outline, between a bottom and a top; infinite where none lies."""
    from shapely.geometry import Polygon

    over = yard.timber_near(Polygon(outline), bottom_m, top_m, 0.0)
    return min((run.bottom_m for run in over), default=inf)


def _surface_m(yard: Yard, line: list[Point]) -> list[float]:
    """Levels stone may come up to, less its cover: of the ground, and of a bed that is cut into it."""
    from shapely import contains_xy

    grounds = yard.level_at(line)
    grounds[grounds != grounds] = grounds[0]
    for bed in yard.terraces.beds:
        inside = contains_xy(bed.polygon, line)
        grounds[inside] = grounds[inside].clip(max=bed.level_m)
    found: list[float] = grounds.tolist()
    return found


def _first_of(points: tuple[Point, ...], most_m: float) -> list[Point]:
    """A line as far as a length along it."""
    found = [points[0]]
    left = most_m
    for (ax, ay), (bx, by) in itertools.pairwise(points):
        long = dist((ax, ay), (bx, by))
        if long >= left:
            share = left / long
            return [*found, (ax + share * (bx - ax), ay + share * (by - ay))]
        found.append((bx, by))
        left -= long
    return found


def _spring_stop(spring: Spring) -> Finding:
    if not spring.cut_off:
        text = (
            f"Spring {spring.name}: ground water does not stop when the rain does. It needs a cut-off drain of its own "
            "above the walls, with its own outlet, before anything is built."
        )
        cures = (Cure("cut-off-drain", "set cut_off for this spring and walk where its outlet can lie"),)
    else:
        text = f"The cut-off drain of spring {spring.name} finds no way to an outlet of its own."
        cures = (Cure("cut-off-outlet", "move the cut-off drain to where it can run out beside the walls"),)
    return Finding(
        "water.spring", Verdict.STOP, text, spring.name, source="PRACTICE", cures=cures, withholds=("all",),
    )  # fmt: skip


def _roof(
    yard: Yard, ring: Ring, taken: list[Tenant], of: tuple[House, int], laid: Pipes
) -> tuple[RoofPipe, Outlet, Tenant] | None:
    """The pipe of a downspout, by its house and number from 1."""
    house, number = of
    spout = house.downspouts_m[number - 1]
    ground = float(yard.level_at([spout])[0])
    if ground != ground:
        return None
    found = _out(yard, ring, taken, spout, ground - _ROOF_DEPTH_M, laid)
    if found is None:
        return None
    tail, points, inverts = found
    s = yard.settings
    share = house.roof_area_m2 / len(house.downspouts_m)
    flow = float(roof_flow_l_s(1.0, yard.project.rain.intensity_mm_h, share))
    name = f"roof/{house.name}/{number}"
    outlet = _end(yard, name, points, inverts, flow)
    tenant = Tenant(name, tail.r_m, tail.way, tail.length_m, tail.needs_m, tail.end_invert_m, joins=False)
    return RoofPipe(name, house.name, points, inverts, flow, s.bore_m, s.outside_m, outlet.id), outlet, tenant


def _roof_finding(yard: Yard, house: House, number: int, found: bool) -> Finding:
    source = "separate roof leaders by local ordinance; PRACTICE"
    if found:
        text = (
            f"Roof water of {house.name}, downspout {number}, runs in a solid pipe of its own to its own outlet, never "
            "into a wall drain."
        )
        share = house.roof_area_m2 / len(house.downspouts_m)
        roof = {"area_m2": share, "runoff_coefficient": 1.0}
        given = (("areas", [roof]), ("intensity_mm_h", yard.project.rain.intensity_mm_h))
        return Finding("water.roof_pipe", Verdict.OK, text, house.name, source=source,
                       working=("rational_peak_flow", given) if share > 0 else None)  # fmt: skip
    text = (
        f"Downspout {number} of {house.name} pours near the beds, and no way for a pipe of its own was found along the "
        "outside. Lead it away on another side of the house: roof water never goes into a wall drain."
    )
    return Finding("water.roof_pipe", Verdict.WATCH, text, house.name, source=source)
