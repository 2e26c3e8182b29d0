"""What the site is like by now: courses that stand, things found in the ground, soil moved already."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Point = tuple[float, float]
Answer = Literal["", "follow", "level"]
FoundKind = Literal["rock", "concrete", "root", "pipe", "water", "soft"]
FoundAnswer = Literal["", "step up", "bridge", "drain", "dig out"]
Written = tuple[str, int, int]
"""File, line, and place from 1 in its list: what an error about an entry names."""


@dataclass(frozen=True)
class KeptStretch:
    """A stretch of a wall as it was planned, courses counted from the wall's lowest, 1 first."""

    from_m: float
    to_m: float
    """Stations along the wall."""
    base: int
    top: int


@dataclass(frozen=True)
class KeptCuts:
    """Where the joints of one course lie."""

    course: int
    stations_m: tuple[float, ...]


@dataclass(frozen=True)
class KeptNotch:
    """An opening for a pipe in one course, from one station along the wall to another."""

    course: int
    from_m: float
    to_m: float


@dataclass(frozen=True)
class Stands:
    """Courses of a wall that are laid, up to and with one of them."""

    wall: str
    """Id as the plan gives it."""
    course: int
    """Counted from the wall's lowest, 1 first."""
    readings_m: tuple[float, ...] = ()
    """Levels of its top as measured."""
    off_m: float | None = None
    """How far its top stands over where it was planned, low is negative; None where not measured so."""
    answer: Answer = ""
    """What is to be done about it: the courses above follow, or come back to level."""
    bottom_m: float | None = None
    """Underside of the wall's lowest course as it was planned; None = as the file without what stands plans it."""
    line_m: tuple[Point, ...] = ()
    """Start and end of the wall's line as it was planned; empty as for ``bottom_m``."""
    stretches: tuple[KeptStretch, ...] = ()
    cuts: tuple[KeptCuts, ...] = ()
    notches: tuple[KeptNotch, ...] | None = None
    """All openings for pipes in its courses; None = not said."""
    written: Written = field(default=("", 0, 0), compare=False)


@dataclass(frozen=True)
class Found:
    """A thing met in the ground while digging."""

    name: str
    kind: FoundKind
    line_m: tuple[Point, ...]
    """One point or a line."""
    depth_m: float
    """Depth of its top below the ground as it was before digging."""
    size_m: float
    """How wide it is."""
    answer: FoundAnswer = ""
    written: Written = field(default=("", 0, 0), compare=False)


@dataclass(frozen=True)
class SoilMoved:
    """Soil that has left the site or come to it already."""

    way: Literal["away", "in"]
    volume_m3: float
    measure: Literal["loose", "bank", "compacted"] = "loose"
    topsoil: bool = False


@dataclass(frozen=True)
class SoFar:
    """Everything that is so already; empty where nothing is."""

    stands: tuple[Stands, ...] = ()
    found: tuple[Found, ...] = ()
    moved: tuple[SoilMoved, ...] = ()
