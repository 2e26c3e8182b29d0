"""Places in the timber where a pipe can pass: which courses, which stations, between which inverts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from lynchet.core.changed import changed
from lynchet.core.intervals import joined
from lynchet.core.quick import quick
from lynchet.core.standing import READ_M
from lynchet.walls.joints import FALLBACKS_M
from lynchet.walls.model import Run
from lynchet.water.open_timber import joints_at, open_at, sawn_courses, stands_open
from lynchet.water.parts import Part, bounds_at
from lynchet.water.pockets import Piece, Stretch
from lynchet.water.settings import Settings
from lynchet.water.yard import Yard

Interval = tuple[float, float]
_LONG_M = 3.0
_THROUGH_M = 0.35
"""The least a pipe is taken to go on falling through a wall."""
_SAME_M = 1e-6
_WRITTEN_M = 1e-4
"""Places written in a file are those of the plan to this."""


@quick
@dataclass(frozen=True)
class Opening:
    """A notch that would do: one course, or two where the pipe fits no single one."""

    leg: str
    station_m: float
    courses: tuple[int, ...]
    runs: tuple[str, ...]
    bottom_m: float
    top_m: float
    open_top: bool
    lowest_m: float
    """Invert on the chain's line at least, and at most."""
    highest_m: float
    low_face: str
    sawn: int = 0
    """Courses that stand and would have to be sawn here, though an opening that stands might do."""
    beside: bool = False
    """Whether a joint that stands, in its courses or one next to them, is nearer than the least offset of joints."""


def openings_along(yard: Yard, part: Part) -> list[Opening]:
    """Candidate notches along a part, by station.

    Args:
        yard: the earlier results.
        part: a straight run of a chain.
    """
    low, high = sorted((part.from_m, part.to_m))
    found = []
    for piece in part.stretch.pieces:
        start, end = max(low + 0.05, piece.start_m), min(high - 0.05, piece.end_m)
        if end - start > 1e-6 and yard.low_face_kind(piece.low_face) in ("bed", "outside"):
            found += _in_piece(yard, part, piece, (start, end))
    found.sort(key=lambda o: (o.courses, o.station_m))
    return [
        o for i, o in enumerate(found) if not i or o.courses != found[i - 1].courses
        or o.station_m - found[i - 1].station_m > _SAME_M
    ]  # fmt: skip


def spared(yard: Yard, found: list[tuple[int, Opening]]) -> list[tuple[int, Opening]]:
    """Candidates of one chain, by node: timber is spared only where an opening that stands would do, for to lead the
    water through another wall may ask more of that wall than a saw cut of this one."""
    closed = any(o.sawn for _, o in found)
    if closed and not any(stands_open(yard, o.leg, o.courses, o.station_m) for _, o in found):
        return [(node, changed(o, sawn=0)) for node, o in found]
    return found


@dataclass(frozen=True)
class _Behind:
    """A straight part of a chain behind one piece of wall, with the bounds of the pipe looked up once a station."""

    part: Part
    piece: Piece
    settings: Settings
    bounds: dict[float, Interval] = field(default_factory=dict)

    def at(self, station_m: float) -> Interval:
        """Lowest and highest invert at a station."""
        if station_m not in self.bounds:
            self.bounds[station_m] = bounds_at(self.part.stretch, station_m, self.settings)
        return self.bounds[station_m]


def _too_near(yard: Yard, leg: str, courses: tuple[int, ...]) -> list[Interval]:
    """Stations at which the middle of an opening would lie nearer to joints that stand, in its courses or those next to
    them, than joints are apart at least."""
    if not yard.walls.standing.any_stands:
        return []
    off = min(yard.project.brief.joint_offset_m, FALLBACKS_M[-1]) + yard.settings.notch_m / 2
    return joined((at - off, at + off) for at in joints_at(yard, leg, range(courses[0] - 1, courses[-1] + 2)))


def _in_piece(yard: Yard, part: Part, piece: Piece, span: Interval) -> list[Opening]:
    """Single courses, and pairs of courses for the levels between."""
    leg = part.stretch.leg.id
    behind = _Behind(part, piece, yard.settings)
    top = max(behind.at(s)[1] for s in span)
    places = {}
    course = piece.base
    while True:
        windows = yard.windows(leg, course)
        runs = yard.walls.runs_of(leg, course)
        if not runs or min(run.bottom_m for run in runs) > top:
            break
        places[course] = [(w, clip) for w in windows for clip in _clipped(w.stations_m, span)]
        course += 1
    found = [o for k in places for w, clip in places[k] for o in _at(yard, behind, (k,), (w.run,), clip)]
    for k, lowers in places.items():
        above = yard.windows(leg, k + 1) if lowers else ()
        for lower, clip in lowers:
            for upper in above:
                for both in _clipped(upper.stations_m, clip):
                    found += _at(yard, behind, (k, k + 1), (lower.run, upper.run), both)
    return found


def _clipped(intervals: tuple[Interval, ...], span: Interval) -> list[Interval]:
    cut = [(max(a, span[0]), min(b, span[1])) for a, b in intervals]
    return [(a, b) for a, b in cut if b - a >= -1e-9]


def _at(yard: Yard, behind: _Behind, courses: tuple[int, ...], runs: tuple[str, ...], clip: Interval) -> list[Opening]:
    """The ends of a window, the lowest ground in it, its middle where it is long: each where the pipe fits."""
    s = yard.settings
    leg = behind.part.stretch.leg.id
    bottom, top = yard.run[runs[0]].bottom_m, yard.run[runs[-1]].top_m
    least = bottom + s.notch_play_m + s.wall_m + s.fall * _through_m(behind.part.stretch, yard.run[runs[0]])
    most = top - s.notch_play_m - s.outside_m + s.wall_m
    stations = {clip[0], clip[1]}
    if clip[1] - clip[0] > _LONG_M:
        stations.add((clip[0] + clip[1]) / 2)
    ends = [behind.at(x) for x in clip]
    if (ends[0][1] - least) * (ends[1][1] - least) < 0:
        share = (least - ends[0][1]) / (ends[1][1] - ends[0][1])
        stations.add(clip[0] + share * (clip[1] - clip[0]))
    found = []
    barred, known = _too_near(yard, leg, courses), open_at(yard, leg, courses)
    stations = _with_open(stations, known, clip)
    upper = [run.inner_m for run in yard.walls.runs_of(leg, courses[-1] + 1)]
    for station in sorted(stations):
        floor, ceiling = behind.at(station)
        lowest, highest = max(floor, least), min(ceiling, most)
        if lowest <= highest + 1e-9:
            covered = any(start + 0.15 <= station <= end - 0.15 for start, end in upper)
            face, highest = behind.piece.low_face, max(lowest, highest)
            sawn = len(sawn_courses(yard, leg, courses, station))
            beside = any(low + _SAME_M < station < high - _SAME_M for low, high in barred)
            beside = beside and all(abs(at - station) > READ_M for at in known)
            found.append(
                Opening(leg, station, courses, runs, bottom, top, not covered, lowest, highest, face, sawn, beside)
            )
    return found


def _through_m(stretch: Stretch, run: Run) -> float:
    """From the middle of the pipe behind a wall to its front, as the pipe comes through; wide stone sets it back."""
    front = run.offset_m if stretch.held > 0 else run.offset_m + stretch.leg.thickness_m
    return max(_THROUGH_M, abs(stretch.pipe_m - front))


def _with_open(stations: set[float], middles_m: Iterable[float], clip: Interval) -> set[float]:
    """With the middles of openings that stand, where none of the places is one of them already."""
    inside = {min(max(at, clip[0]), clip[1]) for at in middles_m if clip[0] - READ_M <= at <= clip[1] + READ_M}
    return stations | {at for at in inside if all(abs(at - known) > _WRITTEN_M for known in stations)}
