"""Walls over things found in their trench: the base steps up over rock, or bridges a root or a pipe."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lynchet.core.findings import Finding, Verdict
from lynchet.core.intervals import Interval
from lynchet.core.standing import Standing
from lynchet.ground.model import Surface
from lynchet.ground.surface import level_at
from lynchet.project.model import Project
from lynchet.project.so_far import Found
from lynchet.terraces.model import Lattice, Point
from lynchet.units.format import length, small
from lynchet.walls.model import Leg, Node, Segment
from lynchet.walls.pads import pads_of, windows
from lynchet.walls.seen import FROM_LEFT, Seen

OVER_M = {"step up": 0.025, "bridge": 0.05}
"""Left between a thing and the timber over it: bedding on rock, room to move over a root or a pipe. PRACTICE."""
BESIDE_M = 0.15
"""How far the raised base reaches past a thing on both sides. PRACTICE."""
BRIDGE_M = 1.2
"""The widest bridge that a course carries by itself, its ends bedded. PRACTICE."""
LEAST_TREAD_M = 0.3
STEP_M = 0.25
"""The ground over what is long is looked at so often."""


@dataclass(frozen=True)
class Over:
    """How a wall passes over a thing, or why it cannot."""

    found: Found
    leg: str
    courses: int
    """Courses left out under it; 0 where it cannot be done."""
    start_m: float
    end_m: float
    why: str = ""


def top_of(found: Found, surface: Surface, near: Any = None) -> float:
    """Level of the top of a thing found: the highest ground over it less its depth, so that no part is missed.

    What is long follows the ground, for its depth is told from there: of it, what lies near an outline counts. Off the
    measured ground that of the nearest edge.
    """
    points = found.line_m
    if near is not None and len(points) > 1:
        import shapely

        part: Any = shapely.intersection(shapely.LineString(points), near.buffer(max(0.01, 0.5 * found.size_m)))
        within = shapely.get_coordinates(shapely.segmentize(part, STEP_M)) if not part.is_empty else ()
        points = tuple((float(x), float(y)) for x, y in within) or points
    levels = level_at(surface, points, reach_m=50.0)
    return float(levels.max()) - found.depth_m


def shape_of(found: Found) -> Any:
    """Its plan outline."""
    import shapely

    line: Any = shapely.Point(found.line_m[0]) if len(found.line_m) == 1 else shapely.LineString(found.line_m)
    return line.buffer(max(0.01, 0.5 * found.size_m))


def over_found(
    project: Project,
    surface: Surface,
    built: tuple[Mapping[str, Leg], Sequence[Node]],
    lattice: Lattice,
    standing: Standing,
) -> tuple[dict[str, Leg], list[Over]]:
    """The legs with their bases raised over everything found that is answered so.

    Args:
        project: the file.
        surface: the ground before digging.
        built: legs with their segments, and nodes.
        lattice: the courses.
        standing: what stands; its bases are not touched.
    """
    legs, nodes = dict(built[0]), built[1]
    ways = {name: leg.direction for name, leg in legs.items()}
    done: list[Over] = []
    for found in project.so_far.found:
        if found.answer not in OVER_M:
            continue
        for name, leg in legs.items():
            known = standing.leg(name)
            part = _met(leg, found)
            if part is None or (known is not None and known.built is not None):
                continue
            limit = top_of(found, surface, _strip(leg)) + OVER_M[found.answer]
            mine = [node for node in nodes if any(arm.leg == name for arm in node.arms)]
            barred = windows(pads_of(name, mine, ways, leg.thickness_m))
            raised, over = _raised(leg, found, part, (limit, lattice), barred)
            legs[name] = raised
            done += [over] if over is not None else []
    return legs, done


def _strip(leg: Leg) -> Any:
    """The ground under the timber of a leg."""
    import shapely

    return shapely.Polygon([
        leg.point_at(0.0), leg.point_at(leg.length_m),
        leg.point_at(leg.length_m, leg.thickness_m), leg.point_at(0.0, leg.thickness_m),
    ])  # fmt: skip


def _met(leg: Leg, found: Found) -> tuple[float, float] | None:
    """Stations between which a thing lies under the timber of a leg; None where it does not."""
    import shapely

    under = shapely.intersection(_strip(leg), shape_of(found))
    if under.is_empty or under.area < 1e-6:
        return None
    points: list[Point] = [(float(x), float(y)) for x, y in shapely.get_coordinates(under)]
    stations = [leg.station_of(point) for point in points]
    return min(stations), max(stations)


def _raised(
    leg: Leg,
    found: Found,
    part: tuple[float, float],
    limit: tuple[float, Lattice],
    barred: Iterable[tuple[float, float]],
) -> tuple[Leg, Over | None]:
    level, lattice = limit
    low, high = part[0] - BESIDE_M, part[1] + BESIDE_M
    least = max(LEAST_TREAD_M, 2.0 * leg.thickness_m)
    short = least - (high - low)
    low, high = (low - short / 2, high + short / 2) if short > 0 else (low, high)
    base = next((k for k, bottom in enumerate(lattice.bottoms_m) if bottom >= level - 1e-9), len(lattice.bottoms_m))
    low, high = _without_stubs(leg, (low, high), base, least)
    met = [seg for seg in leg.segments if seg.end_m > low and seg.start_m < high]
    if not any(seg.base < base for seg in met):
        return leg, None
    why = _why_not(leg, found, (low, high), (base, lattice), barred)
    if why:
        return leg, Over(found, leg.id, 0, low, high, why)
    out: list[Segment] = []
    for seg in leg.segments:
        a, b = max(seg.start_m, low), min(seg.end_m, high)
        if a >= b or seg.base >= base:
            out.append(seg)
            continue
        out += [replace(seg, end_m=a)] if seg.start_m < a else []
        out.append(Segment(a, b, base, seg.top))
        out += [replace(seg, start_m=b)] if b < seg.end_m else []
    count = max(base - seg.base for seg in met if seg.base < base)
    return replace(leg, segments=tuple(out)), Over(found, leg.id, count, low, high)


def _without_stubs(leg: Leg, part: Interval, base: int, least_m: float) -> Interval:
    """A raised part as far as the ends of the bases it would leave too short to lie on; where the wall begins as high
    already over a part of it, the rest is long enough to lie on too."""
    low, high = part
    bases = [(start, end) for start, end, one in _bases(leg) if one < base]
    lower = [(start, end) for start, end in bases if low < end and start < high]
    if lower:
        start, end = max(low, lower[0][0]), min(high, lower[-1][1])
        high = max(high, start + least_m) if start > low else high
        low = min(low, end - least_m) if end < high and start <= low else low
    for start, end in bases:
        if low < end and start < high:
            low = start if 0.0 < low - start < least_m else low
            high = end if 0.0 < end - high < least_m else high
    return low, high


def _bases(leg: Leg) -> list[tuple[float, float, int]]:
    """Start, end and course of every base, whatever the tops over it."""
    found: list[tuple[float, float, int]] = []
    for seg in leg.segments:
        if found and found[-1][1:] == (seg.start_m, seg.base):
            found[-1] = (found[-1][0], seg.end_m, seg.base)
        else:
            found.append((seg.start_m, seg.end_m, seg.base))
    return found


def _why_not(
    leg: Leg,
    found: Found,
    part: tuple[float, float],
    wanted: tuple[int, Lattice],
    barred: Iterable[tuple[float, float]],
) -> str:
    """Why the base cannot be raised there; empty where it can."""
    (low, high), (base, lattice) = part, wanted
    met = [seg for seg in leg.segments if seg.end_m > low and seg.start_m < high]
    if low < met[0].start_m - 1e-9 or high > met[-1].end_m + 1e-9:
        return "it lies at the end of the wall"
    if any(a < high and b > low for a, b in barred):
        return "it lies too near a corner, where the courses lap"
    if any(base > seg.top for seg in met):
        return "it reaches as high as the wall"
    if found.answer == "bridge" and high - low > BRIDGE_M:
        return "it is too wide for the timber to bridge"
    ground = min(min(s.low0_m, s.low1_m) for s in leg.spans if s.end_m > low and s.start_m < high)
    if lattice.bottoms_m[base] > ground - 1e-9:
        return "the foot of the wall would stand above the ground before it"
    return ""


def over_findings(project: Project, done: Iterable[Over], seen: Mapping[str, Seen]) -> list[Finding]:
    """What is said of each wall that passes over a thing, or cannot."""
    units = project.units
    found = []
    for one in done:
        low, high = seen[one.leg].stretch(one.start_m, one.end_m)
        where = f"from {length(low, units)} to {length(high, units)} {FROM_LEFT}"
        if one.why:
            text = (
                f"Wall {one.leg} cannot {one.found.answer} over {one.found.name} {where}: {one.why}. Move the wall, or "
                "stop there and ask."
            )
            found.append(Finding("found.over", Verdict.STOP, text, one.leg, withholds=("cut-sheet", "order-list")))
            continue
        size = small(OVER_M[one.found.answer], units)
        raised = f"Wall {one.leg} begins {one.courses} course{'' if one.courses == 1 else 's'} higher {where}"
        if one.found.answer == "step up":
            text = (
                f"{raised}, over {one.found.name}: sweep it clean and bed the timber on {size} of stone; it stands "
                "on it there, with less of it in the ground. Where its top slopes, ask before going on."
            )
        else:
            text = (
                f"{raised}, bridging {one.found.name}: the first course lies whole over it, bedded on both sides, with "
                f"{size} left free all round, with less of the wall in the ground. Dig there by hand; nothing may rest "
                "on it."
            )
        found.append(Finding("found.over", Verdict.WATCH, text, one.leg, source="PRACTICE"))
    return found
