"""What holds each wall: load cases, checks, ties and pins, tiers, the whole slope. What the stability stage gives.

A *place* is one cross-section of a wall: a leg, the side it holds, a station. Its *joints* are counted from 0 (the
base, under the lowest course) upward. A *case* is a load case. A *help* is one of the things the wall stands by.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import ceil
from typing import Literal

from lynchet.core.findings import Finding, Verdict, Working
from lynchet.core.quick import quick

Point = tuple[float, float]
Case = Literal["dry", "wet", "one outlet shut", "all shut", "load", "earthquake"]
CASES: tuple[Case, ...] = ("dry", "wet", "one outlet shut", "all shut", "load", "earthquake")
HelpName = Literal["own weight", "back friction", "buried course", "pins", "screws", "corners", "ties"]
FrontGround = Literal["undug", "bed", "house"]


@dataclass(frozen=True)
class Strip:
    """The bench of a tier above as a strip load at the level of the wall's top."""

    kpa: float
    near_m: float
    """From the back of the wall to its near edge."""
    width_m: float
    factor: float
    """2 where it begins within the wall's own wedge, else 1."""


@quick
@dataclass(frozen=True)
class Place:
    """One cross-section of a wall with all that pushes and holds there. Levels in metres of the file's datum."""

    leg: str
    held: int
    """+1: the timber side (left) is the high one; -1: the right."""
    station_m: float
    stretch: int
    """Number of the stretch (a piece of the leg between changes of base, top, faces or water) it stands for."""
    courses: int
    base_m: float
    """Underside of the lowest course."""
    top_m: float
    low_m: float
    high_m: float
    backslope_deg: float
    """Rise of the ground behind, 0 on a bench."""
    front_fall_deg: float
    """Fall of the ground in front, away from the wall."""
    front: FrontGround
    """What lies in front: undug ground counts as a help, a bed only below the depth it is dug."""
    lean_deg: float
    """Positive: leans back into the fill."""
    wet_m: float | None
    one_shut_m: float | None
    all_shut_m: float | None
    by_stone: bool = False
    """Drained by stone alone: its water level is a guess of half the height held, no pipe's."""
    undrained: bool = False
    """Neither pipe nor stone counts: water stands to the top in every case."""
    two_ways: bool = False
    """Two ways out are asked for and laid: all shut takes two blocked outlets."""
    weep_m: float | None = None
    """Level to which water can rise at most while the weep holes near it are open; None where none serve it."""
    surcharge_kpa: float = 0.0
    """Load over the bench within the total height behind the wall."""
    strips: tuple[Strip, ...] = ()
    """Weights of the tiers above that are not independent."""

    @property
    def retained_m(self) -> float:
        """High side less low side."""
        return self.high_m - self.low_m

    @property
    def course_m(self) -> float:
        """Height of one course."""
        return (self.top_m - self.base_m) / self.courses

    @property
    def held_courses(self) -> int:
        """Courses that hold ground, the buried ones not counted."""
        return max(1, ceil(self.retained_m / self.course_m - 0.05))

    @property
    def buried_m(self) -> float:
        """Timber below the ground in front."""
        return max(0.0, self.low_m - self.base_m)


@quick
@dataclass(frozen=True)
class Help:
    """One thing the wall stands by, at one joint in one case."""

    name: HelpName
    kn_per_m: float
    """Against sliding."""
    kn_m_per_m: float
    """Against overturning."""
    counted: bool
    why: str = ""
    """Why it is not counted, or what it shares with another."""


@quick
@dataclass(frozen=True)
class JointCheck:
    """Sliding and overturning at one joint of one place in one case."""

    place: Place
    joint: int
    case: Case
    vertical_kn_per_m: float
    horizontal_kn_per_m: float
    resisting_kn_m_per_m: float
    overturning_kn_m_per_m: float
    sliding_bare: float
    """Own weight and back friction alone."""
    sliding: float
    """With every help counted."""
    overturning_bare: float
    overturning: float
    helps: tuple[Help, ...]


@quick
@dataclass(frozen=True)
class BaseCheck:
    """Pressure on the ground under the base."""

    place: Place
    case: Case
    pressure_kpa: float
    allowable_kpa: float
    effective_width_m: float


@dataclass(frozen=True)
class CornerCheck:
    """A front of one-stick courses that stands as a box by its lapped corners and pinned returns."""

    leg: str
    start_m: float
    end_m: float
    return_m: float
    """Shorter of the two returns, clear behind the front."""
    case: Case
    sliding: float
    overturning: float
    corner_pull_kn: float
    """Largest pull of one course at a corner, passed to the fixing."""
    corner_pulls_kn: tuple[float, ...]
    fixing_kn: float
    """What the corner fixing carries."""
    bending_mpa: float
    allowable_mpa: float
    sag_mm: float
    row: int = -1
    """Row of the table at its base."""
    working: Working | None = None


@dataclass(frozen=True)
class TieCheck:
    """The ties of one place in one case: what each must hold and what holds it."""

    place: Place
    case: Case
    demand_kn: float
    """Largest force in one tie."""
    capacity_kn: float
    holds_by: Literal["friction", "cross-piece"]
    fixing_kn: float
    """Strength of its fixing to the face."""
    base_demand_kn_per_m: float
    """Share of the push left to the base."""
    base_capacity_kn_per_m: float
    top_row: int
    """Course of the highest row here, the lowest course being 0: what stands above it is not tied."""
    rows: tuple[tuple[float, float], ...] = ()
    """Height above the base and spacing of every row, the lowest first."""


@dataclass(frozen=True)
class Tie:
    """A timber laid back into the fill (a deadman), with a cross-piece at its end, both one course high."""

    id: str
    """``{leg}/{course}/tie{n}``, n in order along the leg."""
    leg: str
    held: int
    course: int
    station_m: float
    """Its middle."""
    length_m: float
    """From the back of the face."""
    bottom_m: float
    top_m: float
    outline_m: tuple[Point, ...]
    cross_outline_m: tuple[Point, ...]
    """Cross-piece, square to the tie at its far end."""
    cross_length_m: float


@quick
@dataclass(frozen=True)
class Pin:
    """A steel bar driven through the lowest course into the ground."""

    id: str
    leg: str
    course: int
    station_m: float
    point_m: Point
    diameter_m: float
    top_m: float
    bottom_m: float


WEEP_BORE_M = 0.025
"""Bore of a weep hole, 1 in. PRACTICE."""
WEEP_FALL_M = 0.01
"""Fall of a weep hole from the back of the timber to its front. PRACTICE."""
WEEP_CLOTH_M = {"metric": 0.15, "us": 0.1524}
"""Side of the square of filter fabric over a weep hole at the back. PRACTICE."""


@quick
@dataclass(frozen=True)
class Weep:
    """A hole bored through the lowest seen course, falling to the front: water behind comes out where a drain is shut.

    At the back its middle lies higher than at the front by ``WEEP_FALL_M``.
    """

    id: str
    """``{leg}/weep{n}``, n in order along the leg."""
    leg: str
    held: int
    course: int
    station_m: float
    point_m: Point
    """Its mouth at the front."""
    up_m: float
    """Middle of its mouth over the underside of its course: a quarter, half or three quarters of the course."""
    level_m: float
    """Of the middle of its mouth."""
    outline_m: tuple[Point, ...]
    """Through the timber, in plan."""
    chain: str
    """The stone it lets water out of."""

    @property
    def bottom_m(self) -> float:
        """Lowest point of the bore, at the front."""
        return self.level_m - WEEP_BORE_M / 2.0

    @property
    def back_top_m(self) -> float:
        """Highest point of the bore, at the back: water need not stand higher to come out."""
        return self.level_m + WEEP_FALL_M + WEEP_BORE_M / 2.0


@quick
@dataclass(frozen=True)
class TierCheck:
    """Two walls one above the other in one section."""

    lower: str
    upper: str
    lower_height_m: float
    """Base to top, buried part included."""
    upper_height_m: float
    """Retained."""
    setback_m: float
    """Face to face."""
    needed_m: float
    reach_m: float
    independent: bool


@dataclass(frozen=True)
class HeightCheck:
    """A height as one place rule counts it."""

    rule: str
    measure: str
    height_m: float
    limit_m: float
    tiers: int
    triggered: bool
    walls: tuple[str, ...]
    """The whole stack that was looked at, the lowest first."""
    counted: tuple[str, ...] = ()
    """Those of them whose heights make up ``height_m``: one alone, or those added up."""
    working: Working | None = None
    loaded: tuple[str, ...] = ()
    """Walls whose load on the ground above sets the rule off though the height does not; empty where the height does
    or nothing does."""


@dataclass(frozen=True)
class SlopeCheck:
    """The whole slope: why it was looked at, and the least factor found."""

    triggers: tuple[str, ...]
    case: Case
    factor: float | None
    """None where no circle could be tried; the trigger then asks for an engineer."""
    centre_m: Point | None = None
    radius_m: float | None = None
    ends_m: tuple[float, float] | None = None
    """Where the circle leaves the ground, along the section."""
    working: Working | None = None
    """Calculator and arguments that give this factor again: the section and the circle."""


@quick
@dataclass(frozen=True)
class WallVerdict:
    """The word on one leg, with the check that governs."""

    leg: str
    verdict: Verdict
    governing: str
    """Which check, in words."""
    case: str
    factor: float | None
    helps: tuple[HelpName, ...]
    """Helps the verdict rests on."""
    tied: bool = False
    by_corners: bool = False


@dataclass(frozen=True)
class Stability:
    """What the stability stage gives."""

    places: tuple[Place, ...]
    joints: tuple[JointCheck, ...]
    """At every place the governing joint of each case, and every joint of the governing place of each leg."""
    bases: tuple[BaseCheck, ...]
    corners: tuple[CornerCheck, ...]
    tie_checks: tuple[TieCheck, ...]
    ties: tuple[Tie, ...]
    pins: tuple[Pin, ...]
    tiers: tuple[TierCheck, ...]
    heights: tuple[HeightCheck, ...]
    slope: tuple[SlopeCheck, ...]
    walls: tuple[WallVerdict, ...]
    findings: tuple[Finding, ...]
    weeps: tuple[Weep, ...] = ()
    """Bored only where the file asks for them."""

    @cached_property
    def _ties(self) -> dict[str, tuple[Tie, ...]]:
        table: dict[str, tuple[Tie, ...]] = {}
        for tie in self.ties:
            table[tie.leg] = (*table.get(tie.leg, ()), tie)
        return table

    def ties_of(self, leg: str) -> tuple[Tie, ...]:
        """Ties of one leg, by course and station."""
        return self._ties.get(leg, ())

    def pins_of(self, leg: str) -> tuple[Pin, ...]:
        """Pins of one leg, in order along it."""
        return tuple(pin for pin in self.pins if pin.leg == leg)

    def weeps_of(self, leg: str) -> tuple[Weep, ...]:
        """Weep holes of one leg, in order along it."""
        return tuple(hole for hole in self.weeps if hole.leg == leg)

    def wall(self, leg: str) -> WallVerdict | None:
        """The verdict on one leg; None where it holds nothing."""
        return next((wall for wall in self.walls if wall.leg == leg), None)
