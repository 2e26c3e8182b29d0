"""Drains as a graph, what they are made of, and the level water stands at: what the water stage gives.

A *pocket* is the ground behind a wall: one high face (a bed, the bank outside, a flight, a kept strip) along every leg
that holds it. A *chain* is one open or closed line of pipe through a pocket: it turns corners and passes tees behind
the timber. Timber is crossed only at a *notch*. A *sink* is where a chain gives its water away; from there it runs in
*solid* pipe (no holes) to an outlet, or into another drain that lies lower.

Levels are metres in the file's datum, plan points in the own frame. An *invert* is the lowest point of the bore.

Ids come from the file: chain "B2/W2" (high face, first leg of the chain), its drains "B2/W2/1" in order along the
chain, solid pipe "B2/W2/1/out", notch "W2/7/notch" (leg, lowest course cut; a second one "W2/7/notch.2"), outlet
"B2/W2/1/outlet", stone "B2/W2/stone/3", fabric "B2/W2/fabric/3" (edge of the chain), fitting "B2/W2/1/bend.2".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import hypot
from typing import Literal

from lynchet.core.findings import Finding
from lynchet.core.quick import quick
from lynchet.water.beside import Catchment, CutOff, HouseCheck, Quantities, Refused, RoofPipe, SoakawayCheck, TopWater

__all__ = [
    "Body", "Catchment", "Chain", "ChainEdge", "ChainNode", "CutOff", "Drain", "Fabric", "Fitting", "HouseCheck",
    "Notch", "Outlet", "Quantities", "Refused", "RoofPipe", "SoakawayCheck", "SolidPipe", "Stone", "TopWater",
    "Water", "WaterLevel",
]  # fmt: skip

Point = tuple[float, float]
BodyKind = Literal[
    "drain pipe", "solid pipe", "roof pipe", "fitting", "outlet", "stone", "fabric", "soakaway", "cut-off",
    "cut-off stone",
]  # fmt: skip


@quick
@dataclass(frozen=True)
class Body:
    """One placed thing: plan outline, bottom and top; both may slope evenly from ``start_m`` to ``end_m``."""

    id: str
    kind: BodyKind
    part_of: str
    """Id of the drain, solid pipe, chain or outlet it belongs to."""
    outline_m: tuple[Point, ...]
    """Anticlockwise, not closed."""
    start_m: Point
    end_m: Point
    bottom_start_m: float
    bottom_end_m: float
    top_start_m: float
    top_end_m: float

    @property
    def bottom_m(self) -> float:
        """Its lowest point."""
        return min(self.bottom_start_m, self.bottom_end_m)

    @property
    def top_m(self) -> float:
        """Its highest point."""
        return max(self.top_start_m, self.top_end_m)

    def levels_at(self, point: Point) -> tuple[float, float]:
        """(bottom, top) beside a plan point; beyond the ends those of the end."""
        dx, dy = self.end_m[0] - self.start_m[0], self.end_m[1] - self.start_m[1]
        square = dx * dx + dy * dy
        along = ((point[0] - self.start_m[0]) * dx + (point[1] - self.start_m[1]) * dy) / square if square else 0.0
        share = min(1.0, max(0.0, along))
        return (
            self.bottom_start_m + share * (self.bottom_end_m - self.bottom_start_m),
            self.top_start_m + share * (self.top_end_m - self.top_start_m),
        )


@quick
@dataclass(frozen=True)
class ChainNode:
    """A point of a chain between which the pipe runs straight."""

    id: str
    """``{chain}/n{number}``, from the chain's lower end."""
    point_m: Point
    leg: str
    """Leg behind which it lies (at a corner the first of the two)."""
    station_m: float
    kind: Literal["end", "corner", "step", "plain"]
    floor_m: float
    """Lowest invert: bottom of the stone bed plus the stone under the pipe."""
    ceiling_m: float
    """Highest invert: cover over the crown, and water not ponding too high behind the wall."""
    low_m: float
    """Ground or bench level in front of the wall."""
    surface_m: float
    """Level of the high face here."""
    wall_top_m: float
    """Top of the timber here."""


@quick
@dataclass(frozen=True)
class ChainEdge:
    """A straight stretch of a chain, from node i to node i + 1."""

    leg: str
    start_station_m: float
    """Stations on the leg at the edge's two nodes; may fall along the chain."""
    end_station_m: float
    held: Literal[1, -1]
    """+1 where the timber side (left) of the leg is the high one."""
    length_m: float
    held_height_m: float
    """Largest difference of level between the two sides on this edge."""
    base_m: float
    """Underside of the lowest timber course here."""
    low_face: str


@quick
@dataclass(frozen=True)
class Chain:
    """The line of pipe through one pocket. Its first node is its lower end, so a mirrored yard gives the same chain."""

    id: str
    high_face: str
    nodes: tuple[ChainNode, ...]
    edges: tuple[ChainEdge, ...]
    """One less than the nodes; as many as the nodes where the chain is closed (the last edge returns to node 0)."""
    closed: bool
    catchment_m2: float

    @property
    def length_m(self) -> float:
        """Length of the whole chain."""
        return sum(edge.length_m for edge in self.edges)


SinkKind = Literal["direct", "tail", "inside", "join", "within", "across", "given", "soakaway"]


@quick
@dataclass(frozen=True)
class Drain:
    """One perforated pipe (holes down) of a chain between two of its nodes, falling from both ends to its sink."""

    id: str
    chain: str
    nodes: tuple[int, ...]
    """Indices of the chain's nodes it passes, in order along the chain."""
    points_m: tuple[Point, ...]
    """One per node."""
    inverts_m: tuple[float, ...]
    """One per node."""
    sink: int
    """Index into ``nodes`` of the lowest point, where it is let out."""
    sink_kind: SinkKind
    into: str
    """Id of the outlet or drain it runs to."""
    bore_m: float
    outside_m: float
    own_flow_l_s: float
    """From its own ground at the design rain."""
    flow_l_s: float
    """With what other drains bring."""
    capacity_l_s: float
    """Of the pipe running full at its least fall."""


@quick
@dataclass(frozen=True)
class SolidPipe:
    """Pipe without holes from the sink of a drain to an outlet or into another drain."""

    id: str
    drain: str
    points_m: tuple[Point, ...]
    inverts_m: tuple[float, ...]
    """One per point, never rising."""
    side: tuple[Literal["inside", "outside", "through"], ...]
    """One per part between points: under a bench, outside the walls, or through timber."""
    bore_m: float
    outside_m: float
    flow_l_s: float
    into: str
    """Id of the outlet, drain or solid pipe at its end."""

    @property
    def length_m(self) -> float:
        """Length in plan."""
        pairs = zip(self.points_m, self.points_m[1:], strict=False)
        return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairs)


@quick
@dataclass(frozen=True)
class Notch:
    """An opening in one or two courses for a pipe, as high as the course. Each of its courses becomes two runs there:
    a joint for the rule of joint offsets, and no tie, pin or screw within 0.15 m of its edge."""

    id: str
    leg: str
    courses: tuple[int, ...]
    runs: tuple[str, ...]
    """Ids of the runs it cuts, one per course."""
    station_m: float
    """Its middle."""
    width_m: float
    bottom_m: float
    top_m: float
    open_top: bool
    """It cuts the top course: no timber bridges it."""
    drain: str
    outline_m: tuple[Point, ...]
    """Through the timber, in plan."""

    @property
    def stations_m(self) -> tuple[float, float]:
        """Where the opening starts and ends along the leg."""
        return self.station_m - self.width_m / 2, self.station_m + self.width_m / 2


@dataclass(frozen=True)
class Outlet:
    """Where water leaves our pipes."""

    id: str
    kind: Literal["daylight", "given", "soakaway"]
    point_m: Point
    direction: Point
    """Unit vector in which it pours."""
    invert_m: float
    ground_m: float
    """Level of the ground under the mouth (of a soakaway or given outlet: its own level)."""
    flow_l_s: float
    drains: tuple[str, ...]
    """Every drain whose water comes out here."""
    apron_m: tuple[Point, ...] = ()
    """Outline of the stone apron; empty where none is needed."""

    @property
    def drop_m(self) -> float:
        """Free fall from the invert to the ground."""
        return self.invert_m - self.ground_m


FittingKind = Literal["bend 22", "bend 45", "bend 90", "tee", "wye", "cap", "cleanout", "screen"]


@quick
@dataclass(frozen=True)
class Fitting:
    """A bend, branch, cap, cleanout (upright pipe with a lid, to rinse and rod the drain) or screen."""

    id: str
    kind: FittingKind
    drain: str
    """Drain or solid pipe it belongs to."""
    point_m: Point
    invert_m: float
    top_m: float
    """Crown of the pipe; of a cleanout the lid, flush with the ground."""


@quick
@dataclass(frozen=True)
class Stone:
    """Drain stone round the pipe of one edge of a chain, from the bottom of the stone bed to the surface less cover."""

    id: str
    chain: str
    edge: int
    leg: str
    outline_m: tuple[Point, ...]
    start_m: Point
    end_m: Point
    width_m: float
    bottom_m: float
    top_start_m: float
    top_end_m: float
    volume_m3: float
    """Pipe taken off."""
    pipe: bool
    """False where stone alone drains a low stretch."""


@quick
@dataclass(frozen=True)
class Fabric:
    """Filter fabric round the drain stone of one edge of a chain."""

    id: str
    chain: str
    edge: int
    outline_m: tuple[Point, ...]
    bottom_m: float
    top_m: float
    length_m: float
    developed_width_m: float
    """Cut width: bottom, back and top of the stone and the overlap; nothing against the timber."""

    @property
    def area_m2(self) -> float:
        """What is used of the roll."""
        return self.length_m * self.developed_width_m


@quick
@dataclass(frozen=True)
class WaterLevel:
    """Level water stands at behind one stretch of a leg, by load case. Dry needs no row: no water."""

    leg: str
    held: Literal[1, -1]
    start_m: float
    end_m: float
    """Stations on the leg, start below end."""
    chain: str
    drained: Literal["pipe", "stone", "none"]
    """By a pipe, by stone alone, or not at all (the chain found no way out)."""
    wet_m: float
    one_shut_m: float
    all_shut_m: float
    two_ways: bool = False
    """With its own way out shut the water runs over to another that leaves by another outlet."""


@dataclass(frozen=True)
class Water:
    """What the water stage gives."""

    chains: tuple[Chain, ...]
    drains: tuple[Drain, ...]
    solids: tuple[SolidPipe, ...]
    notches: tuple[Notch, ...]
    outlets: tuple[Outlet, ...]
    fittings: tuple[Fitting, ...]
    stone: tuple[Stone, ...]
    fabric: tuple[Fabric, ...]
    levels: tuple[WaterLevel, ...]
    """For every stretch of every leg that holds ground higher than the least height; see :meth:`levels_of`."""
    catchments: tuple[Catchment, ...]
    top_water: tuple[TopWater, ...]
    house_checks: tuple[HouseCheck, ...]
    roof_pipes: tuple[RoofPipe, ...]
    soakaways: tuple[SoakawayCheck, ...]
    cut_offs: tuple[CutOff, ...]
    refused: tuple[Refused, ...]
    quantities: Quantities
    bodies: tuple[Body, ...]
    """Every placed thing of this stage but the notches (openings), once."""
    findings: tuple[Finding, ...]

    @cached_property
    def _levels(self) -> dict[str, tuple[WaterLevel, ...]]:
        table: dict[str, tuple[WaterLevel, ...]] = {}
        for row in self.levels:
            table[row.leg] = (*table.get(row.leg, ()), row)
        return table

    @cached_property
    def _notches(self) -> dict[str, tuple[Notch, ...]]:
        table: dict[str, tuple[Notch, ...]] = {}
        for notch in self.notches:
            table[notch.leg] = (*table.get(notch.leg, ()), notch)
        return table

    def levels_of(self, leg: str) -> tuple[WaterLevel, ...]:
        """Water levels behind one leg, in order along it; stretches without a row hold too little to matter."""
        return self._levels.get(leg, ())

    def level_at(self, leg: str, station_m: float) -> WaterLevel | None:
        """The row at a station of a leg (the worst of two where they meet), or None where there is none."""
        rows = [row for row in self.levels_of(leg) if row.start_m - 1e-9 <= station_m <= row.end_m + 1e-9]
        return max(rows, key=lambda row: (row.all_shut_m, row.wet_m), default=None)

    @property
    def led_away(self) -> tuple[RoofPipe | CutOff, ...]:
        """Pipes of roofs and springs, which no wall drain takes in."""
        return (*self.roof_pipes, *self.cut_offs)

    def notches_of(self, leg: str) -> tuple[Notch, ...]:
        """Notches of one leg."""
        return self._notches.get(leg, ())

    def chain(self, chain: str) -> Chain:
        """The chain of this id.

        Raises:
            KeyError: there is none.
        """
        for found in self.chains:
            if found.id == chain:
                return found
        raise KeyError(chain)
