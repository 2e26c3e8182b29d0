"""Points to set out, in the file's own coordinates, each with its level where it has one."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.plan.further_pegs import further_pegs, sets_out
from lynchet.plan.model import Plan
from lynchet.walls.pegs import SettingPoint

Point = tuple[float, float]


@dataclass(frozen=True)
class SetPoint:
    """A point as an instrument wants it."""

    name: str
    kind: str
    """benchmark, known corner, peg, moved corner; steps, bank, outlet, pipe, cleanout, drop zone or heap."""
    what: str
    point_m: Point
    """In the file's coordinates."""
    level_m: float | None
    """Of a peg the underside of the lowest course there, of pipes the invert, of banks what they are
    shaped to, of steps the top of the landing; None where nobody said."""
    peg: SettingPoint | None = None


def set_points(plan: Plan) -> tuple[SetPoint, ...]:
    """The benchmark where it has a place, the known corners, the pegs, then steps, banks, pipes, drop zone and
    heaps; nothing where no wall stands and no bank is shaped."""
    card, out = plan.walls.setting_out, plan.project.frame.outward
    if not sets_out(plan):
        return ()
    mark: tuple[SetPoint, ...] = ()
    if card.benchmark_at_m is not None:
        at = out(card.benchmark_at_m)
        mark = (SetPoint(card.benchmark or "zero", "benchmark", "levels count from here", at, card.benchmark_m),)
    corners = (SetPoint(name, "known corner", "tapes are hooked on here", out(at), None) for name, at in card.known_m)
    pegs = (SetPoint(p.id, "peg", p.what, out(p.point_m), _underside(plan, p), p) for p in card.points)
    moved = (SetPoint(p.id, "moved corner", p.what, out(p.point_m), None, p) for p in card.moved)
    further = (SetPoint(one.peg.id, one.kind, one.peg.what, out(one.peg.point_m), one.level_m, one.peg)
               for one in further_pegs(plan))  # fmt: skip
    return (*mark, *corners, *pegs, *moved, *further)


def _underside(plan: Plan, peg: SettingPoint) -> float | None:
    """Underside of the lowest course at a peg, as the setting-out card says it."""
    leg = plan.walls.leg(peg.id.rpartition(".")[0])
    station = leg.station_of(peg.point_m)
    for mark in plan.walls.setting_out.levels:
        if mark.place == leg.id and mark.stations_m is not None:
            low, high = mark.stations_m
            if low - 1e-6 <= station <= high + 1e-6:
                return mark.level_m
    return None
