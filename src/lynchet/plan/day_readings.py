"""Readings to expect at the end of a day's work, from the setting-out: three at most, each with its tolerance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Literal

from lynchet.plan.day_parts import DayParts, drains_of
from lynchet.plan.model import Plan
from lynchet.walls.bedding import STONE_BED_M
from lynchet.walls.model import Piece
from lynchet.walls.seen import seen_of
from lynchet.works.holds import LEVEL_M

MOST = 3
BASE_M = 0.006
"""How far the top of the base stone may be off. PRACTICE (1/4 in)."""
SOIL_M = 0.012
"""How far a finished bed may be off. PRACTICE (1/2 in)."""
PEG_M = 0.006
"""How far a check tape may be off. PRACTICE (1/4 in)."""
_SAME_M = 1e-6


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
    found = list(islice(_timber(plan, today, mark), MOST if fall is None else MOST - 1))
    if fall is not None:
        found.append(fall)
    for more in (_stone(plan, today, mark), _treads(plan, today, mark), _beds(plan, today, mark)):
        if not found:
            found += islice(more, MOST)
    if not found and today.share("set out"):
        found += islice(_check_tapes(plan), MOST)
    return tuple(found)


def _timber(plan: Plan, today: DayParts, mark: float) -> Iterator[Reading]:
    """Tops of the timber laid last: of first courses before higher ones, as all above stands on them."""
    laid = {name for share in today.share("first course") for name in share.lays}
    first = [piece for piece in today.pieces if piece.id in laid]
    if first:
        chosen = first
    elif today.pieces:
        top = {piece.leg: piece.course for piece in today.pieces}
        chosen = [piece for piece in today.pieces if piece.course == top[piece.leg]]
    else:
        return
    rows = {run.id: run.row for run in plan.walls.runs}
    what: Literal["first course", "course"] = "first course" if first else "course"
    for piece, where in _spots(chosen):
        yield Reading(what, piece.leg, where, mark - piece.top_m, LEVEL_M, rows[piece.run], piece.id)


def _spots(pieces: list[Piece]) -> Iterator[tuple[Piece, Literal["start", "middle", "end"]]]:
    """One on each wall, the longest first; then the other end of the longest, then the middle of its longest piece."""
    by_leg: dict[str, list[Piece]] = {}
    for piece in sorted(pieces, key=lambda one: min(one.start_m)):
        by_leg.setdefault(piece.leg, []).append(piece)
    legs = sorted(by_leg.values(), key=lambda rows: -sum(piece.length_m for piece in rows))
    longest = legs[0]
    yield longest[0], "start"
    for rows in legs[1:]:
        yield rows[-1], "end"
    yield longest[-1], "end"
    yield max(longest, key=lambda piece: piece.length_m), "middle"


def _falls(plan: Plan, today: DayParts) -> Iterator[Reading]:
    """Of the longest drain laid today: how far its head stands above its outlet end."""
    ids = {drain for share in today.share("drain") for drain in drains_of(plan, share.task.terrace)}
    laid = [drain for drain in plan.water.drains if drain.id in ids]
    for drain in sorted(laid, key=lambda one: -(max(one.inverts_m) - min(one.inverts_m))):
        fall = max(drain.inverts_m) - min(drain.inverts_m)
        if fall > BASE_M:
            yield Reading("fall", drain.id, "", fall, BASE_M)


def _stone(plan: Plan, today: DayParts, mark: float) -> Iterator[Reading]:
    """Tops of the base stone: where the lowest timber will lie."""
    legs = {leg for share in today.share("base") for leg in share.task.legs}
    bottoms = plan.terraces.lattice.bottoms_m
    for leg in plan.walls.legs:
        if leg.id in legs:
            seen = seen_of(leg, plan.walls.runs, mirrored=plan.project.frame.mirrored)
            for segment in leg.segments:
                level, left = mark - bottoms[segment.base], seen.stretch(segment.start_m, segment.end_m)[0]
                yield Reading("stone", leg.id, "start", level, BASE_M, station_m=left)


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
