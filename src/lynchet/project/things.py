"""Things in and round the yard that the file names: what stays, what is wished, what loads the ground."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

Point = tuple[float, float]
Trust = Literal["survey", "fence", "guess"]


@dataclass(frozen=True)
class House:
    """A building that stays."""

    name: str
    outline_m: tuple[Point, ...]
    floor_m: float | None = None
    siding_lowest_m: float | None = None
    siding: str = "unknown"
    footing_depth_m: float | None = None
    """Depth of the footing's underside below the ground there."""
    roof_area_m2: float = 0.0
    downspouts_m: tuple[Point, ...] = ()
    built_year: int | None = None
    eaves_m: float | None = None
    """Height of the eaves over the floor, or over the ground where no floor is given."""
    ridge_m: float | None = None
    """Height of the ridge likewise; None for a flat roof."""
    far_side: Literal["measured", "assumed"] = "measured"
    """How its side away from the yard is known."""


@dataclass(frozen=True)
class Path:
    """A path that stays at the level of the ground and splits beds."""

    name: str
    line_m: tuple[Point, ...]
    width_m: float

    def band(self, beside_m: float = 0.0) -> Any:
        """What it covers (shapely), with so much ground at either side; its ends are square."""
        import shapely

        return shapely.LineString(self.line_m).buffer(self.width_m / 2 + beside_m, cap_style="flat")


LANDING_M = {"metric": 0.9, "us": 0.9144}
"""Least depth of a landing in the direction of travel, and where the file asks for none: 36 in, International
Residential Code R311.7.6 (MEMORY); 0.9 m where it is measured in metres (PRACTICE). Ask what the local code says."""


@dataclass(frozen=True)
class StepsWish:
    """A flight of steps wished for, from foot to head."""

    name: str
    line_m: tuple[Point, ...]
    width_m: float
    landing_m: float | None = None
    """Depth of its landings, the way one walks; None = as usual in the units of the file."""


@dataclass(frozen=True)
class Fixed:
    """A thing that stays: tree, service, septic field, old wall, rock, or anything else, with the ground it needs."""

    id: str
    kind: Literal["tree", "service", "septic", "wall", "rock", "well", "pole", "other"]
    name: str
    line_m: tuple[Point, ...]
    """One point, a line, or (with ``closed``) an outline."""
    closed: bool = False
    clear_m: float = 0.0
    """Side clearance to keep from it; a tree's root radius."""
    depth_m: float | None = None
    """Depth of its top below the ground where known; None = at any depth."""
    buried: bool = False
    """Found while digging: nothing is laid out round it, and only what reaches down to it meets it."""
    stem_m: float | None = None
    height_m: float | None = None
    crown_m: float | None = None

    @cached_property
    def shape(self) -> Any:
        """Its point, line or outline (shapely), without what is kept clear round it."""
        import shapely

        if len(self.line_m) == 1:
            return shapely.Point(self.line_m[0])
        outlined = self.closed and len(self.line_m) > 2
        return shapely.Polygon(self.line_m) if outlined else shapely.LineString(self.line_m)


@dataclass(frozen=True)
class LotLine:
    """A line of the lot: nothing of ours may cross it."""

    name: str
    line_m: tuple[Point, ...]
    trust: Trust = "guess"
    height_m: float | None = None
    """Height of a fence or hedge on it over the ground."""


@dataclass(frozen=True)
class OwnLine:
    """A wall line of the user's own, in place of the one laid out in front of a terrace (counted from 1, lowest)."""

    terrace: int
    line_m: tuple[Point, ...]


@dataclass(frozen=True)
class Load:
    """A load on the ground behind a wall: a parked car, a shed, a path."""

    name: str
    outline_m: tuple[Point, ...]
    pressure_kpa: float


@dataclass(frozen=True)
class OnWall:
    """Something that stands on or just behind a wall: fence, seat, cap, rail, tub."""

    kind: Literal["fence", "seat", "cap", "rail", "tub"]
    at: str
    """Edge or line id ("A0", "W2"), or empty for every wall but those beside steps."""
    fixed_to: Literal["top course", "behind", "own posts"] = "behind"
    height_m: float = 0.0
    push_kn_per_m: float = 0.0


@dataclass(frozen=True)
class Hole:
    """A test hole."""

    name: str
    point_m: Point | None
    depth_m: float
    feel: str = ""
    water_depth_m: float | None = None
    refusal_depth_m: float | None = None
    soak_min: float | None = None
    """Minutes for 150 mm of water to go."""


@dataclass(frozen=True)
class Spring:
    """Ground water that does not come from rain on the spot."""

    name: str
    line_m: tuple[Point, ...]
    flow_l_s: float | None = None
    cut_off: bool = False
    """A cut-off drain with its own outlet is wished above it."""


@dataclass(frozen=True)
class Soakaway:
    """A pit of stone that takes water where no daylight is low enough."""

    name: str
    point_m: Point
    inlet_m: float | None
    length_m: float
    width_m: float
    depth_m: float
    voids: float = 0.30
    soak_mm_h: float | None = None
