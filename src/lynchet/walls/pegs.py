"""Numbers to peg the walls by: points by two tapes, check lengths, levels, marks on the rod."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lynchet.core.quick import quick

Point = tuple[float, float]
Side = Literal["left", "right", "in line"]
"""Of the line between two hooks, as one stands on site at the first and looks to the second."""


@quick
@dataclass(frozen=True)
class SettingPoint:
    """A point to peg, by two tape lengths from two known corners, and the side of their line it lies on."""

    id: str
    what: str
    """In plain words: "start of wall W2, face of timber"."""
    point_m: Point
    from_a: str
    distance_a_m: float
    from_b: str
    distance_b_m: float
    side: Side
    """Without it the tapes would meet in two places."""


@dataclass(frozen=True)
class CheckTape:
    """A length between two marks on the ground, taped once more when all pegs stand."""

    from_point: str
    to_point: str
    distance_m: float
    what: Literal["diagonal", "across", "from peg to peg"]
    """Between opposite corners of a bed with four; else from corner to corner across a bed; of no bed at all."""
    bed: str = ""


@quick
@dataclass(frozen=True)
class LevelMark:
    """A level to set, also as what a staff or tape reads below the benchmark."""

    place: str
    what: str
    """In plain words: "finished bed", "underside of the lowest course"."""
    level_m: float
    below_mark_m: float
    """Benchmark level less this level: positive = lower than the benchmark."""
    stations_m: tuple[float, float] | None = None
    """The stretch of the wall it holds for; None = the whole thing."""


@dataclass(frozen=True)
class SettingOut:
    """Numbers to peg the walls by."""

    known_m: tuple[tuple[str, Point], ...]
    """What tapes are hooked on: house corners near the area, corners of the area as the file draws it."""
    points: tuple[SettingPoint, ...]
    check_tapes: tuple[CheckTape, ...]
    benchmark: str
    """Name of the reading the levels count from."""
    benchmark_m: float
    levels: tuple[LevelMark, ...]
    gauge_m: tuple[float, ...]
    """Marks on the gauge rod: course tops above the underside of the lowest course of any wall."""
    benchmark_at_m: Point | None = None
    """Where the benchmark is; None where that is not known."""
    moved: tuple[SettingPoint, ...] = ()
    """Corners of the area that an inset moved: nothing marks them on site, so they are set out like pegs."""
