"""What is bought, who works how long and in which order, what it costs, what is looked after: the works stage's result.

Quantities are in SI whatever the sheets show; the unit stands in ``OrderLine.measure``. Money is in the file's currency
and None where a price is not known: nothing is guessed. Hours are person hours, as a band: low, expected, high.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from lynchet.core.findings import Finding
from lynchet.core.quick import quick

Point = tuple[float, float]
Measure = Literal["m", "m2", "m3", "kg", "each", "l"]
TaskKind = Literal[
    "set up", "set out", "topsoil", "bench", "trench", "base", "first course", "pipe trench", "drain", "courses",
    "stone", "fill", "steps", "bed soil", "plants", "mulch", "haul away", "clear up",
]  # fmt: skip


@quick
@dataclass(frozen=True)
class OrderLine:
    """One line of the order list."""

    key: str
    """What ``[prices]`` calls it: "drain_stone", "timber_2.4_m"."""
    name: str
    """In plain words, with the size or stamp to ask for."""
    group: str
    """timber, stone, drain, fixings, soil, plants, away."""
    places: tuple[str, ...]
    """Ids of what it is for: legs, chains, beds; empty for the whole job."""
    quantity: float
    """Net, in ``measure``: what the plan places."""
    measure: Measure
    waste: float
    """Share added for waste, laps, settlement."""
    waste_origin: str
    need: float
    """With waste, what is on hand taken off."""
    pack: float | None
    """How much one pack holds; None where any amount is sold."""
    packs: int
    """Packs to buy; 0 where any amount is sold."""
    buy: float
    """What is bought, in ``measure``."""
    unit: str
    """As sold and shown: "m3", "yd3", "each", "roll of 50 m"."""
    buy_units: float
    """``buy`` in ``unit``."""
    kg: float
    """Weight of what is bought, by the stated bulk weight; 0 where it does not matter."""
    kg_note: str
    """How the weight was found; empty where it was not."""
    unit_price: float | None
    """Money for one ``unit``; None where no price is known."""
    money: float | None
    note: str = ""
    """What to look for, or how it was counted."""


@quick
@dataclass(frozen=True)
class Band:
    """Low, expected and high; the real figure falls below low or above high about once in ten times each."""

    low: float
    likely: float
    high: float


@quick
@dataclass(frozen=True)
class Task:
    """One piece of the work, the whole of it, with its place in the order of work."""

    id: str
    """Terrace and kind: "2/trench"; "site/set out"."""
    kind: TaskKind
    name: str
    """In plain words."""
    terrace: int
    """The terrace whose walls or bed it builds, from 1 (lowest); 0 for the whole site."""
    legs: tuple[str, ...]
    """Wall lines it works on."""
    quantity: float
    measure: str
    hours: Band
    """Person hours."""
    rate_h: float
    """Person hours for one ``measure``, as expected."""
    origin: str
    """Where the rate comes from: a source, PRACTICE, or the user's own jobs."""
    people: int
    """How many work on it at once."""
    after: tuple[str, ...]
    """Ids of the tasks that must be done before."""
    hold: bool = False
    """Something must be seen and found good before the next task covers it: what, by the kind of the task."""
    inspect: bool = False
    """A rule of the place wants a paper: its inspector may want to see this hold point too."""
    day_start: float = 0.0
    """Earliest start in working days from the first, everything before it done and the whole crew at hand."""
    float_days: float = 0.0
    """How far it may slip without the end slipping."""
    bores: tuple[str, ...] = ()
    """Ids of the weep holes bored with it through timber that stands, where they are not bored yet."""

    @property
    def critical(self) -> bool:
        """Whether the end slips with it."""
        return self.float_days <= 1e-9


@quick
@dataclass(frozen=True)
class Step:
    """A share of a task that is done in one go, small enough for a day."""

    task: str
    share: float
    """Of the task, over 0 and at most 1."""
    words: str
    crew_h: float
    """Hours of the whole crew."""
    safe_end: bool
    """Whether the work may be left so overnight."""
    why: str = ""
    """Why not."""
    part: int = 1
    """Which of the parts the task is cut into, from 1."""
    of: int = 1
    """How many there are."""
    course: int | None = None
    """Of higher courses: the one of the lattice that is laid."""
    top_m: float | None = None
    """Of drain stone and fill: the level to which this lift may rise."""
    lays: tuple[str, ...] = ()
    """Of first and higher courses: ids of the pieces and ties, in the order they are laid."""


@quick
@dataclass(frozen=True)
class Left:
    """One thing about how the place is left in the evening."""

    what: Literal[
        "all closed", "no open trench", "trench open", "bank", "drain not running", "outlets free", "way clear"
    ]  # fmt: skip
    terrace: int = 0
    """Of a bank: it stands behind this terrace."""
    height_m: float = 0.0
    """Of a bank."""
    length_m: float = 0.0
    """Of open trench."""
    away_days: int = 0
    """Of open trench: days on which nobody works before the next working day; 0 also where no start is given."""
    drains: tuple[str, ...] = ()
    """Short names of the drains that do not run yet, as on the water sheet: "D1"."""


@quick
@dataclass(frozen=True)
class Day:
    """One working day."""

    number: int
    """From 1."""
    date: str
    """YYYY-MM-DD; empty where the file names no start."""
    weekday: str
    steps: tuple[Step, ...]
    used_h: float
    idle_h: float
    holds: tuple[str, ...]
    """Ids of the tasks at whose end today something must be looked at before the work goes on."""
    evening: tuple[Left, ...]
    """How the place is left: trench, bank, drain, fill, way in."""
    open_trench_m: float
    """Length of trench left open overnight: its stone is in, but beside the timber it is not filled yet."""


@dataclass(frozen=True)
class Programme:
    """How long it takes."""

    crew: int
    day_h: float
    days: int
    """Days of the day plan."""
    days_low: int
    """With every task at its low hours, days as full as can be."""
    days_high: int
    least_days: int | None
    """No order of the same work with this crew is shorter, with work side by side; None where it was not looked for
    (live)."""
    least_proven: bool
    critical: tuple[str, ...]
    """Task ids of the longest chain."""
    finish: str
    """Date of the last day; empty where no start is given."""


@dataclass(frozen=True)
class Delivery:
    """What comes, or goes, in one kind of truck."""

    name: str
    lines: tuple[str, ...]
    """Keys of the order lines."""
    kg: float
    m3: float
    loads: int
    load_note: str
    """What a load holds."""
    day: int
    """Working day before which it must be there (of soil away: from which it goes)."""
    drop_m: Point | None
    """Where it is dropped, if the file or the plan says."""
    drop: str
    """The same in words."""
    unit_price: float | None
    """Money for one load."""
    money: float | None


@dataclass(frozen=True)
class PricePart:
    """One part of the price."""

    name: str
    money: Band
    lines: int
    """Lines it sums."""


@dataclass(frozen=True)
class Price:
    """What is known of the price. Lines without a price are left out and counted."""

    currency: str
    lines: int
    """Lines that want a price: material, loads, labour."""
    missing: tuple[str, ...]
    """Names of those that have none."""
    parts: tuple[PricePart, ...]
    """Material, deliveries, soil away, labour."""
    direct: Band | None
    """Sum of the parts; None where not one price is known."""
    overhead: float
    """Share of the direct cost."""
    profit: float
    """Share of the price."""
    tax: float
    total: Band | None
    """Price before tax. Likely: what the order list, trucks and mean hours come to; 10 and 90 in a hundred such jobs
    cost no more than low and high."""
    tax_money: float
    method: str
    words: str
    """One line: "no price for 3 of 14 lines"."""
    hour_money: float | None = None
    """Money for an hour of one person; None where the file has no price for it."""

    @property
    def complete(self) -> bool:
        """Whether every line has its price."""
        return not self.missing


@quick
@dataclass(frozen=True)
class Upkeep:
    """Something to look at or do again."""

    what: str
    when: str
    """In words: "first spring", "each autumn before the leaves fall"."""
    every_months: int
    """0 for once."""
    date: str
    """First date; empty where no start is given."""
    why: str
    after_storm: bool
    origin: str


@dataclass(frozen=True)
class Works:
    """What the works stage gives."""

    order: tuple[OrderLine, ...]
    tasks: tuple[Task, ...]
    """In an order in which everything needed comes before."""
    programme: Programme
    days: tuple[Day, ...]
    deliveries: tuple[Delivery, ...]
    price: Price
    upkeep: tuple[Upkeep, ...]
    findings: tuple[Finding, ...]

    @cached_property
    def _tasks(self) -> dict[str, Task]:
        return {task.id: task for task in self.tasks}

    def task(self, task: str) -> Task:
        """The task of this id.

        Raises:
            KeyError: there is none.
        """
        return self._tasks[task]

    @property
    def person_hours(self) -> Band:
        """Hours of all tasks: the expected ones add up, low and high too (all tasks leaning one way)."""
        bands = [task.hours for task in self.tasks]
        return Band(sum(b.low for b in bands), sum(b.likely for b in bands), sum(b.high for b in bands))
