"""What the project file says, checked and in SI, in frozen values. Every stage reads this and changes nothing.

Lengths are metres, levels metres above the file's zero, plan points (x, y) with x to the right and y up the page.
After reading, plan coordinates are in the project's own frame (``core.frame``); ``Project.frame`` undoes it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from lynchet.core.frame import Frame
from lynchet.project.digging import Digging
from lynchet.project.firm import Firm, Offer
from lynchet.project.money import ItemPrice, OwnJob, OwnRate, Prices, WorksWish
from lynchet.project.planting_wish import LEAST_SOIL_M, Planting
from lynchet.project.sheet_block import SheetBlock
from lynchet.project.so_far import SoFar
from lynchet.project.things import Fixed, Hole, House, Load, LotLine, OnWall, OwnLine, Path, Soakaway, Spring, StepsWish
from lynchet.project.views import EyeView

Point = tuple[float, float]
Units = Literal["metric", "us"]
Finish = Literal["wall", "bank", "open", "house"]
Held = Literal["level", "ground", "unknown"]

__all__ = [
    "Access",
    "Area",
    "Brief",
    "DefaultUsed",
    "Digging",
    "DrainWish",
    "EdgeRule",
    "EyeView",
    "Firm",
    "Fixed",
    "GroundSource",
    "HeightRule",
    "Hole",
    "House",
    "ItemPrice",
    "Load",
    "LotLine",
    "Offer",
    "OnWall",
    "OwnJob",
    "OwnLine",
    "OwnRate",
    "Path",
    "Place",
    "Planting",
    "Prices",
    "Project",
    "Rain",
    "Reading",
    "Scheme",
    "Site",
    "Soakaway",
    "Soil",
    "Spring",
    "StepsWish",
    "Stock",
    "Timber",
    "WorksWish",
]


@dataclass(frozen=True)
class DefaultUsed:
    """A value nobody wrote, and where it comes from: a source, or PRACTICE, or MEMORY."""

    key: str
    value: str
    origin: str
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
    """Readings of the ground, whatever they were taken with; places corrected for a tape held on the slope."""

    kind: Literal["slope", "steps", "laser", "level_book", "points"]
    readings: tuple[Reading, ...]
    """At least three, not on one line."""
    held: Held
    """How the tape was held: level, along the ground, or not said."""
    misclosure_m: float | None = None
    """How far the readings fail to close; None where nothing closes them."""
    allowed_misclosure_m: float | None = None
    setups: int = 1
    """How often the instrument or the board was set up; what is allowed grows with the root of it."""
    repeat: tuple[str, ...] = ()
    """Names of readings to take again before ordering."""
    mark: tuple[str, float] | None = None
    """Name and level of the mark the levels were read from, where it is no reading of the ground."""
    start: Reading | None = None
    """Where levels stepped with a board began, and with which: a place one can find again, unlike the readings that
    stand for the whole width."""
    stretch: float = 1.0
    """Level distance over distance as taped; below 1 where the tape lay on the slope and was corrected."""
    stretch_if_ground: float = 1.0
    """What ``stretch`` would be had the tape lain on the ground: the size of the question where ``held`` is unknown."""
    one_way_m: float | None = None
    """How far the readings could miss with every step off the same way, where they were stepped with a board."""
    sure: tuple[str, ...] = ()
    """Names of readings taken twice: however odd they look, they are right."""
    thinned_m: float = 0.0
    """How far levels may be off (95 in 100) because a big file was thinned on reading."""
    notes: tuple[str, ...] = ()
    """What was odd in the readings themselves: sums in a level book that do not follow from its readings."""


@dataclass(frozen=True)
class EdgeRule:
    """What is said of one edge of the area's outline (edge i runs from vertex i to the next)."""

    edge: int
    finish: Finish = "wall"
    width_m: float | None = None
    """Width of a bank outside this edge."""
    dig_beyond_m: float | None = None
    """How far one may dig outside this edge, its inset included; None = not said."""
    inset_m: float = 0.0
    """How far the edge was moved inward from where the file draws it."""


@dataclass(frozen=True)
class Area:
    """The ground to be terraced."""

    outline_m: tuple[Point, ...]
    """Simple polygon, not closed, either hand."""
    edges: tuple[EdgeRule, ...] = ()
    drawn_m: tuple[Point, ...] = ()
    """Corners as the file draws them, where an inset moved edges; empty where none did."""

    corners_m = property(lambda self: self.drawn_m or self.outline_m, doc="Corners to be found on site, as drawn.")

    def rule(self, edge: int) -> EdgeRule:
        """The rule for one edge; the default where the file says nothing."""
        return next((rule for rule in self.edges if rule.edge == edge), EdgeRule(edge))


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
class Rain:
    """Rain to drain for."""

    intensity_mm_h: float
    runoff_coefficient: float = 0.35
    storm_mm: float = 25.0
    storm_hours: float = 1.0


@dataclass(frozen=True)
class DrainWish:
    """How the walls are drained: by a pipe from ``pipe_from_m`` held, None: from where stone alone may not drain."""

    bore_m: float = 0.100
    outside_m: float = 0.110
    least_fall: float = 0.01
    stone_width_m: float = 0.30
    outlets_m: tuple[Point, ...] = ()
    outlet_levels_m: tuple[float | None, ...] = ()
    dig_outside: bool = True
    ways_out: int = 1
    """Ways out for the water behind each wall: 2 lays a second one wherever there is one."""
    pipe_from_m: float | None = None
    named_only: bool = False
    """Water of the walls may leave by the outlets and soakaways of the file alone."""


@dataclass(frozen=True)
class Stock:
    """A length of timber that is sold, on hand, or both."""

    length_m: float
    price: float | None = None
    on_hand: int = 0
    sold: bool = True
    """Whether more of it can be bought."""


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
    name: str = ""
    kerf_m: float = 0.003
    """What a saw cut takes."""
    end_trim_m: float = 0.0
    """Cut off every stick before anything is measured."""
    over_length_m: float = 0.0
    """How much longer than its name a stick is."""

    @property
    def sold(self) -> tuple[Stock, ...]:
        """The lengths that can be bought."""
        return tuple(row for row in self.stock if row.sold)

    @property
    def longest_m(self) -> float | None:
        """Longest piece that a stick to be bought yields; None where no stock is named."""
        longest = max((row.length_m for row in self.sold), default=None)
        return None if longest is None else max(0.0, longest + self.over_length_m - self.end_trim_m)


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
    gate_at_m: Point | None = None
    street_m: float | None = None
    """Narrowest gap on the truck's way."""
    tip_at_heap: bool | None = None
    """The truck can get to the heap; None where not said."""
    payload_kg: float | None = None


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
    """Width of a path strip kept on each bench at the foot of every wall over it; None = none wished."""
    reach_m: float = 0.60
    dig_depth_m: float = 0.20
    """How deep the beds may be dug later: the buried course and the ties must do without what lies above."""
    one_stick: bool = False
    """Beds no longer than one stick, so that no course has a joint."""
    ties: Literal["auto", "never", "always"] = "auto"
    pins: bool = True
    weeps: bool = False
    """Weep holes bored through the lowest seen course, counted as a way out for water where an outlet is shut."""
    helps_off: tuple[str, ...] = ()
    """Helps the user does not want counted: back friction, buried course, pins, screws, returns, ties."""
    earthquake: float = 0.0
    """Horizontal coefficient; 0 = not asked."""


@dataclass(frozen=True)
class Scheme:
    """A named brief laid over the first."""

    name: str
    brief: Brief
    option: str = ""
    """Words under which the client is offered it; empty: it is for your own eyes."""


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
    views: tuple[EyeView, ...] = ()
    holes: tuple[Hole, ...] = ()
    springs: tuple[Spring, ...] = ()
    soakaways: tuple[Soakaway, ...] = ()
    access: Access = field(default_factory=Access)
    digging: Digging = field(default_factory=Digging)
    planting: Planting = field(default_factory=Planting)
    prices: Prices = field(default_factory=Prices)
    works: WorksWish = field(default_factory=WorksWish)
    offer: Offer = field(default_factory=Offer)
    schemes: tuple[Scheme, ...] = ()
    so_far: SoFar = field(default_factory=SoFar)
    sheet: SheetBlock = field(default_factory=SheetBlock)
    defaults: tuple[DefaultUsed, ...] = ()

    @property
    def firm(self) -> Firm:
        """Who makes the drawings and the offer."""
        return self.offer.firm

    @property
    def bed_soil_m(self) -> float:
        """Depth of good soil in the beds: as said, else topsoil and compost, one spit at least."""
        said = self.planting.bed_soil_m
        return said if said is not None else max(LEAST_SOIL_M, self.digging.topsoil_m + self.planting.compost_m)
