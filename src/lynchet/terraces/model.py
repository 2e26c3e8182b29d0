"""Faces, wall lines, flights and the course lattice: what the terraces stage gives.

Everything is in the project's own frame (``core.frame``): the outline runs anticlockwise, so the area lies on the left
of every outline edge. **Every line is drawn so that the timber of a wall on it lies on its left**: inside the area on
edges, uphill on the lines between benches. "Left" and "right" below mean the left and right of the line from its
``start_m`` to its ``end_m``.

Ids come from the file. Lines: ``A3`` outline edge 3, ``A3.2`` its second part in order along it; ``H1`` edge 1 of the
first house (``H1b`` of the second); ``P0L`` ``P0R`` ``P0S`` ``P0E`` the sides and ends of path 0; ``F0.2`` side 2 of
fixed thing 0; ``S0.2L`` the left cheek of the flight of wish 0 up to terrace 2; ``W2`` the line in front of terrace 2;
``CA2H3`` a corner cut between A2 and H3. Faces: ``B2`` the bed of terrace 2, ``B2.2`` its second part, ``P0``, ``F0``
(a second part ``P0b``), the id of a flight, ``outside`` and ``house``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import dist
from typing import Any, Literal

from lynchet.core.findings import Finding
from lynchet.core.quick import quick

Point = tuple[float, float]
FaceKind = Literal["bed", "path", "kept", "flight", "house", "outside"]

OUTSIDE = "outside"
"""Face id of the ground outside the outline, as it is."""
HOUSE = "house"
"""Face id of any building: it holds itself, nothing is built against it."""


@dataclass(frozen=True)
class Level:
    """Finished level and flat."""

    level_m: float


@dataclass(frozen=True)
class AsGround:
    """Left at the level of the ground."""


@dataclass(frozen=True)
class Treads:
    """A flight's own steps: tread i reaches from going i to going i + 1 along ``direction`` from ``origin_m``."""

    origin_m: Point
    """Middle of the foot."""
    direction: Point
    """Unit vector from foot to head."""
    going_m: float
    levels_m: tuple[float, ...]
    """Level of each tread, from the foot."""

    def level_at(self, point: Point) -> float:
        """Level of the tread at a plan point; beyond the ends that of the first or last tread."""
        dx, dy = point[0] - self.origin_m[0], point[1] - self.origin_m[1]
        along = (dx * self.direction[0] + dy * self.direction[1]) / self.going_m
        return self.levels_m[max(0, min(len(self.levels_m) - 1, int(along)))]


Finish = Level | AsGround | Treads


@quick
@dataclass(frozen=True)
class Face:
    """A piece of the plan with one finish."""

    id: str
    kind: FaceKind
    outline_m: tuple[Point, ...]
    """Outer ring, anticlockwise, not closed."""
    holes_m: tuple[tuple[Point, ...], ...]
    finish: Finish
    terrace: int = 0
    """Number of the bed's terrace, from 1 (lowest); 0 for every other kind."""
    area_m2: float = 0.0
    cut_m3: float = 0.0
    """Ground above the finished level (bank measure); 0 unless a bed."""
    fill_m3: float = 0.0
    """Space under the finished level down to the ground, timber not taken off; 0 unless a bed."""
    strip_m: tuple[tuple[Point, ...], ...] = ()
    """Outlines of the path strips kept at the foot of the walls that stand over it; empty where none is wished."""

    @cached_property
    def polygon(self) -> Any:
        """The face as a shapely polygon."""
        from shapely.geometry import Polygon

        return Polygon(self.outline_m, self.holes_m)

    @property
    def level_m(self) -> float:
        """The finished level of a bed.

        Raises:
            TypeError: the face is not finished flat.
        """
        if not isinstance(self.finish, Level):
            raise TypeError(f"face {self.id} has no single level")
        return self.finish.level_m


@dataclass(frozen=True)
class Side:
    """What lies left and right of a line between two of its stations."""

    start_m: float
    end_m: float
    left: str
    """Face id; the timber's side."""
    right: str


LineRole = Literal["edge", "front", "cheek"]


@dataclass(frozen=True)
class WallLine:
    """A straight line on which a wall may stand; whether one does is settled by the levels on its two sides."""

    id: str
    start_m: Point
    end_m: Point
    role: LineRole
    """edge: boundary of the area (outline, house, path, fixed thing, cut corner); front: between benches; cheek: side
    or head of a flight."""
    source: str
    """Id without its part number: the outline edge, house edge, path side, own or laid line it comes from."""
    sides: tuple[Side, ...]
    """From station 0 to the line's length, in order, cut at the junctions."""
    junctions: tuple[tuple[float, int], ...]
    """(station, index into ``Terraces.junctions_m``) of every junction on the line, its two ends included."""
    finish: Literal["wall", "bank", "open", "house"] = "wall"
    bank_width_m: float = 0.0
    """Width of the sloped bank outside, where the finish is ``bank``."""
    dig_beyond_m: float | None = None
    """How far one may dig outside; None = not said."""
    own: bool = False
    """True for the user's own line."""

    @property
    def length_m(self) -> float:
        """Length in plan."""
        return dist(self.start_m, self.end_m)


@dataclass(frozen=True)
class Lattice:
    """Levels of the whole courses that all connected walls share.

    Course ``k`` lies from ``bottoms_m[k]`` to ``bottoms_m[k + 1]``; the last entry is the top of the highest course.
    A bed's level is one freeboard under a lattice level. A run that stands otherwise says so itself
    (``walls.model.Run.bottom_m``): nobody computes a level as datum and count but the walls stage.
    """

    course_m: float
    bottoms_m: tuple[float, ...]


FlightKind = Literal["projecting", "recessed", "through"]


@dataclass(frozen=True)
class Tread:
    """One step of a flight: a box with its plan outline, from what it rests on to its top."""

    id: str
    """Flight id and number from the foot: "S0.2/1"."""
    outline_m: tuple[Point, ...]
    bottom_m: float
    """Underside of the box: on its drain stone on firm ground, or on the step below."""
    top_m: float


@dataclass(frozen=True)
class LandingStone:
    """A strip of the tamped stone under a landing on ground that is no bed."""

    id: str
    """Flight, end and strip along the way up: "S0.2/foot.1"."""
    outline_m: tuple[Point, ...]
    bottom_m: float
    top_m: float

    @property
    def volume_m3(self) -> float:
        """As tamped."""
        ring = [*self.outline_m, self.outline_m[0]]
        return 0.5 * abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(ring))) * (self.top_m - self.bottom_m)


@dataclass(frozen=True)
class Landing:
    """Flat ground kept free at the foot or the head of a flight."""

    where: Literal["foot", "head"]
    outline_m: tuple[Point, ...]
    level_m: float
    face: str
    stone: tuple[LandingStone, ...] = ()
    """What it lies on where it lies on no bed."""


@dataclass(frozen=True)
class Flight:
    """A flight of steps over one wall (or, kind ``through``, over several benches)."""

    id: str
    """``S{wish}.{terrace}``: number of the wish in the file, terrace its head stands on (one past the highest for
    the ground above)."""
    kind: FlightKind
    wish: int
    line: str
    """Wall line it climbs; of a through flight the lowest."""
    station_m: float
    """Where its middle crosses that line."""
    width_m: float
    risers: int
    riser_m: float
    going_m: float
    foot_level_m: float
    head_level_m: float
    direction: Point
    """Unit vector in plan from foot to head."""
    outline_m: tuple[Point, ...]
    """Ground it takes up, landings not included."""
    treads: tuple[Tread, ...]
    landings: tuple[Landing, ...]
    lines: tuple[str, ...] = ()
    """Every wall line it climbs, the lowest first."""


@dataclass(frozen=True)
class Terraces:
    """What the terraces stage gives.

    Where a finding is a ``stop`` of the yard (``refused``) there are no lines and junctions, and the faces are what can
    be shown.
    """

    faces: tuple[Face, ...]
    lines: tuple[WallLine, ...]
    junctions_m: tuple[Point, ...]
    """Points where lines meet, each once."""
    flights: tuple[Flight, ...]
    lattice: Lattice
    fall: Point
    """Mean gradient of the ground over the area, pointing uphill; its length is the slope."""
    along: Point
    """Unit vector along the lines between benches; uphill is on its left."""
    levels_m: tuple[float, ...]
    """Finished level of each terrace, the lowest first."""
    wished: int
    """Number of terraces asked for, or chosen from the drop before the yard was looked at."""
    area_outlines_m: tuple[tuple[tuple[Point, ...], ...], ...]
    """The cleaned area: for each part its outer ring (anticlockwise) and holes (clockwise)."""
    findings: tuple[Finding, ...]
    refused: bool = False

    @cached_property
    def _faces(self) -> dict[str, Face]:
        return {face.id: face for face in self.faces}

    @property
    def unwalled(self) -> bool:
        """Whether the file has an edge end as a bank or open: levels may differ there without a wall."""
        return any(line.finish in ("bank", "open") for line in self.lines)

    def face(self, face: str) -> Face | None:
        """The face of this id; None for ``outside`` and ``house``, which have no outline of their own."""
        return self._faces.get(face)

    @property
    def beds(self) -> tuple[Face, ...]:
        """The beds, the lowest terrace first."""
        return tuple(face for face in self.faces if face.kind == "bed")
