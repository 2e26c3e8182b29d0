"""Water that must never enter a wall drain: springs in cut-off drains, roof water in pipes of its own."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import dist, inf

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.project.model import Area
from lynchet.project.things import House, Spring
from lynchet.units.format import length
from lynchet.water.aprons import apron_of
from lynchet.water.beside import CutOff, HouseCheck, RoofPipe
from lynchet.water.cut_off_stone import cut_off_finding, cut_off_stone
from lynchet.water.led_out import Way, WaysOut, apart_m
from lynchet.water.lying import lying
from lynchet.water.model import Outlet, Point
from lynchet.water.outlet_checks import OF_SPRING, mound_finding
from lynchet.water.roof_water import roof_flow_l_s
from lynchet.water.routes import Pipe
from lynchet.water.yard import Yard

SPRING_CODE, CUT_OFF = "water.spring", "cut-off-drain"
_INSIDE = (
    " The water comes out on the ground to be terraced: a drain there lies under beds, and finds its way out only "
    "where no wall stands in it. Else let the area end short of it (`inset` of an edge), or catch the water further up "
    "and draw the line of the [[spring]] there."
)
_CUT_OFF_DEPTH_M = 0.60
"""Depth of a cut-off drain under the ground at the spring. PRACTICE."""
_ROOF_DEPTH_M = 0.30
_AT_A_PLACE_M = 1.0
"""Pipe with holes, in stone, where a spring comes out at one place. PRACTICE."""
_NEXT_M = 0.3
"""No shorter stretch of other pipe follows."""
_NEAR_M = 3.0


@dataclass(frozen=True)
class LedAway:
    """Pipes of their own, with their outlets and what was found."""

    cut_offs: tuple[CutOff, ...]
    roofs: tuple[RoofPipe, ...]
    outlets: tuple[Outlet, ...]
    checks: tuple[HouseCheck, ...]
    findings: tuple[Finding, ...]


def led_away(ways: WaysOut) -> LedAway:
    """Springs and downspouts, each to daylight of its own outside the walls.

    Args:
        ways: with the pipes of the wall drains; roof and spring water may not join them.
    """
    yard = ways.yard
    cut_offs, roofs, outlets = [], [], []
    checks: list[HouseCheck] = []
    findings: list[Finding] = []
    for number, spring in enumerate(yard.project.springs, start=1):
        made = _cut_off(ways, spring) if spring.cut_off else None
        if made is None:
            findings.append(_no_way(ways, spring) if spring.cut_off else _spring_stop(yard, spring, number))
            continue
        cut, outlet, way = made
        cut = _in_stone(way.lane.yard, cut)
        wanted = sum(dist(a, b) for a, b in itertools.pairwise(cut.holed_points_m))
        ways.keep(way, cut)
        cut_offs.append(cut)
        outlets.append(outlet)
        findings += [cut_off_finding(cut, wanted, yard.settings, yard.project.units), *_way_findings(yard, way, outlet)]
    for house in yard.project.houses:
        for number, spout in enumerate(house.downspouts_m, start=1):
            if yard.outline.distance(_dot(spout)) > _NEAR_M:
                continue
            pipe = _roof(ways, house, number)
            checks.append(HouseCheck(house.name, 0, "roof water", f"downspout {number}", float(pipe is not None), 1.0,
                                     "", pipe is not None))  # fmt: skip
            findings.append(_roof_finding(ways, house, number, pipe is not None))
            if pipe is not None:
                ways.keep(pipe[2], pipe[0])
                roofs.append(pipe[0])
                outlets.append(pipe[1])
                findings += _way_findings(yard, pipe[2], pipe[1])
    return LedAway(tuple(cut_offs), tuple(roofs), tuple(outlets), tuple(checks), tuple(findings))


def _dot(point: Point):  # type: ignore[no-untyped-def]
    from shapely.geometry import Point as Dot

    return Dot(point)


def _end(yard: Yard, name: str, points: tuple[Point, ...], inverts: tuple[float, ...], flow: float) -> Outlet:
    """Where a pipe of spring or roof water pours: on a stone apron, as a drain's."""
    a, b = next((p, points[-1]) for p in reversed(points[:-1]) if dist(p, points[-1]) > 1e-6)
    length = dist(a, b)
    way = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    ground = float(yard.level_at([b])[0])
    apron = apron_of(Pipe(name, (a, b), inverts[-2:]), yard.settings) if ground == ground else ()
    return Outlet(f"{name}/outlet", "daylight", b, way, inverts[-1], ground, flow, (name,), apron)


def _cut_off(ways: WaysOut, spring: Spring) -> tuple[CutOff, Outlet, Way] | None:
    """A drain along the spring's line, falling to its lower end, then out."""
    yard = ways.yard
    line, low = _low_end(yard, spring)
    if low != low:
        return None
    way = ways.found(line, low)
    if way is None:
        return None
    inverts = _rising_back(line, low, way.fall)
    if _wall_in(yard, line, inverts) or (len(line) > 1 and lying(ways.laid).meets(line, inverts, apart_m(yard))):
        return None
    name = f"{OF_SPRING}{spring.name}"
    flow = spring.flow_l_s or 0.0
    points, levels = (*line[:-1], *way.points_m), (*inverts[:-1], *way.inverts_m)
    outlet = _end(yard, name, points, levels, flow)
    holed = len(line)
    if holed == 1:
        points, levels, holed = _with_place(points, levels)
    s = yard.settings
    return CutOff(name, spring.name, points, levels, flow, s.bore_m, s.outside_m, outlet.id, holed), outlet, way


def _rising_back(line: Sequence[Point], low_m: float, fall: float) -> list[float]:
    """Inverts along a spring's line, from the one at its lower end back."""
    inverts = [low_m]
    for a, b in zip(line[:0:-1], line[-2::-1], strict=True):
        inverts.append(inverts[-1] + fall * dist(a, b))
    return inverts[::-1]


def _wall_in(yard: Yard, line: Sequence[Point], inverts: Sequence[float]) -> str:
    """A wall whose timber a pipe along a spring's line would meet at its level; empty where there is none."""
    import shapely

    s = yard.settings
    for (a, b), (start, end) in zip(itertools.pairwise(line), itertools.pairwise(inverts), strict=True):
        pipe, low, high = shapely.LineString([a, b]), min(start, end) - s.wall_m, max(start, end)
        for run in yard.timber_near(pipe, low, high - s.wall_m + s.outside_m, s.radius_m):
            beside = shapely.get_coordinates(pipe.intersection(run.polygon.buffer(s.radius_m)))
            bottoms = [start + dist(a, at) / dist(a, b) * (end - start) - s.wall_m for at in beside]
            if bottoms and min(bottoms) < run.top_m and max(bottoms) + s.outside_m > run.bottom_m:
                return run.leg
    return ""


def _with_place(points: Sequence[Point], levels: Sequence[float]) -> tuple[tuple[Point, ...], tuple[float, ...], int]:
    """A pipe from a spring that comes out at one place, with a point where its stone and its holes end, and how many
    points lead up to there; the next corner where that comes sooner."""
    long = dist(points[0], points[1])
    if long <= _AT_A_PLACE_M + _NEXT_M:
        return tuple(points), tuple(levels), 2
    share = _AT_A_PLACE_M / long
    (ax, ay), (bx, by) = points[:2]
    at = ax + share * (bx - ax), ay + share * (by - ay)
    level = levels[0] + share * (levels[1] - levels[0])
    return (points[0], at, *points[1:]), (levels[0], level, *levels[1:]), 2


def _low_end(yard: Yard, spring: Spring) -> tuple[list[Point], float]:
    """The spring's line toward its lower end, and the invert there; NaN where the ground was not measured."""
    line = list(spring.line_m)
    levels = yard.level_at(line)
    if len(line) > 1 and levels[0] < levels[-1]:
        line = line[::-1]
    return line, float(levels.min()) - _CUT_OFF_DEPTH_M


def _in_stone(yard: Yard, cut: CutOff) -> CutOff:
    """The drain with its stone along its part with holes, up to timber that lies over it."""
    line = list(cut.holed_points_m)
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


def inside(area: Area, spring: Spring) -> bool:
    """Whether a spring comes out on the ground to be terraced, in part at least."""
    from shapely.geometry import LineString, Polygon

    shape = LineString(spring.line_m) if len(spring.line_m) > 1 else _dot(spring.line_m[0])
    return bool(shape.intersects(Polygon(area.outline_m)))


def _spring_stop(yard: Yard, spring: Spring, number: int) -> Finding:
    text = (
        f"Spring {spring.name}: ground water does not stop when the rain does. It needs a cut-off drain of its own "
        "above the walls, with its own outlet, before anything is built (`cut_off = true` under its [[spring]])."
    )
    if inside(yard.project.area, spring):
        return Finding("water.spring", Verdict.STOP, text + _INSIDE, spring.name, source="PRACTICE", withholds=("all",))
    done = f"a cut-off drain above the walls takes the water of {spring.name} to an outlet of its own"
    cure = Cure(CUT_OFF, done, ((f"spring.{number}.cut_off", True),))
    return Finding("water.spring", Verdict.STOP, text, spring.name, source="PRACTICE", cures=(cure,),
                   withholds=("all",))  # fmt: skip


def _no_way(ways: WaysOut, spring: Spring) -> Finding:
    """Why a cut-off drain that is wished is not laid, and what could be done."""
    line, low = _low_end(ways.yard, spring)
    why = _why_not(ways, line, low)
    text = f"The cut-off drain of spring {spring.name} finds no way to an outlet of its own: {why}."
    text += _INSIDE if inside(ways.yard.project.area, spring) else ""
    return Finding("water.spring", Verdict.STOP, text, spring.name, source="PRACTICE", withholds=("all",))


def _why_not(ways: WaysOut, line: Sequence[Point], invert_m: float) -> str:
    """What keeps a pipe that starts at the end of a line from daylight, with what could be done about it."""
    yard = ways.yard
    units, lowest, drop = yard.project.units, ways.lowest_m(), yard.settings.drop_m
    if invert_m != invert_m:
        return "the ground there was not measured: take levels along it"
    if len(line) > 1 and any(yard.houses.intersects(_dot(point)) for point in line):
        return "it is drawn under a building: draw it where the water comes out of the ground"
    if wall := _wall_in(yard, line, _rising_back(line, invert_m, yard.settings.fall)):
        return (
            f"timber of wall {wall} stands in the line where the water comes out: draw that line clear of walls, or "
            "end the wall sooner"
        )
    if lowest < inf and invert_m < lowest + drop:
        return (
            f"it would start at level {length(invert_m, units)}, the lowest measured ground round the beds where water "
            f"may come out lies at {length(lowest, units)}, and it must lie {length(drop, units)} lower than the pipe: "
            "measure lower ground, or ask a drainage engineer about a pump or a soakaway away from the walls"
        )
    return (
        "pipes, buildings, roots, lot lines or paths lie in every way tried, or the ground falls too little along it: "
        "a lower end beside the walls, with lower ground before it, is easier to lead away"
    )


def _way_findings(yard: Yard, way: Way, outlet: Outlet) -> list[Finding]:
    """What a way asks of those who lay it: earth over its end, a level for a small fall."""
    units = yard.project.units
    found = [mound_finding(outlet.id, yard.settings, units)] if way.tail.mound else []
    if way.fall < yard.settings.fall:
        text = (
            f"The pipe to outlet {outlet.id} only finds its way at a fall of 1 in {round(1 / way.fall)}: set it out "
            "with a laser or a long level, and rinse it each spring."
        )
        found.append(Finding("water.gentle_pipe", Verdict.WATCH, text, outlet.id, source="PRACTICE"))
    return found


def _roof(ways: WaysOut, house: House, number: int) -> tuple[RoofPipe, Outlet, Way] | None:
    """The pipe of a downspout, by its number from 1."""
    yard, spout = ways.yard, house.downspouts_m[number - 1]
    ground = float(yard.level_at([spout])[0])
    way = ways.found([spout], ground - _ROOF_DEPTH_M) if ground == ground else None
    if way is None:
        return None
    s = yard.settings
    share = house.roof_area_m2 / len(house.downspouts_m)
    flow = float(roof_flow_l_s(1.0, yard.project.rain.intensity_mm_h, share))
    name = f"roof/{house.name}/{number}"
    outlet = _end(yard, name, way.points_m, way.inverts_m, flow)
    return RoofPipe(name, house.name, way.points_m, way.inverts_m, flow, s.bore_m, s.outside_m, outlet.id), outlet, way


def _roof_finding(ways: WaysOut, house: House, number: int, found: bool) -> Finding:
    yard, spout = ways.yard, house.downspouts_m[number - 1]
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
        f"Downspout {number} of {house.name} pours near the beds, and no way for a pipe of its own was found: "
        f"{_why_not(ways, [spout], float(yard.level_at([spout])[0]) - _ROOF_DEPTH_M)}. Or lead it away on another side "
        "of the house: roof water never goes into a wall drain."
    )
    return Finding("water.roof_pipe", Verdict.WATCH, text, house.name, source=source)
