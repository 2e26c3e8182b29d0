"""From what the file says stands to what the stages take: walls kept, in levels first, on the lattice then."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import dist
from statistics import fmean

from lynchet.core.errors import Fault, InputError
from lynchet.core.findings import Finding, Verdict
from lynchet.core.standing import LegStanding, Open, Standing
from lynchet.plan.clash import Clash
from lynchet.project.model import Project
from lynchet.project.so_far import Stands
from lynchet.terraces.model import Lattice, Point, Terraces, WallLine
from lynchet.units.format import length, small
from lynchet.walls.model import Leg, Piece, Walls
from lynchet.walls.off_level import FINE_M
from lynchet.walls.standing import lap_cuts

MOVED_M = 0.010
"""A line that the plan moves by more is another line: the wall on it cannot be kept. PRACTICE."""
LEVEL_M = 0.006
"""Readings of one course further apart show timber out of level. PRACTICE."""

Reference = Callable[[], tuple[Walls, Sequence[Piece]]]
"""The walls and pieces of the same file with nothing standing: what it was built by where the file does not say."""


@dataclass(frozen=True)
class KeptWall:
    """A wall that stands, in levels and stations; courses counted from its lowest, 1 first."""

    entries: tuple[Stands, ...]
    bottom_m: float
    """Underside of its lowest course as planned."""
    line_m: tuple[Point, ...]
    stretches: tuple[tuple[float, float, int, int], ...]
    cuts: tuple[tuple[int, tuple[float, ...]], ...]
    notches: tuple[Open, ...] = ()
    """Openings for pipes."""
    turned: bool = False
    """The file gives its line the other way round than the plan draws it."""

    @property
    def wall(self) -> str:
        """Its id."""
        return self.entries[0].wall

    @property
    def built(self) -> int:
        """Highest course that stands."""
        return max(entry.course for entry in self.entries)

    @property
    def notches_said(self) -> tuple[int, ...]:
        """Courses of which all openings are said: those of an entry over the entry below it."""
        tops = sorted((entry.course, entry.notches is not None) for entry in self.entries)
        below = (0, *(course for course, _ in tops))
        parts = zip(below, tops, strict=False)
        return tuple(row for low, (top, said) in parts if said for row in range(low + 1, top + 1))


def kept_walls(project: Project, reference: Reference) -> tuple[KeptWall, ...]:
    """The walls that stand.

    Args:
        project: the file.
        reference: called once, and only where an entry does not carry its own stretches.

    Raises:
        InputError: a wall that the plan does not know, a course above its top.
    """
    walls: dict[str, list[Stands]] = {}
    for entry in project.so_far.stands:
        walls.setdefault(entry.wall, []).append(entry)
    planned: tuple[Walls, Sequence[Piece]] | None = None
    kept: list[KeptWall] = []
    faults: list[Fault] = []
    for entries in walls.values():
        pinned = next((entry for entry in entries if entry.stretches and entry.bottom_m is not None), None)
        if pinned is None:
            planned = planned or reference()
            found = _from_plan(entries, *planned)
        else:
            found = _from_file(entries, pinned)
        if isinstance(found, Fault):
            faults.append(found)
        else:
            kept.append(found)
    if faults:
        raise InputError(*faults)
    return tuple(kept)


def _from_file(entries: Sequence[Stands], pinned: Stands) -> KeptWall | Fault:
    assert pinned.bottom_m is not None
    stretches = tuple((part.from_m, part.to_m, part.base, part.top) for part in pinned.stretches)
    cuts = tuple((one.course, one.stations_m) for entry in entries for one in entry.cuts)
    top = max(part.top for part in pinned.stretches)
    above = next((entry for entry in entries if entry.course > top), None)
    if above is not None:
        return _fault(above, "course", f"course {above.course} of wall {above.wall}", f"1 to {top}: its `stretch`es")
    return KeptWall(tuple(entries), pinned.bottom_m, pinned.line_m, stretches, cuts, _notches(entries))


def _from_plan(entries: Sequence[Stands], walls: Walls, pieces: Sequence[Piece]) -> KeptWall | Fault:
    name = entries[0].wall
    leg = next((leg for leg in walls.legs if leg.id == name and leg.segments), None)
    if leg is None:
        known = ", ".join(leg.id for leg in walls.legs if leg.segments) or "this plan has none"
        return _fault(entries[0], "wall", f'there is no wall "{name}"', f"a wall of the plan: {known}")
    low, top = leg.lowest_course, max(part.top for part in leg.segments)
    above = next((entry for entry in entries if entry.course > top - low + 1), None)
    if above is not None:
        accepted = f"1 to {top - low + 1}: the wall is that many courses high"
        return _fault(above, "course", f"course {above.course} of wall {name}", accepted)
    stretches = tuple((part.start_m, part.end_m, part.base - low + 1, part.top - low + 1) for part in leg.segments)
    cuts = tuple((course - low + 1, joints) for course, joints in joints_of(leg, pieces))
    bottom = min(run.bottom_m for run in walls.runs_of(name, low))
    return KeptWall(tuple(entries), bottom, (leg.start_m, leg.end_m), stretches, cuts, _notches(entries))


def _notches(entries: Sequence[Stands]) -> tuple[Open, ...]:
    """Openings as the file says them: the plan may have moved its own since they were built."""
    return tuple((one.course, one.from_m, one.to_m) for entry in entries for one in entry.notches or ())


def joints_of(leg: Leg, pieces: Sequence[Piece]) -> list[tuple[int, tuple[float, ...]]]:
    """Joints of every course of a wall: where one piece begins at the end of another of the same run."""
    mine = [piece for piece in pieces if piece.leg == leg.id]
    found = []
    for course in sorted({piece.course for piece in mine}):
        row = [piece for piece in mine if piece.course == course]
        ends = {(piece.run, piece.end_m) for piece in row}
        found.append((course, tuple(sorted(p.start_m[0] for p in row if (p.run, p.start_m) in ends))))
    return found


def _fault(entry: Stands, key: str, found: str, accepted: str) -> Fault:
    file, line, number = entry.written
    return Fault(found, accepted, f"stands.{number}.{key}", file, line)


def first_standing(kept: Iterable[KeptWall]) -> Standing:
    """What the terraces must know: the lattice that timber stands on."""
    level = next((wall.bottom_m for wall in kept), None)
    return Standing() if level is None else Standing((), level, firm=True)


def standing_on(kept: Sequence[KeptWall], laid: Terraces, project: Project) -> tuple[Standing, tuple[Finding, ...]]:
    """What stands, on the lattice of the terraces now laid out, and what of it cannot be kept.

    Raises:
        InputError: a reading that no course of that number can have.
    """
    legs: list[LegStanding] = []
    findings: list[Finding] = []
    lines = {line.id: line for line in laid.lines}
    kept = [_the_same_way(wall, lines.get(wall.wall)) for wall in kept]
    for wall in kept:
        why = _lost(wall, lines.get(wall.wall), laid.lattice, project)
        if why:
            findings.append(_cannot_keep(wall, why))
            continue
        lowest = _course_at(laid.lattice, wall.bottom_m)
        legs.append(_leg_standing(wall, lowest, laid.lattice, project))
        findings += _out_of_level(wall, project)
    if legs:
        findings.append(_told(kept, legs))
    return Standing(tuple(legs), first_standing(kept).datum_m, firm=True), tuple(findings)


def _the_same_way(wall: KeptWall, line: WallLine | None) -> KeptWall:
    """The wall as the plan draws its line; where the file has the line the other way round, measured from there.

    Distances in the file count from the first point of the file's own line, whichever end of the wall that is.
    """
    if line is None or not wall.line_m:
        return wall
    first, last = wall.line_m[0], wall.line_m[-1]
    as_drawn = dist(first, line.start_m) + dist(last, line.end_m)
    if as_drawn <= dist(last, line.start_m) + dist(first, line.end_m):
        return wall
    long_m = dist(line.start_m, line.end_m)
    stretches = tuple(sorted((long_m - b, long_m - a, base, top) for a, b, base, top in wall.stretches))
    cuts = tuple((course, tuple(sorted(long_m - at for at in joints))) for course, joints in wall.cuts)
    notches = tuple((course, long_m - b, long_m - a) for course, a, b in wall.notches)
    return replace(wall, line_m=wall.line_m[::-1], stretches=stretches, cuts=cuts, notches=notches, turned=True)


def _lost(wall: KeptWall, line: WallLine | None, lattice: Lattice, project: Project) -> str:
    """Why a wall cannot be kept; empty where it can."""
    if line is None:
        return "the plan has no such line any more"
    if wall.line_m:
        off = max(dist(wall.line_m[0], line.start_m), dist(wall.line_m[-1], line.end_m))
        if off > MOVED_M:
            return f"its line would move by {length(off, project.units)}"
    off = abs(lattice.bottoms_m[_course_at(lattice, wall.bottom_m)] - wall.bottom_m)
    if off > FINE_M:
        return f"its courses would lie {small(off, project.units)} higher or lower"
    return ""


def _course_at(lattice: Lattice, level_m: float) -> int:
    """The course whose underside lies nearest to a level."""
    return min(range(len(lattice.bottoms_m) - 1), key=lambda course: abs(lattice.bottoms_m[course] - level_m))


def _cannot_keep(wall: KeptWall, why: str) -> Finding:
    text = (
        f"Wall {wall.wall} stands up to course {wall.built}, but cannot be kept: {why}. Undo what was changed in the "
        f"file since, or take the wall down and its [[stands]] out of the file."
    )
    return Finding("standing.cannot_keep", Verdict.STOP, text, wall.wall, withholds=("all",))


def _leg_standing(wall: KeptWall, lowest: int, lattice: Lattice, project: Project) -> LegStanding:
    def course(row: int) -> int:
        return lowest + row - 1

    offsets = []
    for entry in sorted(wall.entries, key=lambda entry: entry.course):
        top = lattice.bottoms_m[course(entry.course) + 1]
        off = fmean(entry.readings_m) - top if entry.readings_m else entry.off_m
        if off is None:
            continue
        if abs(off) > 0.5 * lattice.course_m:
            size = small(abs(off), project.units)
            accepted = f"within half a course of {length(top, project.units)}; count the courses again"
            key = "readings" if entry.readings_m else "low" if off < 0 else "high"
            raise InputError(_fault(entry, key, f"course {entry.course} of {wall.wall} is {size} off", accepted))
        offsets.append((course(entry.course), off))
    answered = [entry for entry in wall.entries if entry.answer] or list(wall.entries)
    highest = max(answered, key=lambda entry: entry.course)
    return LegStanding(
        leg=wall.wall,
        bottom_offsets_m=tuple(offsets),
        segments=tuple((a, b, course(base), course(top)) for a, b, base, top in wall.stretches),
        built=course(wall.built),
        cuts=tuple((course(row), joints) for row, joints in wall.cuts if row <= wall.built),
        notches=tuple((course(row), start, end) for row, start, end in wall.notches),
        notches_said=tuple(course(row) for row in wall.notches_said),
        answer=highest.answer,
        entry=highest.written[2],
        turned=wall.turned,
    )


def _out_of_level(wall: KeptWall, project: Project) -> list[Finding]:
    found = []
    for entry in wall.entries:
        spread = max(entry.readings_m, default=0.0) - min(entry.readings_m, default=0.0)
        if spread > LEVEL_M:
            text = (
                f"The top of course {entry.course} of wall {wall.wall} is out of level by "
                f"{small(spread, project.units)}: lift its low end and bed it again before the next course; the plan "
                "takes the mean."
            )
            found.append(Finding("standing.level", Verdict.WATCH, text, wall.wall, demand=spread, capacity=LEVEL_M,
                                 unit="m", source="PRACTICE"))  # fmt: skip
    return found


def _told(kept: Sequence[KeptWall], legs: Sequence[LegStanding]) -> Finding:
    mine = {leg.leg for leg in legs}
    listed = ", ".join(f"{wall.wall} up to course {wall.built}" for wall in kept if wall.wall in mine)
    text = (
        f"What stands is kept as it is: {listed}. Its timber, screws, pins, ties, base stone and trench are off the "
        "lists; its fill, drain stone, pipes and weep holes are on them: take off what is in already."
    )
    turned = [wall.wall for wall in kept if wall.turned and wall.wall in mine]
    if turned:
        text += f" The line of {', '.join(turned)} is read from the end where the file begins it."
    return Finding("standing.kept", Verdict.OK, text, legs[0].leg)


def without_laps(found: Sequence[Clash], walls: Walls) -> list[Clash]:
    """Clashes, less those of courses let into each other where walls that stand meet others (said as a finding)."""
    cuts = {(c.leg, c.course, c.other) for c in (lap_cuts(walls.runs) if found else ()) if c.kind == "notch"}
    if not cuts:
        return list(found)
    runs = {run.id: run for run in walls.runs}

    def let_in(clash: Clash) -> bool:
        if set(clash.kinds) != {"timber"}:
            return False
        a, b = (runs.get(name.rsplit("/", 1)[0]) for name in (clash.first, clash.second))
        if a is None or b is None:
            return False
        low, high = sorted((a, b), key=lambda run: run.course)
        return (high.leg, high.course, low.leg) in cuts

    return [clash for clash in found if not let_in(clash)]
