"""Pieces of every course: where the joints lie, clear of joints below, steps, corners, ties, pins and notches.

Called after water and stability have placed notches, ties and pins. A notch takes the timber out of its course, so it
splits its run and counts as a joint. Fewest joints exactly, by reach intervals: what the n-th joint can reach is the
allowed part of (what the one before can reach) + [shortest, longest]; then, from the far end, the longest last piece.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from lynchet.core.findings import Finding, Verdict
from lynchet.core.intervals import Interval, common, joined, without
from lynchet.core.plane import cross
from lynchet.core.quick import quick
from lynchet.project.model import Project, Units
from lynchet.units.format import length as length_text
from lynchet.walls.model import Leg, Piece, Run, Walls

SLACK_M = 0.002
"""Kept on all three lengths, so that no answer hangs on rounding."""
FALLBACKS_M = (0.45, 0.30)
"""Joint offsets tried where the wished one finds no answer. PRACTICE."""
STICK_M = 4.8
"""The longest stick where no stock is named. PRACTICE."""
CLEAR_TIE_M = 0.15
CLEAR_TEE_M = 0.15
LAPPED_M = 0.3
"""A course that stands is laid so far past the end of its stretch, round a corner or over a footing step."""


@dataclass(frozen=True)
class JointRules:
    """Lengths that joints obey."""

    offset_m: float
    """Least distance of a joint from joints in the course below."""
    shortest_m: float
    longest_m: float
    stick_m: float = 0.0
    """Courses of one stick are wished: up to this length, that of the longest stick, none has a joint, whatever the
    longest piece else; 0 = not wished."""

    @property
    def most_m(self) -> float:
        """No piece is longer."""
        return max(self.longest_m, self.stick_m)


@dataclass(frozen=True)
class Opening:
    """A notch: a stretch of one course without timber."""

    leg: str
    course: int
    start_m: float
    end_m: float


@dataclass(frozen=True)
class Avoid:
    """What joints keep clear of."""

    openings: tuple[Opening, ...] = ()
    fixings: tuple[tuple[str, int, float], ...] = ()
    """(leg, course, station) of ties, pins and whatever else wants whole timber."""
    kept: tuple[tuple[str, int, tuple[float, ...]], ...] = ()
    """(leg, course, joints) of courses that stand: their joints are where they are."""
    stood: tuple[tuple[str, int, Interval], ...] = ()
    """(leg, course, first and last station) of the stretches that stand in them: what is laid beside one is another
    piece."""


@dataclass(frozen=True)
class Laid:
    """Pieces by run, and where a rule had to give way."""

    pieces: tuple[Piece, ...]
    findings: tuple[Finding, ...]


Below = dict[tuple[str, int], list[float]]
"""Joints laid so far, by leg and course."""


def joint_rules(project: Project) -> JointRules:
    """The rules of a brief; the longest piece is what the longest stock yields where none is given, else 4.8 m.

    Where one stick a course is wished, that goes before the longest piece: what the longest stick gives is one piece.
    """
    brief = project.brief
    longest = brief.longest_piece_m or project.timber.longest_m or STICK_M
    stick = stick_m(project) if brief.one_stick else 0.0
    return JointRules(brief.joint_offset_m, brief.shortest_piece_m, longest, stick)


def stick_m(project: Project) -> float:
    """Longest piece that a stick gives."""
    return project.timber.longest_m or STICK_M


def lay_pieces(walls: Walls, rules: JointRules, avoid: Avoid, units: Units = "metric") -> Laid:
    """Cut every run into pieces.

    Args:
        walls: the built geometry.
        rules: joint offset, shortest and longest piece.
        avoid: notches, ties, pins.
        units: how lengths are written in findings.

    Returns:
        Pieces in the order of the runs; a ``watch`` for every leg on which the joint offset had to be less.
    """
    laid: Below = {}
    pieces: list[Piece] = []
    given: dict[str, float] = {}
    for run in walls.runs:
        leg = walls.leg(run.leg)
        number = 1
        for part in _parts(run, avoid.openings):
            joints, offset = _joints(part, leg, walls, (rules, avoid, laid))
            if offset < rules.offset_m:
                given[leg.id] = min(offset, given.get(leg.id, rules.offset_m))
            pieces += _pieces(run, leg, part, joints, number)
            number += len(joints) + 1
            laid.setdefault((run.leg, run.course), []).extend(joints)
    beside = _beside_notches(rules, avoid, laid, given)
    told = (_told(name, (given.get(name), beside.get(name)), rules, units) for name in dict.fromkeys((*given, *beside)))
    return Laid(tuple(pieces), tuple(told))


def _beside_notches(rules: JointRules, avoid: Avoid, laid: Below, given: Mapping[str, float]) -> dict[str, float]:
    """How near notches still to be made come to joints in the course below, by leg, where that is nearer than was kept:
    new joints keep off them, those that stand are where they are."""
    found: dict[str, float] = {}
    for hole in avoid.openings if avoid.kept else ():
        at, middle = (hole.leg, hole.course), 0.5 * (hole.start_m + hole.end_m)
        parts = [part for *where, part in avoid.stood if tuple(where) == at]
        if any(tuple(where) == at for *where, _ in avoid.kept) and (not parts or any(a < middle < b for a, b in parts)):
            continue  # it is told, or asked about, with what stands
        near = min((abs(edge - joint) for joint in laid.get((hole.leg, hole.course - 1), ())
                    for edge in (hole.start_m, hole.end_m)), default=rules.offset_m)  # fmt: skip
        if near < given.get(hole.leg, rules.offset_m) - 1e-6:
            found[hole.leg] = min(near, found.get(hole.leg, near))
    return found


def _told(leg: str, kept: tuple[float | None, float | None], rules: JointRules, units: Units) -> Finding:
    """Which offset was kept between joints, and between notches and joints that stand, where it was less."""
    wished, (joints, notch), text = length_text(rules.offset_m, units), kept, []
    if joints is not None:
        text.append(f"On wall {leg} some joints lie only {length_text(joints, units)} from those in the course below; "
                    f"{wished} was wished, but nothing else fits the lengths.")  # fmt: skip
    if notch is not None:
        text.append(f"On wall {leg} a notch for a pipe lies {length_text(notch, units)} from a joint in the course "
                    f"below, which stands; {wished} was wished, but no better place for the pipe was found. Screw a "
                    "plate of the same timber over both courses there, from behind.")  # fmt: skip
    offset = min(joints if joints is not None else rules.offset_m, _step(notch, rules))
    return Finding("walls.joint_offset", Verdict.WATCH if offset > 0 else Verdict.ASK, " ".join(text), leg,
                   demand=rules.offset_m, capacity=offset, unit="m", ask="" if offset > 0 else "engineer")  # fmt: skip


@quick
@dataclass(frozen=True)
class _Part:
    """A run, or the piece of one between openings."""

    run: Run
    start: tuple[float, float]
    """Stations on line side and far side."""
    end: tuple[float, float]


def _parts(run: Run, openings: Sequence[Opening]) -> list[_Part]:
    holes = sorted((o.start_m, o.end_m) for o in openings if (o.leg, o.course) == (run.leg, run.course)
                   and o.end_m > run.outer_m[0] and o.start_m < run.outer_m[1])  # fmt: skip
    start = (run.start.line_m, run.start.far_m)
    parts = []
    for low, high in holes:
        parts.append(_Part(run, start, (low, low)))
        start = (high, high)
    parts.append(_Part(run, start, (run.end.line_m, run.end.far_m)))
    return [part for part in parts if not holes or min(part.end) > max(part.start)]


def _joints(part: _Part, leg: Leg, walls: Walls, given: tuple[JointRules, Avoid, Below]) -> tuple[list[float], float]:
    """Joint stations, and the offset that was kept."""
    rules, avoid, laid = given
    at = part.run.leg, part.run.course
    kept = next((joints for name, course, joints in avoid.kept if (name, course) == at), None)
    if kept is None:
        return _new_joints(part, leg, walls, given)
    low, high = max(part.start), min(part.end)
    stood = [stretch for name, course, stretch in avoid.stood if (name, course) == at]
    ends = sorted(end for stretch in stood for end in stretch if low + LAPPED_M < end < high - LAPPED_M)
    joints, offset = list(ends), _offset(ends, laid.get((at[0], at[1] - 1), ()), rules)
    for start, end in itertools.pairwise([low, *ends, high]):
        if not ends or any(a < 0.5 * (start + end) < b for a, b in stood):
            joints += [joint for joint in kept if start < joint < end]
            continue
        beside = replace(part, start=part.start if start == low else (start, start),
                         end=part.end if end == high else (end, end))  # fmt: skip
        more, least = _new_joints(beside, leg, walls, given)
        joints, offset = [*joints, *more], min(offset, least)
    return sorted(joints), offset


def _offset(ends: Sequence[float], below: Sequence[float], rules: JointRules) -> float:
    """The offset kept between ends of what stands and the joints below, as a step of ``FALLBACKS_M``."""
    return _step(min((abs(end - other) for end in ends for other in below), default=None), rules)


def _step(near_m: float | None, rules: JointRules) -> float:
    """An offset as a step of ``FALLBACKS_M``; that of the rules where none is given, or where it is no less."""
    near = rules.offset_m if near_m is None else min(near_m, rules.offset_m)
    return next((step for step in (rules.offset_m, *FALLBACKS_M) if step <= near + 1e-9), 0.0)


def _new_joints(
    part: _Part, leg: Leg, walls: Walls, given: tuple[JointRules, Avoid, Below]
) -> tuple[list[float], float]:
    """The same of timber still to be laid."""
    rules, avoid, laid = given
    run = part.run
    if max(part.end) - min(part.start) <= rules.most_m + 1e-9:
        return [], rules.offset_m
    below = laid.get((run.leg, run.course - 1), [])
    steps = [
        end.line_m
        for lower in walls.runs_of(run.leg, run.course - 1)
        for end in (lower.start, lower.end)
        if end.kind == "step"
    ]
    notches = [
        (o.start_m, o.end_m)
        for o in avoid.openings
        if o.leg == run.leg and o.course in (run.course - 1, run.course + 1)
    ]
    marks = [(s, s) for s in (*below, *steps)] + notches
    hard = [
        (s - CLEAR_TIE_M, s + CLEAR_TIE_M)
        for name, course, s in avoid.fixings
        if (name, course) == (run.leg, run.course)
    ]
    hard += _tees(run, leg, walls)
    for offset in (rules.offset_m, *(f for f in FALLBACKS_M if f < rules.offset_m)):
        for shortest in (rules.shortest_m, rules.shortest_m / 2):
            barred = hard + [(low - offset - SLACK_M, high + offset + SLACK_M) for low, high in marks]
            found = _fewest(part, (shortest + SLACK_M, rules.longest_m - SLACK_M), barred)
            if found is not None:
                return found, offset
    for barred in (hard, []):
        found = _fewest(part, (min(0.3, rules.longest_m / 4), rules.longest_m - SLACK_M), barred)
        if found is not None:
            return found, 0.0
    return _even(part, rules.longest_m), 0.0


def _even(part: _Part, longest_m: float) -> list[float]:
    """Equal pieces, where nothing else fits."""
    low, high = min(part.start), max(part.end)
    count = int((high - low) / longest_m) + 1
    return [low + (high - low) * i / count for i in range(1, count)]


def _tees(run: Run, leg: Leg, walls: Walls) -> list[Interval]:
    """Where other legs' timber meets this run between its ends."""
    barred = []
    for node_station in leg.node_stations_m:
        if not run.inner_m[0] < node_station < run.inner_m[1]:
            continue
        others = [other for other in walls.legs if other.id != leg.id and _touches(other, leg, node_station)]
        wide = max((leg.thickness_m / max(0.3, abs(cross(leg.direction, o.direction))) for o in others), default=0.0)
        barred.append((node_station - CLEAR_TEE_M, node_station + wide + CLEAR_TEE_M))
    return barred


def _touches(other: Leg, leg: Leg, station: float) -> bool:
    x, y = leg.point_at(station)
    return any(abs(x - p[0]) < 1e-3 and abs(y - p[1]) < 1e-3 for p in (other.start_m, other.end_m))


def _fewest(part: _Part, lengths: tuple[float, float], barred: Sequence[Interval]) -> list[float] | None:
    """Joints of the fewest pieces; from the far end each piece as long as it may be. None where nothing fits."""
    shortest, longest = lengths
    first, last = min(part.start), max(part.end)
    inner = max(part.start), min(part.end)
    allowed = without([(first, last)], joined(barred))
    reach: list[list[Interval]] = [common([(inner[0] + shortest, first + longest)], allowed)]
    goal = [(last - longest, inner[1] - shortest)]
    while not common(reach[-1], goal):
        spread = joined((low + shortest, high + longest) for low, high in reach[-1])
        after = common(spread, allowed)
        if not after or len(reach) > 200:
            return None
        reach.append(after)
    joints = [_first_in(reach[-1], goal[0])]
    for earlier in reversed(reach[:-1]):
        joints.append(_first_in(earlier, (joints[-1] - longest, joints[-1] - shortest)))
    return joints[::-1]


def _first_in(stretches: Sequence[Interval], bounds: Interval) -> float:
    """Lowest point of the stretches within bounds, ends included (it is known that there is one)."""
    low, high = bounds
    return next(max(a, low) for a, b in stretches if b >= low - 1e-9 and a <= high + 1e-9)


def _pieces(run: Run, leg: Leg, part: _Part, joints: Sequence[float], number: int) -> list[Piece]:
    marks = [part.start, *((s, s) for s in joints), part.end]
    out = []
    for i, (start, end) in enumerate(itertools.pairwise(marks), start=number):
        outline = (
            leg.point_at(start[0], run.offset_m),
            leg.point_at(end[0], run.offset_m),
            leg.point_at(end[1], run.offset_m + leg.thickness_m),
            leg.point_at(start[1], run.offset_m + leg.thickness_m),
        )
        out.append(Piece(f"{run.id}/{i}", run.id, run.leg, run.course, start, end, run.bottom_m, run.top_m, outline))
    return out


def pieces_by_run(pieces: Sequence[Piece]) -> Mapping[str, list[Piece]]:
    """Pieces grouped by their run."""
    table: dict[str, list[Piece]] = {}
    for piece in pieces:
        table.setdefault(piece.run, []).append(piece)
    return table
