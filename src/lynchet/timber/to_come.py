"""What of the timber is still to come: all but what stands."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.stability.model import Stability, Tie
from lynchet.timber.model import Fastener
from lynchet.walls.model import Walls

LAP_M = 0.5
"""Screws and pins of a lapped corner stand past the end of the stretch that carries them, by less than this."""


def ties_to_come(walls: Walls, stability: Stability) -> tuple[Tie, ...]:
    """Ties whose course does not stand: they are laid with it."""
    stands = walls.standing.stands
    return tuple(tie for tie in stability.ties if not stands(tie.leg, tie.course, tie.station_m))


def to_drive(walls: Walls, fasteners: Sequence[Fastener]) -> list[Fastener]:
    """Fasteners whose upper course does not stand: those that join a new course to one that stands are among them."""
    stands = walls.standing.stands
    return [one for one in fasteners if not stands(one.leg, one.course, one.station_m, LAP_M)]


def base_pins(walls: Walls, stability: Stability) -> int:
    """Pins through lowest courses that do not stand."""
    stands = walls.standing.stands
    return sum(not stands(pin.leg, pin.course, pin.station_m) for pin in stability.pins)
