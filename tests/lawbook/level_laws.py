"""Laws on levels: faces, lattice, embedment, freeboard, where walls stand, treads."""

from __future__ import annotations

from itertools import pairwise
from math import dist

import numpy as np
import shapely

from lawbook.case import GRID_M, Case
from lynchet.ground.surface import level_at
from lynchet.terraces.model import OUTSIDE, AsGround, Level
from lynchet.walls.bank import Bank
from lynchet.walls.limits import standing_spans
from lynchet.walls.model import Leg, Span

LEVEL_M = 1e-5
RAKED_M = 0.051
"""What is left to the rake, and a hair."""


def faces_tile(case: Case) -> list[str]:
    """The faces cover the area once, and no line of the file is lost."""
    made = case.terraces
    inside = [face for face in made.faces if face.kind in ("bed", "flight")]
    union = shapely.union_all([face.polygon for face in inside], grid_size=GRID_M)
    wrong = []
    total = sum(face.polygon.area for face in inside)
    if abs(union.area - total) > 1e-3 or abs(case.area.area - total) > 1e-3:
        wrong.append(f"faces add up to {total:.4f} m2, the area is {case.area.area:.4f} m2")
    ids = [face.id for face in made.faces] + [line.id for line in made.lines]
    if len(set(ids)) != len(ids):
        wrong.append("an id stands twice")
    return wrong


def whole_courses(case: Case) -> list[str]:
    """Levels of terraces rise by whole courses and lie one freeboard under the lattice."""
    lattice, wrong = case.terraces.lattice, []
    for level in case.terraces.levels_m:
        top = level + case.project.brief.freeboard_m
        if min(abs(top - b) for b in lattice.bottoms_m) > LEVEL_M:
            wrong.append(f"level {level:.4f} is off the lattice")
    levels = case.terraces.levels_m
    if any(b - a < lattice.course_m - LEVEL_M for a, b in pairwise(levels)):
        wrong.append("a terrace does not rise by a course")
    return wrong


def spans_true(case: Case) -> list[str]:
    """Spans cover every leg without gaps, and tell the levels of the faces beside them (ground read afresh)."""
    wrong = []
    points, levels, names = [], [], []
    for leg in case.walls.legs:
        at = 0.0
        for span in leg.spans:
            if abs(span.start_m - at) > 1e-9:
                wrong.append(f"{leg.id}: gap in its spans at {at:.3f}")
            at = span.end_m
            middle = (span.start_m + span.end_m) / 2
            for face, level in zip((span.left, span.right), span.levels_at(middle), strict=True):
                known = case.terraces.face(face)
                finish = known.finish if known is not None else None
                if isinstance(finish, Level) and abs(finish.level_m - level) > LEVEL_M:
                    wrong.append(f"{leg.id} at {middle:.2f}: level of {face} is not its finish")
                if face == OUTSIDE or isinstance(finish, AsGround):
                    points.append(leg.point_at(middle))
                    levels.append(level)
                    names.append(f"{leg.id} at {middle:.2f}")
        if abs(at - leg.length_m) > 1e-6:
            wrong.append(f"{leg.id}: spans end at {at:.3f} of {leg.length_m:.3f}")
    if points:
        found = level_at(case.ground.surface, np.array(points), 0.4)
        for name, a, b in zip(names, found, levels, strict=True):
            if not abs(a - b) < 2e-4:
                wrong.append(f"{name}: ground {a:.4f}, span {b:.4f}")
    return wrong


def _ends(leg: Leg) -> list[tuple[Span, float]]:
    return [(span, s) for span, a, b in standing_spans(leg) for s in (a, b)]


def embedded(case: Case) -> list[str]:
    """6. At every end of every span a base yet to be laid lies at least the embedment under the lower side. Over a
    thing found it need not, where that is told: rock carries it as it is, but its foot is never over the ground. Of
    walls that follow others off their level it does so as planned (they may lie a little higher, as is told) or as
    laid, for steps go down with them."""
    wrong, bottoms = [], case.terraces.lattice.bottoms_m
    laid = {(run.leg, run.course): run.bottom_m for run in case.walls.runs} if case.walls.standing.any_stands else {}
    for leg in case.walls.legs:
        for span, station in _ends(leg):
            for seg in leg.segments:
                if seg.start_m <= station <= seg.end_m and seg.end_m > span.start_m and seg.start_m < span.end_m:
                    if case.walls.standing.stands(leg.id, seg.base, 0.5 * (seg.start_m + seg.end_m)):
                        continue  # what stands is not bedded anew; its strength counts it as deep as it is
                    low, base = min(span.levels_at(station)), bottoms[seg.base]
                    base = min(base, laid.get((leg.id, seg.base), base))
                    if _over_found(case, leg, seg.start_m, seg.end_m) and base < low:
                        continue
                    if base > low - leg.embedment_m + 2e-6 and _overlap(seg, span, station):
                        wrong.append(f"{leg.id} at {station:.2f}: base {base:.3f} for ground {low:.3f}")
    return wrong


def _over_found(case: Case, leg: Leg, start_m: float, end_m: float) -> bool:
    """Whether a stretch lies over a thing that the wall is said to pass over, as far as one tread beside it."""
    if not any(one.code == "found.over" and one.place == leg.id for one in case.walls.findings):
        return False
    strip = shapely.LineString([leg.point_at(start_m), leg.point_at(end_m)]).buffer(leg.thickness_m)
    things = (shapely.LineString([*one.line_m, one.line_m[-1]]).buffer(one.size_m / 2.0)
              for one in case.project.so_far.found if one.answer in ("step up", "bridge"))  # fmt: skip
    return any(thing.intersects(strip) for thing in things)


def _overlap(seg: object, span: Span, station: float) -> bool:
    """A station on the border of a segment counts for it only if the span reaches into the segment."""
    start, end = seg.start_m, seg.end_m  # type: ignore[attr-defined]
    return min(end, span.end_m) - max(start, span.start_m) > 1e-6


def freeboard(case: Case) -> list[str]:
    """7. At every end of every span the top stands at least the freeboard over the higher side (treads: flush).

    Steps over walls off their level end at the walls as they stand: their treads are held to the course they were
    planned at, the nearest.
    """
    wrong, bottoms = [], case.terraces.lattice.bottoms_m
    flights = {face.id for face in case.terraces.faces if face.kind == "flight"}
    for leg in case.walls.legs:
        for span, station in _ends(leg):
            for seg in leg.segments:
                if seg.start_m <= station <= seg.end_m and _overlap(seg, span, station):
                    high = max(span.levels_at(station))
                    if span.high_face in flights and case.walls.standing.any_stands:
                        high = min(bottoms, key=lambda level: abs(level - high))
                    spare = 0.0 if span.high_face in flights else case.project.brief.freeboard_m
                    if bottoms[seg.top + 1] < high + spare - 2e-6:
                        wrong.append(f"{leg.id} at {station:.2f}: top {bottoms[seg.top + 1]:.3f} for {high:.3f}")
    return wrong


def wall_where_needed(case: Case) -> list[str]:
    """8. A wall stands where levels differ by more than a course; none stands over 1.45 m of equal levels."""
    wrong = []
    lines = {line.id: line for line in case.terraces.lines}
    course = case.terraces.lattice.course_m
    for leg in case.walls.legs:
        line = lines[leg.id]
        if line.finish == "bank":
            continue  # ``banks_end`` says where a wall stands
        if line.finish in ("open", "house"):
            if leg.segments:
                wrong.append(f"{leg.id} is built although its edge is {line.finish}")
            continue
        run = 0.0
        for span in leg.spans:
            d0, d1 = abs(span.left0_m - span.right0_m), abs(span.left1_m - span.right1_m)
            stands = [s for s in leg.segments if s.end_m > span.start_m + 1e-6 and s.start_m < span.end_m - 1e-6]
            covered = sum(min(s.end_m, span.end_m) - max(s.start_m, span.start_m) for s in stands)
            size = span.end_m - span.start_m
            if min(d0, d1) > course and size > 0.31 and covered < size - 1e-6:
                wrong.append(f"{leg.id} from {span.start_m:.2f}: no wall for {min(d0, d1):.2f} m")
            run = run + covered if max(d0, d1) < 0.05 else 0.0
            if run > 1.45:
                wrong.append(f"{leg.id} near {span.end_m:.2f}: wall without need")
    return wrong


def banks_end(case: Case) -> list[str]:
    """8b. Beside an edge that ends as a bank either a wall stands, or ground at 1 in 2 meets the ground in its width;
    looked for every centimetre out, wherever the ground is measured. What is told of its toe lies on the ground."""
    wrong, surface = [], case.ground.surface
    for line in (line for line in case.terraces.lines if line.finish == "bank"):
        leg = case.walls.leg(line.id)
        off = np.arange(0.0, line.bank_width_m + 0.055, 0.01)
        for span, station in ((s, 0.5 * (s.start_m + s.end_m)) for s in leg.spans):
            bed = case.terraces.face(span.left)
            short = span.end_m - span.start_m < 0.65  # stubs of wall are left out and gaps bridged
            if span.right != OUTSIDE or bed is None or bed.kind != "bed" or short or leg.segment_at(station):
                continue
            ground = level_at(surface, [leg.point_at(station, -float(d)) for d in off])
            gap = bed.level_m - ground
            up = np.sign(gap[0])
            ends = bool((up * gap - 0.5 * off <= 0.0).any()) or abs(gap[0]) <= RAKED_M
            if not np.isnan(ground).any() and not ends and not _in_a_corner(case, leg, station, line.bank_width_m):
                wrong.append(f"{leg.id} at {station:.2f}: neither a wall nor a bank that ends")
    for bank in case.walls.banks:
        off_m = np.abs(level_at(surface, bank.toe_m) - np.array(bank.toe_levels_m))
        off_m[shapely.distance(case.area, shapely.points(bank.toe_m)) < 1e-3] = 0.0
        if bank.measured and np.nanmax(off_m) > RAKED_M:
            wrong.append(f"the toe of the bank at {bank.line} is {np.nanmax(off_m):.3f} m off the ground")
        if shapely.Polygon(bank.outline_m).buffer(-1e-3).intersects(case.area.buffer(-1e-3)):
            wrong.append(f"the bank at {bank.line} reaches into the area")
    return wrong


def fronts_end_in_soil(case: Case) -> list[str]:
    """8c. Where a front ends between the banks of two beds, soil lies round its end, 1 in 2, or that there is no room
    for it is told; it comes down on the lower bed, a bank or the ground, and lies on no other bed, path or house."""
    wrong, walls, terraces = [], case.walls, case.terraces
    told = {finding.place for finding in walls.findings if finding.code == "walls.bank_step_held"}
    for line in (line for line in terraces.lines if line.finish == "bank"):
        leg, ends = walls.leg(line.id), [end for end in walls.bank_ends if end.line == line.id]
        for one, other in pairwise(line.sides):
            beds, place = [terraces.face(side.left) for side in (one, other)], leg.point_at(one.end_m)
            levels = [bed.level_m for bed in beds if bed is not None and bed.kind == "bed"]
            banks = [any(_near(one, place) for one in walls.banks if one.face == bed.id) for bed in beds if bed]
            stands = any(leg.segment_at(one.end_m + off) is not None for off in (-0.02, 0.02))
            if len(levels) < 2 or not all(banks) or stands or abs(levels[0] - levels[1]) <= RAKED_M:
                continue
            if line.id not in told and not any(end.polygon.distance(shapely.Point(place)) < 0.03 for end in ends):
                wrong.append(f"{line.id} at {one.end_m:.2f}: a step of {levels[0] - levels[1]:.2f} m, nothing told")
    for end in walls.bank_ends:
        others = [part for part in walls.shaped if part is not end]
        for toe, level in zip(end.toe_m, end.toe_levels_m, strict=True):
            spot = shapely.Point(toe)
            under = [level_at(case.ground.surface, [toe])[0], end.level_m - end.step_m]
            under += [float(p.levels_at(np.array([toe]))[0]) for p in others if p.polygon.distance(spot) < 0.11]
            rim = shapely.linearrings(case.ground.surface.points[case.ground.surface.hull, :2])  # as above
            if rim.distance(spot) < 0.2:
                continue
            held = terraces.face(end.face).polygon.distance(spot) < 0.02  # type: ignore[union-attr]
            if not held and level > max(under) + RAKED_M:  # it may come down against something higher
                wrong.append(f"soil round a front at {end.line} stands {level - max(under):.2f} m in the air at {toe}")
        over = [f.polygon for f in terraces.faces if f.id not in (end.onto, end.face)]
        over += [shapely.Polygon(house.outline_m) for house in case.project.houses]
        if any(shape.intersection(end.polygon).area > 0.01 for shape in over):
            wrong.append(f"soil round a front at {end.line} lies on another bed, a path, steps or a house")
    return wrong


def _near(bank: Bank, place: tuple[float, float]) -> bool:
    return any(dist(point, place) < 0.02 for point in bank.edge_m)


def _in_a_corner(case: Case, leg: Leg, station: float, width_m: float) -> bool:
    """Whether another edge that ends as a bank stands so near that the two banks meet in a valley."""
    place = leg.point_at(station, -width_m)
    others = [line for line in case.terraces.lines if line.finish == "bank" and line.id != leg.id]
    return any(shapely.LineString([o.start_m, o.end_m]).distance(shapely.Point(place)) < width_m for o in others)


def treads(case: Case) -> list[str]:
    """9. Every stretch of one base is at least the least tread long, unless the whole stretch of wall is shorter."""
    wrong = []
    for leg in case.walls.legs:
        groups: list[list[tuple[float, float, int]]] = []
        for seg in leg.segments:
            if groups and groups[-1][-1][1] == seg.start_m:
                last = groups[-1][-1]
                if last[2] == seg.base:
                    groups[-1][-1] = (last[0], seg.end_m, seg.base)
                else:
                    groups[-1].append((seg.start_m, seg.end_m, seg.base))
            else:
                groups.append([(seg.start_m, seg.end_m, seg.base)])
        for group in groups:
            if len(group) > 1:
                wrong += [f"{leg.id} at {a:.2f}: tread of {b - a:.3f} m" for a, b, _ in group if b - a < 0.3 - 1e-6]
    return wrong


LEVEL_LAWS = (
    faces_tile,
    whole_courses,
    spans_true,
    embedded,
    freeboard,
    wall_where_needed,
    banks_end,
    fronts_end_in_soil,
    treads,
)
