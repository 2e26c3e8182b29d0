"""What of the timber is still to come: all but what stands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import TypeVar

from lynchet.stability.model import Pin, Stability, Tie
from lynchet.timber.model import Fastener
from lynchet.walls.model import Piece, Walls

Fixing = TypeVar("Fixing", Pin, Fastener)


class Carriers:
    """The timber that each pin and screw comes with: its tie, else the piece of its course where it stands."""

    def __init__(self, pieces: Sequence[Piece], ties: Sequence[Tie]) -> None:
        """From all pieces and ties of a plan."""
        self._ties = {tie.id: tie for tie in ties}
        self._rows: dict[tuple[str, int], list[Piece]] = defaultdict(list)
        for piece in pieces:
            self._rows[piece.leg, piece.course].append(piece)

    def of(self, fixing: Pin | Fastener) -> Tie | Piece | None:
        """The upper of the timbers it goes through; at a lapped corner the nearest piece. None where no timber is."""
        tie = self._ties.get(fixing.id.rpartition("/")[0])
        row = self._rows.get((fixing.leg, fixing.course), ())
        return tie or min(row, key=lambda piece: (_off(piece, fixing.station_m), piece.id), default=None)


def _off(piece: Piece, station_m: float) -> float:
    """How far a station lies beyond the ends of a piece; 0 within."""
    return max(min(piece.start_m) - station_m, station_m - max(piece.end_m), 0.0)


def ties_to_come(walls: Walls, stability: Stability) -> tuple[Tie, ...]:
    """Ties whose course does not stand: they are laid with it."""
    stands = walls.standing.stands
    return tuple(tie for tie in stability.ties if not stands(tie.leg, tie.course, tie.station_m))


def to_drive(walls: Walls, pieces: Sequence[Piece], stability: Stability, fixings: Sequence[Fixing]) -> list[Fixing]:
    """Pins and screws whose upper timber does not stand: those that join a new course to one that stands are among
    them."""
    if not walls.standing.any_stands:
        return list(fixings)
    carriers, ties = Carriers(pieces, stability.ties), {tie.id for tie in ties_to_come(walls, stability)}

    def comes(fixing: Pin | Fastener) -> bool:
        timber = carriers.of(fixing)
        return timber is None or (timber.id in ties if isinstance(timber, Tie) else not walls.stands(timber))

    return [fixing for fixing in fixings if comes(fixing)]
