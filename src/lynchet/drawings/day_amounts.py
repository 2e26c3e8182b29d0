"""How much of what is ordered a day takes, read from what is placed on it: the days add up to the order list."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.drawings.day_packing import packing
from lynchet.drawings.day_places import Naming
from lynchet.earth.stone_placed import aprons_m3
from lynchet.plan.building_days import days_of
from lynchet.plan.day_parts import DayParts
from lynchet.water.beside import CutOffStone
from lynchet.works.bank_cover import mat_m2
from lynchet.works.volumes import REST


@dataclass(frozen=True)
class Amounts:
    """Of one day."""

    base_m3: float
    """Tamped stone under walls, under steps and under their landings."""
    step_stone_m3: float
    """Of it, under steps and landings."""
    drain_m3: float
    """Drain stone behind walls, at outlets, in soakaways and round cut-off drains."""
    apron_m3: float
    """Of it, at outlets."""
    soil_m3: float
    """Bed soil as it lies in the end, without the compost in it, and topsoil laid back."""
    compost_m3: float
    """Loose."""
    mulch_m3: float
    pipe_m: float
    drip_m: float
    fabric: str
    """With what filter fabric is laid, from a roll: "drain", or "stone" where no pipe lies in it; empty for none."""
    packing: tuple[tuple[float, float], ...]
    """(how thick m, how long m), for each wall that is brought back to its level."""
    mat_m2: float = 0.0
    """Mat pegged over banks, on the slope."""


def amounts_of(named: Naming, today: DayParts) -> Amounts:
    """Amounts of one day."""
    plan, days = named.plan, days_of(named.plan)
    flights = {flight.id for flight in plan.terraces.flights}
    loose = (thing for thing in days.things if thing.kind in ("stone bed", "soakaway"))
    mine = [thing for thing in loose if days.day_of(thing.id) == today.day.number]
    under = sum(thing.volume_m3 for thing in mine if thing.kind == "stone bed" and thing.owner in flights)
    pits = sum(thing.volume_m3 for thing in mine if thing.kind == "soakaway")
    aprons = aprons_m3(plan.water).items()
    round_outlets = sum(volume for name, volume in aprons if days.day_of(name) == today.day.number)
    round_pipes = stone_round(named, today)
    stone = _sum(today, "stone") + pits + round_outlets + sum(part.volume_m3 for part in round_pipes)
    soil, compost = _soil(named, today)
    return Amounts(
        _sum(today, "base") + under, under, stone, round_outlets, soil, compost, _sum(today, "mulch"),
        _sum(today, "drain"), _drip(named, today), "drain" if round_pipes else _fabric(named, today),
        tuple(packing(named, today)), _mat(named, today),
    )  # fmt: skip


def stone_round(named: Naming, today: DayParts) -> list[CutOffStone]:
    """Stone round cut-off drains that is laid today."""
    days = days_of(named.plan)
    return [part for cut in named.plan.water.cut_offs for part in cut.stone
            if days.day_of(part.id) == today.day.number]  # fmt: skip


def step_screws(named: Naming, today: DayParts) -> tuple[int, ...]:
    """Screws of the steps by line of the order list: as many of each as the timbers laid make of all timbers."""
    days, timber = days_of(named.plan), named.plan.timber
    if not timber.steps:
        return ()
    on = [days.day_of(piece.tread) for piece in timber.steps]
    before, after = (sum(day < today.day.number + later for day in on) for later in (0, 1))
    return tuple(
        round(line.count * after / len(on)) - round(line.count * before / len(on))
        for line in timber.fastener_lines
        if line.kind == "step screw"
    )


def _sum(today: DayParts, kind: str) -> float:
    return sum(share.quantity for share in today.share(kind))


def _soil(named: Naming, today: DayParts) -> tuple[float, float]:
    """Bed soil and the compost in it: a share of every bed's, the same in all."""
    plan = named.plan
    laid = _sum(today, "bed soil")
    in_beds = sum(s.quantity for s in today.share("bed soil") if not s.task.id.startswith(f"{REST}/"))
    tasks = (task for task in plan.works.tasks if task.kind == "bed soil" and not task.id.startswith(f"{REST}/"))
    whole = sum(task.quantity for task in tasks)
    row = next((row for row in plan.earth.account.brought if row.what == "compost"), None)
    if row is None or whole <= 0:
        return laid, 0.0
    part = in_beds / whole
    return max(0.0, laid - row.placed_m3 * part), row.loose_m3 * part


def _drip(named: Naming, today: DayParts) -> float:
    """Drip line of the beds planted today."""
    rows = {row.bed: row.drip_line_m for row in named.plan.planted.water}
    return sum(
        (share.end - share.start) * rows.get(share.task.id.split("/")[0], 0.0) for share in today.share("plants")
    )


def _mat(named: Naming, today: DayParts) -> float:
    """Mat over the banks, with the topsoil laid back over them."""
    shares = (share for share in today.share("bed soil") if share.task.id.startswith(f"{REST}/"))
    return mat_m2(named.plan.walls) * sum(share.end - share.start for share in shares)


def _fabric(named: Naming, today: DayParts) -> str:
    """Whether a stage gets its fabric today: with its pipe, or with its stone where it has no pipe."""
    return next((kind for kind in ("drain", "stone") if wrapped(named, today, kind)), "")


def wrapped(named: Naming, today: DayParts, kind: str) -> set[int]:
    """Stages whose fabric comes today with a kind of task: "drain", or "stone" where no pipe is laid."""
    days = days_of(named.plan)
    stages = {days.stage_of(thing) for thing in days.things if thing.kind == "fabric"}
    piped = {task.terrace for task in named.plan.works.tasks if task.kind == "drain"}
    return {s.task.terrace for s in today.share(kind)} & stages & (piped if kind == "drain" else stages - piped)


__all__ = ["Amounts", "amounts_of", "step_screws", "stone_round", "wrapped"]
