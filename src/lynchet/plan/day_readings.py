"""Readings to expect at the end of a day's work, from the setting-out: three at most, each with its tolerance."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, islice
from typing import Literal

from lynchet.plan.building_days import days_of
from lynchet.plan.day_parts import DayParts, drains_of
from lynchet.plan.model import Plan
from lynchet.walls.bedding import STONE_BED_M, stone_beds
from lynchet.walls.model import Piece
from lynchet.walls.seen import seen_of
from lynchet.water.model import CutOff, Drain, RoofPipe
from lynchet.works.holds import LEVEL_M

MOST = 3
BASE_M = 0.006
"""How far the top of the base stone may be off. PRACTICE (1/4 in)."""
SOIL_M = 0.012
"""How far a finished bed may be off. PRACTICE (1/2 in)."""
PEG_M = 0.006
"""How far a check tape may be off. PRACTICE (1/4 in)."""
_Spot = tuple[Piece, Literal["start", "middle", "end"]]


@dataclass(frozen=True)
class Reading:
    """One number to read and write down."""

    what: Literal["stone", "first course", "course", "fall", "check tape", "tread", "bed"]
    place: str
    """Wall, drain, flight, bed, or the two ends of a check tape."""
    where: Literal["start", "middle", "end", ""]
    """Along the piece it is read on, from the end nearer to the wall's start as the setting-out names it."""
    value_m: float
    """Of a level: how far below the benchmark (negative = above it). Of a fall or a check tape: its size."""
    tolerance_m: float
    number: int = 0
    """Course or riser, from 1 at the foot; 0 for none."""
    mark: str = ""
    """Id of the piece it is read on."""
    station_m: float = 0.0
    """Of base stone: where along the wall."""

    @property
    def level(self) -> bool:
        """Whether it is read from the benchmark's height."""
        return self.what not in ("fall", "check tape")


def readings(plan: Plan, today: DayParts) -> tuple[Reading, ...]:
    """The readings of a day; none where nothing is laid that has a level."""
    mark = plan.walls.setting_out.benchmark_m
    fall = next(_falls(plan, today), None)
    found = list(islice(_walls(plan, today, mark), MOST if fall is None else MOST - 1))
    if fall is not None:
        found.append(fall)
    for more in (_treads(plan, today, mark), _beds(plan, today, mark)):
        if not found:
            found += islice(more, MOST)
    if not found and today.share("set out"):
        found += islice(_check_tapes(plan), MOST)
    return tuple(found)


def _walls(plan: Plan, today: DayParts, mark: float) -> Iterator[Reading]:
    """One on each wall of which something is laid today, then more of the first of them.

    First courses come before base stone and that before higher courses, as all above stands on them; of each the
    longest wall first.
    """
    laid = {name for share in today.share("first course") for name in share.lays}
    first = _by_leg(piece for piece in today.pieces if piece.id in laid)
    stone = {leg: rows for leg, rows in _stone(plan, today, mark).items() if leg not in first}
    top = {piece.leg: piece.course for piece in today.pieces}
    rest = (piece for piece in today.pieces if piece.leg not in first and piece.leg not in stone)
    higher = _by_leg(piece for piece in rest if piece.course == top[piece.leg])
    rows = {run.id: run.row for run in plan.walls.runs}

    def of(what: Literal["first course", "course"], legs: dict[str, list[Piece]]) -> tuple[list[Reading], ...]:
        spots = _spots(sorted(legs.values(), key=lambda pieces: -_long(pieces)))
        return tuple(
            [Reading(what, one.leg, where, mark - one.top_m, LEVEL_M, rows[one.run], one.id) for one, where in part]
            for part in spots
        )

    ordered = sorted(stone.values(), key=lambda beds: -sum(long for long, _ in beds))
    of_stone = [beds[0][1] for beds in ordered], [bed for beds in ordered for _, bed in beds[1:]]
    tiers = (of("first course", first), of_stone, of("course", higher))
    for spots in zip(*tiers, strict=True):  # one on each, then more
        yield from chain.from_iterable(spots)


def _by_leg(pieces: Iterable[Piece]) -> dict[str, list[Piece]]:
    """Pieces by wall, in their order along it."""
    found: dict[str, list[Piece]] = {}
    for piece in sorted(pieces, key=lambda one: min(one.start_m)):
        found.setdefault(piece.leg, []).append(piece)
    return found


def _long(pieces: Sequence[Piece]) -> float:
    return sum(piece.length_m for piece in pieces)


def _spots(legs: Sequence[list[Piece]]) -> tuple[list[_Spot], list[_Spot]]:
    """One on each wall; and the other end of the first, then the middle of its longest piece."""
    if not legs:
        return [], []
    one_each: list[_Spot] = [(legs[0][0], "start"), *((rows[-1], "end") for rows in legs[1:])]
    return one_each, [(legs[0][-1], "end"), (max(legs[0], key=lambda piece: piece.length_m), "middle")]


def _falls(plan: Plan, today: DayParts) -> Iterator[Reading]:
    """Of the drains, and pipes led away outside the walls, of which the last is laid today: how far the head of each
    stands above its outlet end, the greatest first."""
    ids = {drain for share in today.share("drain") if share.last == share.of
           for drain in drains_of(plan, share.task.terrace)}  # fmt: skip
    laid: list[Drain | RoofPipe | CutOff] = [drain for drain in plan.water.drains if drain.id in ids]
    if any(not share.task.terrace and share.last == share.of for share in today.share("drain")):
        laid += plan.water.led_away
    for drain in sorted(laid, key=lambda one: -(max(one.inverts_m) - min(one.inverts_m))):
        fall = max(drain.inverts_m) - min(drain.inverts_m)
        if fall > BASE_M:
            yield Reading("fall", drain.id, "", fall, BASE_M)


def _stone(plan: Plan, today: DayParts, mark: float) -> dict[str, list[tuple[float, Reading]]]:
    """By wall the tops of the base stone laid today, where the lowest timber will lie, with its lengths, falling."""
    if not today.share("base"):
        return {}
    days, found = days_of(plan), dict[str, list[tuple[float, Reading]]]()
    for leg in plan.walls.legs:
        for bed in stone_beds(plan.walls, leg):
            if days.day_of(f"{leg.id}/bed.{bed.number}") == today.day.number:
                seen = seen_of(leg, plan.walls.runs, mirrored=plan.project.frame.mirrored)
                left, level = seen.stretch(bed.start_m, bed.end_m)[0], mark - bed.run.bottom_m
                reading = Reading("stone", leg.id, "start", level, BASE_M, station_m=left)
                found.setdefault(leg.id, []).append((bed.end_m - bed.start_m, reading))
    return {leg: sorted(rows, key=lambda row: -row[0]) for leg, rows in found.items()}


def _treads(plan: Plan, today: DayParts, mark: float) -> Iterator[Reading]:
    tops: dict[str, Reading] = {}
    for piece in today.treads:
        tops[piece.tread] = Reading("tread", piece.flight, "", mark - piece.top_m, LEVEL_M, piece.riser)
    yield from tops.values()


def _beds(plan: Plan, today: DayParts, mark: float) -> Iterator[Reading]:
    places = dict.fromkeys(share.task.id.split("/")[0] for share in today.share("bed soil"))
    levels = {bed.id: bed.level_m for bed in plan.terraces.beds}
    for place in places:
        if place in levels:
            yield Reading("bed", place, "", mark - levels[place], SOIL_M)


def _check_tapes(plan: Plan) -> Iterator[Reading]:
    for one in plan.walls.setting_out.check_tapes:
        yield Reading("check tape", f"{one.from_point}|{one.to_point}", "", one.distance_m, PEG_M)


def base_depth_m() -> float:
    """Depth of the stone under the lowest timber."""
    return STONE_BED_M
