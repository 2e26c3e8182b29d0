"""What the project file says, checked and in SI, in frozen values. Every stage reads this and changes nothing.

Lengths are metres, levels metres above the file's zero, plan points (x, y) with x to the right and y up the page.
After reading, plan coordinates are in the project's own frame (``core.frame``); ``Project.frame`` undoes it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from lynchet.core.frame import Frame

Point = tuple[float, float]
Units = Literal["metric", "us"]
Finish = Literal["wall", "bank", "open", "house"]
Trust = Literal["survey", "fence", "guess"]
Held = Literal["level", "ground", "unknown"]


@dataclass(frozen=True)
class DefaultUsed:
    """A value nobody wrote, and where it comes from."""

    key: str
    value: str
    origin: str
    """A source, or PRACTICE, or MEMORY."""
    note: str = ""


@dataclass(frozen=True)
class Site:
    """Where the yard is; None where the file does not say."""

    latitude_deg: float | None = None
    longitude_deg: float | None = None
    north_deg: float | None = None
    """Bearing of true north measured clockwise from the file's +y axis."""
    frost_depth_m: float | None = None


@dataclass(frozen=True)
class Reading:
    """One ground reading: where, how high, and how well that is known."""

    name: str
    point_m: Point
    level_m: float
    trust_m: float
    """One standard deviation of the level."""


@dataclass(frozen=True)
class GroundSource:
    """Readings of the ground, whatever they were taken with."""

    kind: Literal["slope", "steps", "laser", "level_book", "points"]
    readings: tuple[Reading, ...]
    """At least three, not on one line."""
    held: Held
    """How the tape was held: level, along the ground, or not said."""
    misclosure_m: float | None = None
    """How far the readings fail to close; None where nothing closes them."""
    allowed_misclosure_m: float | None = None
    repeat: tuple[str, ...] = ()
    """Names of readings to take again before ordering."""
    stretch: float = 1.0
    """Level distance over distance as taped; below 1 where the tape lay on the slope and was corrected."""


@dataclass(frozen=True)
class EdgeRule:
    """What is said of one edge of the area's outline (edge i runs from vertex i to the next)."""

    edge: int
    finish: Finish = "wall"
    width_m: float | None = None
    """Width of a bank outside this edge."""
    dig_beyond_m: float | None = None
    """How far one may dig outside this edge; None = not said."""


@dataclass(frozen=True)
class Area:
    """The ground to be terraced."""

    outline_m: tuple[Point, ...]
    """Simple polygon, not closed, either hand."""
    edges: tuple[EdgeRule, ...] = ()

    def rule(self, edge: int) -> EdgeRule:
        """The rule for one edge; the default where the file says nothing."""
        return next((rule for rule in self.edges if rule.edge == edge), EdgeRule(edge))


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


@dataclass(frozen=True)
class Path:
    """A path that stays at the level of the ground and splits beds."""

    name: str
    line_m: tuple[Point, ...]
    width_m: float


@dataclass(frozen=True)
class StepsWish:
    """A flight of steps wished for, from foot to head."""

    name: str
    line_m: tuple[Point, ...]
    width_m: float


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
    stem_m: float | None = None
    height_m: float | None = None
    crown_m: float | None = None


@dataclass(frozen=True)
class LotLine:
    """A line of the lot: nothing of ours may cross it."""

    name: str
    line_m: tuple[Point, ...]
    trust: Trust = "guess"


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
    """Edge or line id ("A0", "W2"), or empty for every front."""
    fixed_to: Literal["top course", "behind", "own posts"] = "behind"
    height_m: float = 0.0
    push_kn_per_m: float = 0.0


@dataclass(frozen=True)
class Soil:
    """The soil behind and under the walls."""

    label: str
    """As people say it: "unknown", "sandy", "clay", or a class of the unified classification."""
    unified_class: str | None
    friction_deg: float
    wall_friction_deg: float
    cohesion_kpa: float
    unit_weight_kn_m3: float
    saturated_unit_weight_kn_m3: float
    base: Literal["stone pad", "bare soil"] = "stone pad"
    clay: bool = False
    known: bool = False
    """False: the values are the cautious ones for soil nobody looked at."""
    friction_spread_deg: float = 3.0


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
class Rain:
    """Rain to drain for."""

    intensity_mm_h: float
    runoff_coefficient: float = 0.35
    storm_mm: float = 25.0
    storm_hours: float = 1.0


@dataclass(frozen=True)
class Spring:
    """Ground water that does not come from rain on the spot."""

    name: str
    line_m: tuple[Point, ...]
    flow_l_s: float | None = None
    cut_off: bool = False
    """A cut-off drain with its own outlet is wished above it."""


@dataclass(frozen=True)
class DrainWish:
    """How the walls are drained."""

    bore_m: float = 0.100
    outside_m: float = 0.110
    least_fall: float = 0.01
    stone_width_m: float = 0.30
    outlets_m: tuple[Point, ...] = ()
    outlet_levels_m: tuple[float | None, ...] = ()
    dig_outside: bool = True


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


@dataclass(frozen=True)
class Stock:
    """A length sold."""

    length_m: float
    price: float | None = None
    on_hand: int = 0


@dataclass(frozen=True)
class Timber:
    """The timber of the walls."""

    course_m: float
    """Height of one course as laid."""
    thickness_m: float
    """Width as laid, across the wall."""
    unit_weight_kn_m3: float
    species: str = "unknown"
    grade: str = "unknown"
    treatment: Literal["ground contact", "above ground", "none", "creosote", "unknown"] = "unknown"
    profile: Literal["square", "rounded"] = "square"
    reused: bool = False
    stock: tuple[Stock, ...] = ()


@dataclass(frozen=True)
class Access:
    """The way in."""

    only_way: bool = False
    """The area is the only way to the ground behind it."""
    passage_m: float | None = None
    """Width of passage to be kept; None where no passage is needed."""
    gate_m: float | None = None
    truck_stop_m: Point | None = None
    heap_m: Point | None = None
    barrow_m3: float = 0.08
    load_m3: float = 7.6


@dataclass(frozen=True)
class HeightRule:
    """One place rule on heights: when is a paper or an engineer needed."""

    name: str
    measure: Literal["retained", "exposed", "base_to_top"]
    limit_m: float
    tiers_add: Literal["never", "always", "setback"] = "never"
    setback_ratio: float = 2.0
    at_limit_counts: bool = False
    surcharge_counts: bool = False


@dataclass(frozen=True)
class Place:
    """Rules of the place; where unknown, the strictest samples stand as questions, never as law."""

    name: str
    known: bool
    heights: tuple[HeightRule, ...]
    building_clear_m: float = 0.0
    lot_clear_m: float = 0.0


@dataclass(frozen=True)
class Planting:
    """What is wished of the beds."""

    food: bool | None = None
    """True where food is grown, None where not said."""
    children: bool = False
    zone: str | None = None
    wishes: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()


@dataclass(frozen=True)
class Prices:
    """Money; empty is allowed."""

    currency: str = ""
    items: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Brief:
    """What is wanted of the terraces; a scheme is another brief over the same yard."""

    terraces: int | None = None
    """None: chosen from the drop."""
    highest_wall_m: float | None = None
    levels: Literal["balance", "equal"] | tuple[float, ...] = "balance"
    lines: Literal["edge", "fall"] = "edge"
    """Lay lines along the area's longest edge near the contour, or square to the fall."""
    lean: float | None = None
    """Set-back over height (1/12); 0 = plumb; None = the default where the rules allow it."""
    embedment_m: float | None = None
    freeboard_m: float = 0.05
    joint_offset_m: float = 0.60
    shortest_piece_m: float = 0.60
    longest_piece_m: float | None = None
    """None: the longest stock."""
    least_bed_m: float = 0.60
    bench_spacing_m: float = 1.0
    path_strip_m: float | None = None
    """Width of a path strip kept on each bench at the foot of the wall above; None = none wished."""
    reach_m: float = 0.60
    one_stick: bool = False
    """Beds no longer than one stick, so that no course has a joint."""
    ties: Literal["auto", "never", "always"] = "auto"
    pins: bool = True
    helps_off: tuple[str, ...] = ()
    """Helps the user does not want counted: "back friction", "buried course", "pins", "returns", "ties"."""
    earthquake: float = 0.0
    """Horizontal coefficient; 0 = not asked."""


@dataclass(frozen=True)
class Scheme:
    """A named brief laid over the first."""

    name: str
    brief: Brief


@dataclass(frozen=True)
class Project:
    """The whole file."""

    units: Units
    name: str
    frame: Frame
    ground: GroundSource
    area: Area
    brief: Brief
    soil: Soil
    rain: Rain
    drain: DrainWish
    timber: Timber
    place: Place
    site: Site = field(default_factory=Site)
    houses: tuple[House, ...] = ()
    paths: tuple[Path, ...] = ()
    steps: tuple[StepsWish, ...] = ()
    fixed: tuple[Fixed, ...] = ()
    lot_lines: tuple[LotLine, ...] = ()
    own_lines: tuple[OwnLine, ...] = ()
    loads: tuple[Load, ...] = ()
    on_wall: tuple[OnWall, ...] = ()
    holes: tuple[Hole, ...] = ()
    springs: tuple[Spring, ...] = ()
    soakaways: tuple[Soakaway, ...] = ()
    access: Access = field(default_factory=Access)
    planting: Planting = field(default_factory=Planting)
    prices: Prices = field(default_factory=Prices)
    schemes: tuple[Scheme, ...] = ()
    defaults: tuple[DefaultUsed, ...] = ()
