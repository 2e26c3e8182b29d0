"""Soil dug, filled, pushed out, heaped, carried and carted: what the earth stage gives.

*Bank* measure is soil as it lies in the ground, *loose* as it is dug and carried, *compacted* as it is placed and
tamped. *Placed* is the volume a thing takes up where it stays: timber, stone, bed soil, mulch. Everything in cubic
metres, plan points in the own frame, levels in the file's datum.

Places: a bed ("B2"), a flight ("S0.2"), a bank (the id of its line, "A3"), and for what is dug outside the area the
wall, drain or soakaway it is dug for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lynchet.core.findings import Finding
from lynchet.core.quick import quick

Point = tuple[float, float]
Measure = Literal["bank", "compacted", "placed"]
MoveKind = Literal[
    "topsoil off", "bench cut", "bank cut", "steps cut", "wall trench", "tie trench", "drain trench", "soakaway pit",
    "fill", "spread", "bed soil", "topsoil back", "mulch",
]  # fmt: skip
"""Dug (bank): topsoil off, bench cut, bank cut, steps cut, wall trench (timber, its stone bed and the drain stone),
tie trench, drain trench, soakaway pit. Put in: fill and soil spread (compacted), bed soil, topsoil back and mulch
(placed)."""
DUG: tuple[MoveKind, ...] = (
    "topsoil off", "bench cut", "bank cut", "steps cut", "wall trench", "tie trench", "drain trench", "soakaway pit",
)  # fmt: skip
Material = Literal["timber", "ties", "steps", "stone", "pipes", "bed soil", "mulch"]


@quick
@dataclass(frozen=True)
class EarthMove:
    """One volume dug or put in at one place. A column dug for several things at once is counted for the deepest."""

    place: str
    terrace: int
    """Terrace with whose wall it is dug, from 1 (lowest)."""
    kind: MoveKind
    measure: Measure
    volume_m3: float


@dataclass(frozen=True)
class BedSoil:
    """One bed: cut and fill to its finished level, and the soil, mulch and ground its planting needs."""

    face: str
    cut_m3: float
    """Ground above the finished level, bank measure; exact over the triangles of the ground."""
    fill_m3: float
    """Space under the finished level down to the ground, nothing taken off; exact."""
    soil_m3: float = 0.0
    """Bed soil placed under the finished level."""
    mulch_m3: float = 0.0
    """Mulch, on top."""
    planted_m2: float = 0.0
    """Ground that is mulched: the bed less its path strip and all that comes up to the surface of its soil (standing
    timber, treads, cleanouts, stone without a cover). Stone under soil stays in. Planting's open ground is counted
    otherwise: it also leaves out the way between flights and the walls' lean along the whole leg, not what is small."""


@dataclass(frozen=True)
class Pushed:
    """What one material pushes out: soil that has no place left because the material has it."""

    what: Material
    volume_m3: float
    """Of the material within the ground, under the finished level."""
    bank_m3: float
    """Soil left over because of it, bank measure."""


@dataclass(frozen=True)
class Brought:
    """A loose material brought in by the load."""

    what: Literal["fill", "bed soil", "compost", "mulch", "drain stone", "base stone"]
    placed_m3: float
    loose_m3: float
    """To order, settling, tamping and what is spilt allowed for. How many trucks bring it is told with the deliveries,
    by its own weight."""
    barrows: int


@dataclass(frozen=True)
class SoilAccount:
    """Soil of the job, the trenches of courses that stand left out.

    Bank measure = as it lies; compacted = as placed; loose = as carried.

    Closes: ``cut_m3 - topsoil_used_m3 - (fill_m3 + spread_m3) / compacted_per_bank = away_bank_m3``, and
    ``plain_away_bank_m3 + pushed_bank_m3 + settling_bank_m3 - spread_m3 / compacted_per_bank = away_bank_m3``.
    """

    bench_cut_m3: float
    """Ground above the finished levels of beds, flights and banks."""
    trench_m3: float
    """Dug below that and below the ground as it was: for bed soil, timber, stone, ties, pipes, steps."""
    fill_m3: float
    """To be placed, compacted, what everything else takes up already taken off."""
    displaced_m3: float
    """Everything brought into the ground that takes the place of soil."""
    timber_m3: float
    stone_m3: float
    """In place: drain stone, with that at outlets, in soakaways and round cut-off drains; base stone under walls, steps
    and landings."""
    compacted_per_bank: float
    loose_per_bank: float
    away_bank_m3: float
    """Left over; negative where soil must be brought in."""
    away_loose_m3: float
    barrows: int
    loads: int
    """Loads away, or in where soil is short."""
    plain_fill_m3: float = 0.0
    """Space under the finished levels down to the ground: what cut alone is usually set against."""
    plain_away_bank_m3: float = 0.0
    """Bench cut less plain fill: nothing on a job whose cut equals its fill."""
    pushed: tuple[Pushed, ...] = ()
    settling_bank_m3: float = 0.0
    """Soil that dug and tamped ground takes more of than came out of it: negative or nothing."""
    topsoil_m3: float = 0.0
    """Stripped, bank measure; part of what is dug."""
    topsoil_used_m3: float = 0.0
    """Laid back in beds, on banks and over trenches, not tamped."""
    topsoil_filled_m3: float = 0.0
    """Left-over topsoil that goes into the fill under the beds, so that less has to be bought; part of ``fill_m3``."""
    spread_m3: float = 0.0
    """Left-over soil spread where the file allows it, compacted measure."""
    brought: tuple[Brought, ...] = ()
    load_m3: float = 0.0
    """One load of the truck that fits, loose."""
    load_kg: float = 0.0
    """Its weight, full of this soil."""
    stood_bank_m3: float = 0.0
    """Left over from the trenches of courses that stand: gone before, and no part of anything above."""

    @property
    def cut_m3(self) -> float:
        """All that is dug, bank measure."""
        return self.bench_cut_m3 + self.trench_m3

    @property
    def pushed_bank_m3(self) -> float:
        """Soil pushed out by what comes in."""
        return sum(row.bank_m3 for row in self.pushed)


@quick
@dataclass(frozen=True)
class BuildStep:
    """One terrace built, from the lowest up: where its soil comes from and goes to, bank measure unless said.

    Dug soil fills its own terrace first; what lacks comes from the heap, then from the benches above, then is bought.
    What no later terrace needs waits on the heap for the truck, which comes last (``places``).
    """

    terrace: int
    walls: tuple[str, ...]
    """Legs built in this step."""
    topsoil_m3: float
    dug_m3: float
    """Without topsoil."""
    needed_m3: float
    """For its fill."""
    pushed_m3: float
    """Soil that has no place here because of what comes in."""
    own_m3: float
    from_heap_m3: float
    from_above_m3: float
    from_topsoil_m3: float
    bought_m3: float
    to_heap_m3: float
    spread_m3: float
    away_m3: float
    """Carted away in this step, topsoil left over included."""
    heap_loose_m3: float
    """Of it what later terraces need, on the heap when the step is done."""
    peak_loose_m3: float
    """Most on the heap during the step: all that is dug before any of it can go back, and all that waits there for the
    truck."""
    topsoil_heap_loose_m3: float
    """Most on the topsoil heap during the step: the beds are filled when all walls stand, so all of theirs waits."""
    loads_away: int
    barrows: int
    """Barrows filled in this step: to the heap, from it, up or down, and away."""
    carry_m: float | None = None
    """From the heap to the middle of the bed; None where the heap found no place."""


@dataclass(frozen=True)
class Heap:
    """A heap of soil as a place on the plan."""

    id: Literal["heap", "topsoil heap"]
    volume_loose_m3: float
    height_m: float
    slope: float
    """Rise over run of its sides."""
    outline_m: tuple[Point, ...]
    """Rectangle round its foot; empty where no place was found. The foot itself is this rectangle with round ends: a
    circle for a cone, straight sides between two half circles for a ridge (``heap_foot``)."""
    level_m: float | None
    """Of the ground under its middle; None where that was not measured."""
    given: bool
    """It lies where the file says."""
    in_the_way: tuple[str, ...] = ()
    """What it meets where the file puts it."""
    moved_m: float | None = None
    """How far from there its middle lies, where that place is not used; None where it is, or nobody said one."""


@dataclass(frozen=True)
class DropZone:
    """Where timber and stone are set down."""

    outline_m: tuple[Point, ...]
    """Empty where no place was found."""
    area_m2: float


@dataclass(frozen=True)
class BarrowRun:
    """The way from the truck to the heap, through the gate."""

    points_m: tuple[Point, ...]
    length_m: float
    climb_m: float | None
    """From its start to its end; None where the ground at an end was not measured."""
    steepest: float | None
    """Steepest tenth of it that lies on measured ground, rise over run."""
    passage_m: float
    """Width a barrow needs."""
    narrowest_m: float | None
    """Narrowest gap on the way, as far as is known."""
    start: Literal["truck stop", "edge of the area"]


@dataclass(frozen=True)
class Earth:
    """What the earth stage gives."""

    beds: tuple[BedSoil, ...]
    account: SoilAccount
    moves: tuple[EarthMove, ...] = ()
    steps: tuple[BuildStep, ...] = ()
    heaps: tuple[Heap, ...] = ()
    drop_zone: DropZone | None = None
    barrow_run: BarrowRun | None = None
    truck_reaches: bool | None = None
    """Whether the truck can tip and load beside the heap; None where nobody said."""
    method: str = ""
    findings: tuple[Finding, ...] = ()
