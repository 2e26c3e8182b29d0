"""The built geometry of the walls: what the walls stage gives.

A *leg* is one straight wall line with its timber on the left of ``start_m`` -> ``end_m``. A *station* is the distance
along the leg from ``start_m``. The *line side* of the timber is the line itself (moved by the lean), the *far side* is
the face one thickness to the left. All levels are metres in the file's datum, all plan points in the own frame.

Ids: leg = line id ("A3", "W2.2"); run "W2/12" is course 12 of leg W2 (parts "W2/12.2" in order along the leg); piece
"W2/12/1"; node "N4". Course numbers are those of the lattice, the same on all legs; ``Run.row`` counts for people,
from the lowest course of the leg, 1 first.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from lynchet.core.findings import Finding
from lynchet.core.quick import quick
from lynchet.core.standing import Standing
from lynchet.walls.bank import Bank
from lynchet.walls.bank_end import BankEnd
from lynchet.walls.pegs import SettingOut

Point = tuple[float, float]
Interval = tuple[float, float]


@quick
@dataclass(frozen=True)
class Span:
    """A stretch of a leg on which the levels on both sides are straight lines and the faces do not change.

    Cut at junctions, ground crossings and where the higher side changes; spans cover the whole leg, also where no wall
    stands. ``left0_m`` is the level on the left at ``start_m``, ``left1_m`` at ``end_m``, and so on.
    """

    start_m: float
    end_m: float
    left0_m: float
    left1_m: float
    right0_m: float
    right1_m: float
    left: str
    """Face id on the left (timber side): a bed, path, flight, kept thing, ``outside`` or ``house``."""
    right: str

    @cached_property
    def held(self) -> int:
        """+1 where the left (timber side) is the higher, -1 where the right is, 0 where they are equal."""
        difference = self.left0_m + self.left1_m - self.right0_m - self.right1_m
        return (difference > 0) - (difference < 0)

    @property
    def high_face(self) -> str:
        """Face id of the higher side (left where equal)."""
        return self.right if self.held < 0 else self.left

    @property
    def low_face(self) -> str:
        """Face id of the lower side (right where equal)."""
        return self.left if self.held < 0 else self.right

    @property
    def high0_m(self) -> float:
        """Higher level at the start."""
        return self.right0_m if self.held < 0 else self.left0_m

    @property
    def high1_m(self) -> float:
        """Higher level at the end."""
        return self.right1_m if self.held < 0 else self.left1_m

    @property
    def low0_m(self) -> float:
        """Lower level at the start."""
        return self.left0_m if self.held < 0 else self.right0_m

    @property
    def low1_m(self) -> float:
        """Lower level at the end."""
        return self.left1_m if self.held < 0 else self.right1_m

    def levels_at(self, station_m: float) -> tuple[float, float]:
        """(left, right) levels at a station of this span."""
        share = (station_m - self.start_m) / (self.end_m - self.start_m)
        return (
            self.left0_m + share * (self.left1_m - self.left0_m),
            self.right0_m + share * (self.right1_m - self.right0_m),
        )


@quick
@dataclass(frozen=True)
class Segment:
    """A stretch of standing wall with one base and one top course."""

    start_m: float
    end_m: float
    base: int
    """Lowest course."""
    top: int
    """Highest course (the last one laid, not the level above it)."""


@quick
@dataclass(frozen=True)
class FootingStep:
    """A change of the base (``which`` base) or of the top of a leg."""

    leg: str
    station_m: float
    from_course: int
    """Base or top course before the step, seen along the leg."""
    to_course: int
    which: Literal["base", "top"]


@quick
@dataclass(frozen=True)
class Arm:
    """One leg as it leaves a node: ``way`` +1 toward higher stations, -1 toward lower ones."""

    leg: str
    way: int
    station_m: float


@quick
@dataclass(frozen=True)
class Node:
    """A point where legs meet; ``station_m`` of its arms is the number every other part uses for it."""

    id: str
    point_m: Point
    arms: tuple[Arm, ...]
    """A leg that passes has two arms."""

    @property
    def kind(self) -> Literal["end", "corner", "tee", "crossing"]:
        """end: one arm; corner: two legs end here; tee: one ends at another that passes; crossing: anything else."""
        passing = {arm.leg for arm in self.arms if sum(other.leg == arm.leg for other in self.arms) == 2}
        ends = len(self.arms) - 2 * len(passing)
        if not passing and ends < 3:
            return "end" if ends == 1 else "corner"
        return "tee" if (len(passing), ends) == (1, 1) else "crossing"


@quick
@dataclass(frozen=True)
class End:
    """How a run ends. A cut is a straight line in plan, given by its station on either side of the timber."""

    kind: Literal["lap", "butt", "mitre", "end", "step"]
    """lap: runs on to the far face of the other leg; butt: stops at its near face; mitre: cut on the bisector; step:
    square, at a step of base or top; end: where the wall dies, or at the far line of a leg without timber (a house)."""
    line_m: float
    """Station on the line side."""
    far_m: float
    """Station on the far side."""
    other: str = ""
    """The leg it meets, if any."""
    node: str = ""


@quick
@dataclass(frozen=True)
class Run:
    """One course of one leg from end to end, laid of one or more pieces."""

    id: str
    leg: str
    course: int
    row: int
    """For people: counted from the leg's lowest course, 1 first."""
    bottom_m: float
    top_m: float
    start: End
    end: End
    outline_m: tuple[Point, ...]
    """Plan outline, four corners anticlockwise: line side start, line side end, far side end, far side start."""
    offset_m: float = 0.0
    """How far the lean has moved this course to the left."""
    clear_m: tuple[Interval, ...] = ()
    """Stations free of skew cuts and of other legs' timber on this course; see ``Walls.windows``."""

    @cached_property
    def polygon(self) -> Any:
        """The plan outline as a shapely polygon."""
        from shapely.geometry import Polygon

        return Polygon(self.outline_m)

    @cached_property
    def inner_m(self) -> Interval:
        """Stations over which the run has its full thickness."""
        return max(self.start.line_m, self.start.far_m), min(self.end.line_m, self.end.far_m)

    @cached_property
    def outer_m(self) -> Interval:
        """Stations from the first timber to the last."""
        return min(self.start.line_m, self.start.far_m), max(self.end.line_m, self.end.far_m)


@quick
@dataclass(frozen=True)
class Piece:
    """One length of timber in a run. Inner joints are square; the outer ends are the run's own cuts."""

    id: str
    run: str
    leg: str
    course: int
    start_m: tuple[float, float]
    """Stations of its start on the line side and on the far side."""
    end_m: tuple[float, float]
    bottom_m: float
    top_m: float
    outline_m: tuple[Point, ...]

    @property
    def length_m(self) -> float:
        """Length of the stick it is cut from: from the first timber to the last."""
        return max(self.end_m) - min(self.start_m)

    @property
    def mean_length_m(self) -> float:
        """Of its two faces."""
        return 0.5 * (sum(self.end_m) - sum(self.start_m))

    @cached_property
    def polygon(self) -> Any:
        """The plan outline as a shapely polygon."""
        from shapely.geometry import Polygon

        return Polygon(self.outline_m)


@quick
@dataclass(frozen=True)
class Leg:
    """One straight wall line with what is built on it."""

    id: str
    role: Literal["edge", "front", "cheek"]
    start_m: Point
    end_m: Point
    direction: Point
    """Unit vector along the leg."""
    normal: Point
    """Unit vector to the left: from the line side to the far side of the timber."""
    length_m: float
    thickness_m: float
    node_stations_m: tuple[float, ...]
    """Stations of its nodes, its ends included where legs meet there."""
    spans: tuple[Span, ...]
    """Over the whole leg."""
    segments: tuple[Segment, ...]
    """Only where a wall stands; stretches apart from each other leave a gap."""
    setback_m: float = 0.0
    """Lean: move to the left for each course above the leg's lowest; 0 = plumb."""
    embedment_m: float = 0.15

    def point_at(self, station_m: float, left_m: float = 0.0) -> Point:
        """Plan point at a station, ``left_m`` to the left of the line."""
        (x, y), (along_x, along_y), (left_x, left_y) = self.start_m, self.direction, self.normal
        return x + station_m * along_x + left_m * left_x, y + station_m * along_y + left_m * left_y

    def station_of(self, point: Point) -> float:
        """Station of the foot of the perpendicular from a plan point."""
        (x, y), (ux, uy) = self.start_m, self.direction
        return (point[0] - x) * ux + (point[1] - y) * uy

    def span_at(self, station_m: float) -> Span:
        """The span at a station (the earlier one on a boundary; the first or last beyond the ends)."""
        starts = self._span_starts_m
        found = bisect_right(starts, station_m) - 1
        if found > 0 and station_m == starts[found]:
            found -= 1
        return self.spans[found if found > 0 else 0]

    @cached_property
    def _span_starts_m(self) -> list[float]:
        return [span.start_m for span in self.spans]

    def segment_at(self, station_m: float) -> Segment | None:
        """The segment standing at a station, or None where no wall stands."""
        return next((seg for seg in self.segments if seg.start_m <= station_m <= seg.end_m), None)

    @cached_property
    def lowest_course(self) -> int:
        """The lowest course anywhere on the leg.

        Raises:
            ValueError: nothing stands on the leg.
        """
        return min(segment.base for segment in self.segments)


@quick
@dataclass(frozen=True)
class Windows:
    """Where the middle of an opening of a given width may lie in one run."""

    run: str
    leg: str
    course: int
    open: bool
    """The run is the top course here (an opening in it is open above)."""
    stations_m: tuple[Interval, ...]


@dataclass(frozen=True)
class Walls:
    """What the walls stage gives: built geometry only, no soil, no water, no joints.

    Pieces are laid later (``walls.joints.lay_pieces``), when notches, ties and pins have their places.
    Where the yard is refused there are no legs, nodes and runs.
    """

    legs: tuple[Leg, ...]
    """Every line, in the order of the file; a leg on which nothing stands has no segments and no runs."""
    nodes: tuple[Node, ...]
    runs: tuple[Run, ...]
    """By leg, then course, then along the leg."""
    steps: tuple[FootingStep, ...]
    setting_out: SettingOut
    findings: tuple[Finding, ...]
    standing: Standing = field(default_factory=Standing)
    """What of it stands already: the stages that count what is to come leave it out."""
    banks: tuple[Bank, ...] = ()
    bank_ends: tuple[BankEnd, ...] = ()
    """Soil of a bank round the end of a front, the lowest first: each lies over what is below it."""

    @property
    def shaped(self) -> tuple[Bank | BankEnd, ...]:
        """Banks and their ends round fronts; a later one lies over the earlier ones."""
        return (*self.banks, *self.bank_ends)

    @cached_property
    def _legs(self) -> dict[str, Leg]:
        return {leg.id: leg for leg in self.legs}

    @cached_property
    def _runs(self) -> dict[tuple[str, int], tuple[Run, ...]]:
        table: dict[tuple[str, int], tuple[Run, ...]] = {}
        for run in self.runs:
            table[run.leg, run.course] = (*table.get((run.leg, run.course), ()), run)
        return table

    def leg(self, leg: str) -> Leg:
        """The leg of this id.

        Raises:
            KeyError: there is none.
        """
        return self._legs[leg]

    def stands(self, piece: Piece) -> bool:
        """Whether a piece stands already, by its middle."""
        return self.standing.stands(piece.leg, piece.course, 0.25 * (sum(piece.start_m) + sum(piece.end_m)))

    def runs_of(self, leg: str, course: int) -> tuple[Run, ...]:
        """Runs of one course of one leg, in order along it; empty where none is laid."""
        return self._runs.get((leg, course), ())

    def windows(self, leg: str, course: int, width_m: float) -> tuple[Windows, ...]:
        """Where the middle of an opening may lie in one course of a leg.

        Clear of laps, butts and mitres by 0.15 m, of steps and free ends by 0.30 m, of other legs' timber that stands
        on this course (butting in between) by 0.15 m, each plus half the opening.

        Args:
            leg: leg id.
            course: course number of the lattice.
            width_m: width of the opening along the wall, over 0.

        Returns:
            For each run of the course its free stations; runs without any are left out.
        """
        found = []
        for run in self.runs_of(leg, course):
            free = tuple((low + width_m / 2, high - width_m / 2) for low, high in run.clear_m if high - low >= width_m)
            if free:
                found.append(Windows(run.id, leg, course, not self.runs_of(leg, course + 1), free))
        return tuple(found)
