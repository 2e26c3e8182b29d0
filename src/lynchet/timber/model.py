"""Sticks to buy and how each is cut, fasteners, strength, weights: what the timber stage gives.

A *stick* is a length as sold; a *piece* is what is cut from it (a piece of a course, a tie, a cross-piece, a timber of
a step). Levels are metres in the file's datum, plan points in the own frame.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from math import hypot
from typing import Literal

from lynchet.core.findings import Finding, Working
from lynchet.core.quick import quick
from lynchet.terraces.step_frames import StepPiece

Point = tuple[float, float]
StickSource = Literal["bought", "on hand", "special"]
FastenerKind = Literal["screw", "corner pin", "tie screw"]


@quick
@dataclass(frozen=True)
class Stick:
    """One stick and what is cut from it, in order."""

    stock_m: float
    pieces: tuple[str, ...]
    """Ids of pieces, ties ("{tie id}"), cross-pieces ("{tie id}/cross") and steps ("{tread id}/front"), longest
    first."""
    lengths_m: tuple[float, ...]
    source: StickSource = "bought"
    """special: longer than any stock, to be asked for."""
    kerf_m: float = 0.0
    trim_m: float = 0.0
    """Cut off the first end before anything is measured."""
    over_m: float = 0.0
    """How much longer than its name the stick is."""

    @property
    def left_m(self) -> float:
        """What is left over, saw cuts and trim not taken off."""
        return self.stock_m + self.over_m - sum(self.lengths_m)

    @property
    def offcut_m(self) -> float:
        """What can still be used: trim and saw cuts taken off; 0 where nothing is left."""
        cuts = self.kerf_m * len(self.pieces)
        return max(0.0, self.left_m - self.trim_m - cuts)

    @property
    def saw_cuts(self) -> int:
        """Cuts across this stick: the trim, between pieces, and behind the last where something is left."""
        behind = self.left_m - self.trim_m - self.kerf_m * (len(self.pieces) - 1) > 5e-4
        return len(self.pieces) - 1 + int(behind) + int(self.trim_m > 0)


@dataclass(frozen=True)
class StockLine:
    """How many sticks of one length."""

    length_m: float
    bought: int
    on_hand: int
    """Used of those on hand."""
    special: bool
    price_each: float | None
    """None where the file has no price."""

    @property
    def price(self) -> float | None:
        """Of those bought."""
        if self.bought == 0:
            return 0.0
        return None if self.price_each is None else self.bought * self.price_each


@dataclass(frozen=True)
class CutProof:
    """What the cutting costs and the least that any cutting of these pieces can cost."""

    measure: Literal["price", "length"]
    """length: metres bought, where not every stock length has a price."""
    cost: float
    """Special sticks left out: there is no choice about them."""
    bound: float
    gap_pct: float
    """How far the cost may be above the least there is, in per cent of the bound."""
    proven: bool
    words: str
    """"no cutting of these pieces costs less", or "at most 3.2 % above the least"."""


@quick
@dataclass(frozen=True, slots=True)
class Fastener:
    """A screw or pin in its place. Upright ones are driven from above; tie screws lie level, square to the face."""

    id: str
    kind: FastenerKind
    leg: str
    course: int
    """The upper course of the two it joins; that of the tie for a tie screw."""
    station_m: float
    point_m: Point
    """Middle of its head in plan."""
    end_m: Point
    """Its tip in plan: the same point for an upright one."""
    diameter_m: float
    length_m: float
    top_m: float
    bottom_m: float

    @property
    def outline_m(self) -> tuple[Point, ...]:
        """Plan outline: a square round an upright one, a strip for a level one."""
        (x, y), (u, v), half = self.point_m, self.end_m, self.diameter_m / 2.0
        if (x, y) == (u, v):
            return (x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)
        along = half / hypot(u - x, v - y)
        dx, dy = -(v - y) * along, (u - x) * along
        return (x - dx, y - dy), (u - dx, v - dy), (u + dx, v + dy), (x + dx, y + dy)


@dataclass(frozen=True)
class FastenerLine:
    """How many of one kind and size."""

    kind: Literal["screw", "corner pin", "tie screw", "base pin", "step screw"]
    what: str
    """In plain words."""
    diameter_m: float
    length_m: float
    drill_m: float
    """Hole to drill first; 0 = none."""
    coating: str
    count: int


@dataclass(frozen=True)
class Strength:
    """What timber of this species and grade may carry for good, wet."""

    practice: Literal["us", "eu"]
    label: str
    """Species and grade, or strength class, as used."""
    assumed: bool
    """True where the file did not say and the weakest of the table stands in."""
    bending_mpa: float
    shear_mpa: float
    modulus_mpa: float
    """For lasting loads."""
    specific_gravity: float
    """Oven-dry, for fasteners."""
    density_kg_m3: float
    """Characteristic in European practice."""
    connection_factor: float
    """Lasting load over the reference value of a fastener (load duration; modification over the partial factor)."""
    load_factor: float
    """What loads are multiplied by before they are compared (1 in United States practice)."""
    source: str


@dataclass(frozen=True)
class MemberCheck:
    """One check of a timber or of its fixing at the worst place of a wall."""

    what: Literal["bending", "shear", "sag", "bending over a notch", "joint between ties", "tie fixing",
                  "cross-piece bending", "corner pin"]  # fmt: skip
    leg: str
    place: str
    """Run, tie or leg."""
    case: str
    span_m: float
    demand: float
    """Load factor included."""
    capacity: float
    unit: str
    workings: tuple[Working, ...] = ()

    @property
    def ratio(self) -> float:
        """Capacity over demand."""
        return self.capacity / self.demand if self.demand > 0 else 99.0


@dataclass(frozen=True)
class Preservative:
    """Liquid for cut ends and notch faces."""

    cut_ends: int
    area_m2: float
    litres: float
    rate_l_m2: float
    source: str


@dataclass(frozen=True)
class Stamp:
    """What to look for on the timber."""

    use_category: str
    """AWPA: UC4A at least, UC4B where it is hard to renew."""
    use_class: int
    """EN 335."""
    words: str


@quick
@dataclass(frozen=True)
class PieceWeight:
    """Weight of one piece."""

    piece: str
    length_m: float
    mass_kg: float
    people: int
    """Who should lift it."""


@dataclass(frozen=True)
class Timber:
    """What the timber stage gives."""

    sticks: tuple[Stick, ...]
    stock: tuple[StockLine, ...]
    """By length; the special ones last."""
    bought_m: float
    used_m: float
    """Of pieces, ties, cross-pieces and steps."""
    method: str
    """How the cuts were found, in words."""
    least_sticks: int
    """No cutting can do with fewer of the longest stock."""
    price: float | None
    """None where a stock length that is bought has no price."""
    proof: CutProof
    fasteners: tuple[Fastener, ...] = ()
    """Base pins are in the stability stage's ``pins``."""
    fastener_lines: tuple[FastenerLine, ...] = ()
    """Base pins and screws of steps included; without what is driven already, where courses stand."""
    strength: Strength | None = None
    checks: tuple[MemberCheck, ...] = ()
    preservative: Preservative | None = None
    stamp: Stamp | None = None
    weights: tuple[PieceWeight, ...] = ()
    """The heaviest first."""
    lift_limit_kg: float = 0.0
    """What two people may lift."""
    volume_m3: float = 0.0
    """Of everything cut from the sticks, as built."""
    mass_kg: float = 0.0
    """Of all sticks bought or taken from hand."""
    steps: tuple[StepPiece, ...] = ()
    """Timbers of the flights of steps; on the sticks by their ids."""
    findings: tuple[Finding, ...] = ()

    @property
    def count(self) -> int:
        """Number of sticks."""
        return len(self.sticks)

    @cached_property
    def by_kind(self) -> Counter[str]:
        """Placed fasteners by kind."""
        return Counter(fastener.kind for fastener in self.fasteners)
