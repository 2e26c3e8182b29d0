"""What comes by truck, and what goes: loads, the day each is needed, where it is put down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, inf

from lynchet.core.plane import Point
from lynchet.units.format import mass, volume
from lynchet.works.items import items
from lynchet.works.job import Job
from lynchet.works.load_packing import Pieces, fewest_loads
from lynchet.works.model import Day, Delivery, OrderLine
from lynchet.works.price_list import PriceList
from lynchet.works.quote_price import to_hundredth

MOIST_KG_M3 = 1300.0
"""Loose moist soil, by which a truck of known volume is taken to carry weight. MEMORY."""
IN_BAGS = 0.5
"""Loose goods of several kinds up to this share of a load come together, in big bags; else each by itself. PRACTICE."""
_MOST_NODES = 200
"""Of the search for the fewest trucks of timber, whatever time they take: the same trucks on every machine. OWN."""
_KINDS: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    ("timber, fixings and drain goods", ("timber", "fixings", "drain"), ("first course", "drain", "courses")),
    ("stone", ("stone",), ("base", "stone", "drain")),
    ("soil and mulch", ("soil",), ("bed soil", "mulch")),
    ("plants", ("plants",), ("plants",)),
)  # fmt: skip
"""Name, groups of the order list, tasks whose first day it is needed for."""
_KEPT = {
    "timber, fixings and drain goods": "timber on bearers, off the wet ground", "stone": "on a sheet",
    "soil and mulch": "on a sheet", "plants": "in shade, and watered",
}  # fmt: skip


@dataclass(frozen=True)
class Truck:
    """The truck that fits the street."""

    m3: float
    kg: float


def truck_of(job: Job) -> Truck:
    """Its room and payload as the file says; without a payload the weight of that room full of soil."""
    access = job.project.access
    return Truck(access.load_m3, access.payload_kg or job.earth.account.load_kg or access.load_m3 * MOIST_KG_M3)


def deliveries(
    job: Job, order: Sequence[OrderLine], days: Sequence[Day], prices: PriceList, full: bool
) -> tuple[Delivery, ...]:
    """Every delivery, and the soil that goes away.

    Args:
        job: the plan so far.
        order: its lines.
        days: the day plan.
        prices: for a load's price.
        full: sticks are packed to a proven fewest number of loads; else by weight alone, as in a bound.
    """
    firsts = _first_days(days)
    found = [one for kind in _KINDS for one in _one_kind(kind, order, firsts)]
    known = items(job.project.units)
    truck = truck_of(job)
    made = []
    for name, lines, day in found:
        loads, m3 = _loads(job, lines, truck, full)
        price = prices.of(known["delivery"])
        made.append(
            Delivery(
                name, tuple(line.key for line in lines), sum(line.kg for line in lines), m3, loads,
                _load_note(job, truck), day, *_drop(job, name), price,
                None if price is None else to_hundredth(loads * price),
            )
        )  # fmt: skip
    return (*made, *_away(job, order, firsts, truck))


def _one_kind(
    kind: tuple[str, tuple[str, ...], tuple[str, ...]], order: Sequence[OrderLine], firsts: Mapping[str, int]
) -> Iterator[tuple[str, list[OrderLine], int]]:
    name, groups, tasks = kind
    lines = [line for line in order if line.group in groups and line.buy > 0]
    if lines:
        filled = any(line.key == "fill_soil" for line in lines)
        yield name, lines, _first_day(firsts, ("fill",) if filled else tasks)


def _first_days(days: Sequence[Day]) -> dict[str, int]:
    """The first day on which each kind of task is worked on."""
    found: dict[str, int] = {}
    for day in days:
        for step in day.steps:
            found.setdefault(step.task.rpartition("/")[2], day.number)
    return found


def _first_day(firsts: Mapping[str, int], kinds: Sequence[str]) -> int:
    """The first day with a task of these kinds; the first day of all where there is none."""
    return min((firsts[kind] for kind in kinds if kind in firsts), default=1)


def _loads(job: Job, lines: Sequence[OrderLine], truck: Truck, full: bool) -> tuple[int, float]:
    """Loads and room of some lines: loose goods each on their own, by weight and room."""
    loose = [line for line in lines if line.measure == "m3"]
    if loose:
        by_line = [max(ceil(line.buy / truck.m3 - 1e-9), ceil(line.kg / truck.kg - 1e-9)) for line in loose]
        room, kg = sum(line.buy for line in loose), sum(line.kg for line in loose)
        small = room <= IN_BAGS * truck.m3 and kg <= IN_BAGS * truck.kg
        return 1 if small else max(1, sum(by_line)), room
    timber = job.project.timber
    sticks = [line for line in lines if line.group == "timber" and line.measure == "each"]
    if not sticks:
        return 1, 0.0
    rooms = tuple(timber.course_m * timber.thickness_m * length for length in _lengths(job, sticks))
    each = tuple(line.kg / line.buy for line in sticks)
    pieces = Pieces(tuple(round(line.buy) for line in sticks), each, rooms, max(truck.kg, *each), max(truck.m3, *rooms))
    packed = fewest_loads(pieces, inf, _MOST_NODES) if full and pieces.bound() > 1 else None
    volume_m3 = sum(room * line.buy for room, line in zip(rooms, sticks, strict=True))
    return (len(packed) if packed is not None else pieces.bound()), volume_m3


def _lengths(job: Job, sticks: Sequence[OrderLine]) -> list[float]:
    timber = job.project.timber
    per_metre = timber.course_m * timber.thickness_m * timber.unit_weight_kn_m3 / 9.80665e-3
    return [line.kg / line.buy / per_metre for line in sticks]


def _load_note(job: Job, truck: Truck) -> str:
    units = job.project.units
    return f"a load: up to {volume(truck.m3, units)} or {mass(truck.kg, units)}"


def _drop(job: Job, name: str) -> tuple[Point | None, str]:
    """Where a delivery is put down."""
    zone, heap = job.earth.drop_zone, next((heap for heap in job.earth.heaps if heap.outline_m), None)
    if name == "soil and mulch" and heap is not None:
        return heap.outline_m[0], "beside the heap, on a sheet"
    if zone is not None and zone.outline_m:
        corners = zone.outline_m
        middle = sum(p[0] for p in corners) / len(corners), sum(p[1] for p in corners) / len(corners)
        return middle, f"in the drop zone of the site plan, {_KEPT[name]}"
    if job.project.access.truck_stop_m is not None:
        return job.project.access.truck_stop_m, "at the truck stop; keep the street drain clear"
    return None, "not said: mark a place off the lawn and clear of the street drain"


def _away(job: Job, order: Sequence[OrderLine], firsts: Mapping[str, int], truck: Truck) -> Iterator[Delivery]:
    line = next((line for line in order if line.key == "load_away"), None)
    if line is None:
        return
    account = job.earth.account
    loose = max(account.away_loose_m3, 0.0)
    kg = loose * (account.load_kg / account.load_m3 if account.load_m3 else MOIST_KG_M3)
    stop = job.project.access.truck_stop_m
    where = "loaded at the truck stop" if stop is not None else "loaded where the truck can stand"
    yield Delivery(
        "soil away", (line.key,), kg, loose, round(line.buy), _load_note(job, truck),
        _first_day(firsts, ("haul away",)), stop, where, line.unit_price, line.money,
    )  # fmt: skip
