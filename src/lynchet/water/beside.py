"""What is looked at beside the drains: catchments, houses, roofs, soakaways, springs, sums, what found no way out."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist
from typing import Literal

Point = tuple[float, float]


@dataclass(frozen=True)
class Catchment:
    """Ground whose rain reaches one chain."""

    id: str
    chain: str
    kind: Literal["bed", "bank", "flight", "kept"]
    area_m2: float
    flow_l_s: float
    """At the design rain."""


@dataclass(frozen=True)
class TopWater:
    """What runs off on top of a bench, and where to, when the ground is full or the drain is shut."""

    face: str
    area_m2: float
    flow_l_s: float
    over: str
    """Leg over whose top it spills (the lowest rim), or empty where the bench ends in open ground."""
    station_m: float
    rim_m: float
    onto: str
    """Face it falls on: a lower bed, a path, ``outside``."""


@dataclass(frozen=True)
class HouseCheck:
    """One check of water and soil against a building."""

    house: str
    edge: int
    what: Literal["fall away", "siding clear", "trench", "roof water"]
    face: str
    """Face beside the house, or id of the trench."""
    measured: float
    needed: float
    unit: str
    ok: bool


@dataclass(frozen=True)
class RoofPipe:
    """Roof water on its own solid pipe from a downspout to its own outlet, never into a wall drain."""

    id: str
    house: str
    points_m: tuple[Point, ...]
    inverts_m: tuple[float, ...]
    flow_l_s: float
    bore_m: float
    outside_m: float
    outlet: str


@dataclass(frozen=True)
class SoakawayCheck:
    """A soakaway of the file with what runs into it."""

    name: str
    point_m: Point
    outline_m: tuple[Point, ...]
    inlet_m: float
    bottom_m: float
    top_m: float
    area_m2: float
    """Area drained to it."""
    inflow_m3: float
    store_m3: float
    required_m3: float
    half_empty_h: float | None
    passes: bool
    drains: tuple[str, ...]


@dataclass(frozen=True)
class CutOffStone:
    """Drain stone round a part of a cut-off drain, as wide as its trench, with the fabric wrapped round it."""

    id: str
    pipe: str
    """Id of the straight part of the pipe that lies in it."""
    outline_m: tuple[Point, ...]
    start_m: Point
    end_m: Point
    bottom_start_m: float
    bottom_end_m: float
    top_start_m: float
    top_end_m: float
    volume_m3: float
    """Pipe taken off."""
    fabric_m2: float

    @property
    def length_m(self) -> float:
        """Length in plan."""
        return dist(self.start_m, self.end_m)


@dataclass(frozen=True)
class CutOff:
    """A drain across the slope above the walls that takes spring water to an outlet of its own."""

    id: str
    spring: str
    points_m: tuple[Point, ...]
    inverts_m: tuple[float, ...]
    flow_l_s: float
    bore_m: float
    outside_m: float
    outlet: str
    holed: int
    """So many of its points, from its upper end, lie on pipe with holes, which takes the spring in; the pipe after them
    has none, so that nothing seeps out again beside the walls."""
    stone: tuple[CutOffStone, ...] = ()
    """From its upper end along the spring."""

    @property
    def holed_points_m(self) -> tuple[Point, ...]:
        """The part with holes."""
        return self.points_m[: self.holed]

    @property
    def solid_points_m(self) -> tuple[Point, ...]:
        """The part without."""
        return self.points_m[self.holed - 1 :]

    @property
    def stone_m3(self) -> float:
        """Stone in place, the pipe taken off."""
        return sum(part.volume_m3 for part in self.stone)

    @property
    def stone_length_m(self) -> float:
        """Length in plan that lies in stone."""
        return sum(part.length_m for part in self.stone)

    @property
    def fabric_m2(self) -> float:
        """What is used of the roll."""
        return sum(part.fabric_m2 for part in self.stone)


@dataclass(frozen=True)
class Refused:
    """A chain for which no way out was found."""

    chain: str
    leg: str
    station_m: float
    """Place of the best try."""
    highest_outlet_m: float
    """An outlet of this level or lower there would do."""
    misses_m: float | None
    """How far the best option lies too high; None where there was none at all."""


@dataclass(frozen=True)
class Quantities:
    """Sums for people and for the order."""

    drain_pipe_m: float
    solid_pipe_m: float
    roof_pipe_m: float
    stone_m3: float
    fabric_m2: float
    outlets: int
    notches: int
    fittings: tuple[tuple[str, int], ...]
    cost_points: float
    """What the search made least (points about money)."""
