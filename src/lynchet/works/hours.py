"""The tasks of the job with their quantities, hours and what must come before each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from lynchet.core.quick import quick
from lynchet.works.alongside import WEEP_H, Alongside, Beside
from lynchet.works.bank_cover import mat_beside
from lynchet.works.barrow_hours import carried_rate
from lynchet.works.holds import holds, inspected
from lynchet.works.job import Job
from lynchet.works.model import Band, Task, TaskKind
from lynchet.works.rates import Rate, own_rates, rates
from lynchet.works.volumes import REST, Volumes, volumes_of
from lynchet.works.wall_parts import Stages, WallPart, led_away_m

_NONE = 1e-6
NARROW_M = 0.9
"""A way in narrower than this makes everything that is carried slower. PRACTICE."""
NARROW_TIMES = 1.25
_CARRIED: frozenset[TaskKind] = frozenset({"base", "stone", "bed soil", "mulch", "haul away"})
WALL_KINDS: tuple[TaskKind, ...] = (
    "topsoil", "trench", "base", "first course", "pipe trench", "drain", "bench", "courses", "stone", "fill", "steps",
)  # fmt: skip
_AFTER: dict[TaskKind, tuple[TaskKind, ...]] = {
    "trench": ("topsoil",),
    "base": ("trench",),
    "first course": ("base",),
    "pipe trench": ("first course",),
    "drain": ("pipe trench",),
    "bench": ("first course",),
    "courses": ("first course", "drain"),
    "stone": ("drain", "courses"),
    "fill": ("stone", "courses", "bench"),
    "steps": ("fill",),
}
"""Within one stage: topsoil off before anything is dug, trench before base, drain before fill, no cut left standing
before its wall is begun."""
_NAMES: dict[str, str] = {
    "topsoil": "strip the topsoil and heap it apart",
    "trench": "dig the trenches",
    "base": "lay and tamp the base stone",
    "first course": "lay the first course and level it",
    "pipe trench": "dig the trench for pipes through the beds",
    "drain": "lay the drain and its fabric, from the outlet up",
    "bench": "cut the bench",
    "dug": "dig the bed out for its soil",
    "courses": "lay the other courses",
    "stone": "place the drain stone behind them",
    "fill": "fill and tamp in thin layers",
    "steps": "build the steps",
    "bed soil": "bring in the bed soil, not tamped",
    "plants": "plant",
    "mulch": "spread the mulch",
}
_LED_AWAY: dict[TaskKind, str] = {
    "pipe trench": "dig the trenches for the pipes of roofs and springs",
    "drain": "lay the pipes of roofs and springs, each from its outlet up, and cover them",
}


@quick
@dataclass(frozen=True)
class _Named:
    """Who a task is."""

    id: str
    name: str
    legs: tuple[str, ...] = ()
    holes: int = 0
    """Weep holes bored with it."""
    bores: tuple[str, ...] = ()
    """Ids of those through timber that stands."""
    beside: tuple[Beside, ...] = ()
    """What else goes with it."""


@dataclass
class _Book:
    """Tasks gathered so far."""

    job: Job
    rates: Mapping[str, Rate]
    carry: Rate
    along: Alongside
    tasks: list[Task] = field(default_factory=list)

    def add(self, task: Task) -> None:
        self.tasks.append(task)


def tasks_of(job: Job, parts: Mapping[int, WallPart], stages: Stages) -> list[Task]:
    """Every task, in an order in which all that must come before does: lowest wall first, the way in closed last.

    Args:
        job: the plan so far.
        parts: walls by stage.
        stages: which stage builds what.
    """
    volumes = volumes_of(job, parts)
    book = own_rates(rates(job.project.soil.clay, volumes.trench_depth_m), job.project.works.rates)
    own_haul = any(rate.task == "haul away" for rate in job.project.works.rates)
    along = Alongside(job, stages, {kind: book[kind].hours for kind in ("stone", "base")})
    made = _Book(job, book, book["haul away"] if own_haul else carried_rate(job, book["haul away"]), along)
    begin = _Named("site/set up", "set up: planks on the barrow run, heap and drop zone marked")
    made.add(_task(made, "set up", 0, 1.0, (), begin))
    length = sum(part.new_m for part in parts.values())
    ready = "site/set up"
    if length > 0.0:  # beds between banks alone have no wall to set out
        mark = _Named("site/set out", "set out the walls with strings and gauge rod")
        made.add(_task(made, "set out", 0, length, (ready,), mark))
        ready = "site/set out"
    done = _led_away(made, volumes, ready)
    for stage in sorted({*parts, *volumes.stages}):
        done = _build(made, stage, (parts.get(stage, WallPart()), stages.highest), volumes, done)
    if volumes.away_m3 > _NONE:
        carry = _Named("site/haul away", "carry the left-over soil to the truck")
        made.add(_task(made, "haul away", 0, volumes.away_m3, done, carry))
        done = ("site/haul away",)
    last = _finish_beds(made, volumes, done)
    close = _Named("site/clear up", "take up the planks, close the way in, clear up")
    made.add(_task(made, "clear up", 0, 1.0, last, close))
    return made.tasks


def _led_away(made: _Book, volumes: Volumes, ready: str) -> tuple[str, ...]:
    """Pipes of roofs and springs, outside the walls and before anything is dug for them; what the walls wait for."""
    before: tuple[str, ...] = (ready,)
    amounts: dict[TaskKind, float] = {"pipe trench": volumes.led_away_m3, "drain": led_away_m(made.job.water)}
    for kind, amount in amounts.items():
        if amount > _NONE:
            beside = tuple(made.along.outside(kind))
            named = _Named(f"site/{kind}", f"outside the walls: {_LED_AWAY[kind]}", beside=beside)
            made.add(_task(made, kind, 0, amount, before, named))
            before = (named.id,)
    return before


def _build(
    made: _Book, stage: int, part: tuple[WallPart, int], volumes: Volumes, before: tuple[str, ...]
) -> tuple[str, ...]:
    """The tasks of one stage; what the next one waits for."""
    walls, highest = part
    amounts: dict[TaskKind, float] = {
        "topsoil": volumes.topsoil_m3.get(stage, 0.0),
        "trench": volumes.trench_m3.get(stage, 0.0),
        "base": walls.base_m3,
        "first course": walls.first_m,
        "pipe trench": walls.through_m3,
        "drain": walls.pipe_m,
        "bench": volumes.bench_m3.get(stage, 0.0),
        "courses": walls.course_m,
        "stone": walls.stone_m3,
        "fill": volumes.fill_m3.get(stage, 0.0),
        "steps": float(walls.treads),
    }
    where = f"terrace {stage}" if stage <= highest else f"behind terrace {highest}"
    present: tuple[TaskKind, ...] = tuple(kind for kind in WALL_KINDS if amounts[kind] > _NONE)
    legs, bores = tuple(walls.legs), made.along.bores(walls, present)
    for kind in present:
        after = tuple(f"{stage}/{one}" for one in _before(kind, present)) or before
        holes, standing = made.along.laid_holes(walls, kind), bores.get(kind, ())
        more = _with(made.job, kind, legs) + (", bore their weep holes" if holes else "")
        more += ", first bore those of the timber that stands" if standing else ""
        beside = tuple(made.along.beside(stage, walls, kind, present))
        said = "dug" if kind == "bench" and stage in volumes.dug_for_soil else kind
        named = _Named(f"{stage}/{kind}", f"{where}: {_NAMES[said]}{more}", legs, holes + len(standing), standing,
                       beside)  # fmt: skip
        made.add(_task(made, kind, stage, amounts[kind], after, named))
    waited = {one for kind in present for one in _before(kind, present)}
    return tuple(f"{stage}/{kind}" for kind in present if kind not in waited) or before


def _with(job: Job, kind: TaskKind, legs: tuple[str, ...]) -> str:
    """What goes in with the timber, where there is any: steel into the ground under the first course, ties above."""
    stands = job.walls.standing.stands
    steel = job.stability.pins if kind == "first course" else job.stability.ties if kind == "courses" else ()
    if any(one.leg in legs and not stands(one.leg, one.course, one.station_m) for one in steel):
        return ", drive its pins" if kind == "first course" else ", with their ties"
    return ""


@cache
def _before(kind: TaskKind, present: tuple[TaskKind, ...]) -> tuple[TaskKind, ...]:
    """Kinds present that must come before; what is absent passes on what it waits for."""
    found: list[TaskKind] = []
    for one in _AFTER.get(kind, ()):
        found += [one] if one in present else _before(one, present)
    return tuple(dict.fromkeys(found))


def _finish_beds(made: _Book, volumes: Volumes, before: tuple[str, ...]) -> tuple[str, ...]:
    """Bed soil, plants and mulch, bed after bed from the one farthest from the way in."""
    for bed in volumes.finish_order:
        amounts: dict[TaskKind, float] = {
            "bed soil": volumes.soil_m3.get(bed, 0.0),
            "plants": float(volumes.plants.get(bed, 0)),
            "mulch": volumes.mulch_m3.get(bed, 0.0),
        }
        for kind, amount in amounts.items():
            if amount > _NONE:
                name = f"bed {bed}: {_NAMES[kind]}" if bed != REST else "lay topsoil back over trenches and banks"
                beside = tuple(mat_beside(made.job.walls)) if (bed, kind) == (REST, "bed soil") else ()
                named = _Named(f"{bed}/{kind}", name + ("; peg the mat over banks" if beside else ""), beside=beside)
                made.add(_task(made, kind, volumes.terrace_of.get(bed, 0), amount, before, named))
                before = (f"{bed}/{kind}",)
    return before


def _task(made: _Book, kind: TaskKind, stage: int, amount: float, after: tuple[str, ...], named: _Named) -> Task:
    rate = made.carry if kind == "haul away" else made.rates[kind]
    narrow = (made.job.project.access.gate_m or NARROW_M) < NARROW_M and kind in _CARRIED
    hours = rate.hours * amount * (NARROW_TIMES if narrow else 1.0) + WEEP_H * named.holes
    hours += sum(one.hours for one in named.beside)
    crew = made.job.project.works.crew
    return Task(
        id=named.id,
        kind=kind,
        name=named.name,
        terrace=stage,
        legs=named.legs,
        quantity=amount,
        measure=rate.measure,
        hours=Band(hours * rate.low, hours, hours * rate.high),
        rate_h=hours / amount if amount > 0 else rate.hours,
        origin=rate.origin
        + ("; slower through a narrow way in (PRACTICE)" if narrow else "")
        + (f"; {WEEP_H:g} h for each weep hole (PRACTICE)" if named.holes else "")
        + "".join(f"; {one.said}" for one in named.beside),
        people=min(rate.people, crew),
        after=after,
        hold=holds(kind, stage),
        inspect=inspected(made.job, kind),
        bores=named.bores,
    )


def total(tasks: Iterator[Task] | Sequence[Task]) -> Band:
    """Person hours of several tasks."""
    bands = [task.hours for task in tasks]
    return Band(sum(b.low for b in bands), sum(b.likely for b in bands), sum(b.high for b in bands))
