"""Numbers to peg the walls by: points by two tapes, check lengths, levels, marks on the rod."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.core.quick import quick

Point = tuple[float, float]


@quick
@dataclass(frozen=True)
class SettingPoint:
    """A point to peg, by two tape lengths from two known corners."""

    id: str
    what: str
    """In plain words: "start of wall W2, face of timber"."""
    point_m: Point
    from_a: str
    distance_a_m: float
    from_b: str
    distance_b_m: float


@dataclass(frozen=True)
class Diagonal:
    """A check length between two set points."""

    from_point: str
    to_point: str
    distance_m: float


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
    """Known corners: house corners in sight of the area and corners of the outline."""
    points: tuple[SettingPoint, ...]
    diagonals: tuple[Diagonal, ...]
    benchmark: str
    """Name of the reading the levels count from."""
    benchmark_m: float
    levels: tuple[LevelMark, ...]
    gauge_m: tuple[float, ...]
    """Marks on the gauge rod: course tops above the underside of the lowest course of any wall."""
    benchmark_at_m: Point | None = None
    """Where the benchmark is; None where that is not known."""
