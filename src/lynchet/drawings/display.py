"""The display list: paths and texts in paper mm, y down. All writers read this and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from lynchet.core.quick import quick
from lynchet.drawings.letters import ASCENT, DESCENT, width
from lynchet.drawings.paper import Box
from lynchet.drawings.roles import Role, Weight

Point = tuple[float, float]
Paths = tuple[tuple[Point, ...], ...]


@quick
@dataclass(frozen=True)
class Stroke:
    """A path of one or more subpaths, stroked, filled or both; holes by the even-odd rule."""

    paths: Paths
    layer: str
    closed: bool = False
    width_mm: float = 0.0
    role: Role = ""
    dash_mm: tuple[float, ...] = ()
    fill: Role = ""
    of: str = ""
    """Id of the model item it comes from."""
    texture: bool = False
    """Part of a hatch: a text with a halo may lie on it."""


@quick
@dataclass(frozen=True)
class Raster(Stroke):
    """A picture of the user's own that fills its one path, an upright box; writers that carry none leave it out."""

    uri: str = ""
    """The picture itself: "data:image/png;base64,..."."""


@quick
@dataclass(frozen=True)
class Letters:
    """One line of text, already measured."""

    x: float
    y: float
    """Base line at the anchor."""
    text: str
    h: float
    layer: str
    anchor: str = "l"
    weight: Weight = "regular"
    role: Role = "ink"
    turn_deg: float = 0.0
    halo: Role = ""
    of: str = ""

    @property
    def width_mm(self) -> float:
        """Its width by the font's advances."""
        return width(self.text, self.h, self.weight)

    def corners(self) -> tuple[Point, ...]:
        """The four corners of its box."""
        start = {"l": 0.0, "c": -0.5, "r": -1.0}[self.anchor] * self.width_mm
        end, top, foot = start + self.width_mm, -ASCENT * self.h, DESCENT * self.h
        c, s = cos(radians(self.turn_deg)), sin(radians(self.turn_deg))
        return tuple(
            (self.x + u * c + v * s, self.y - u * s + v * c)
            for u, v in ((start, top), (end, top), (end, foot), (start, foot))
        )

    def box(self) -> Box:
        """The upright box round it."""
        xs, ys = zip(*self.corners(), strict=True)
        return min(xs), min(ys), max(xs), max(ys)


Mark = Stroke | Letters


@dataclass(frozen=True)
class Placed:
    """Where a label came to stand, for the text dump."""

    id: str
    text: str
    ring: int
    """0 near, 1 to 3 with a leader, -1 as a number in the key."""
    cost: float
    crossings: int
    """Foreign lines that pass under it."""
    number: int = 0
    """Its number in the key, where ``ring`` is -1."""


@dataclass(frozen=True)
class Display:
    """Everything of one sheet in the order it is drawn."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    labels: tuple[Placed, ...] = ()
    by_view: tuple[tuple[Mark, ...], ...] = ()
    """Marks of each view of the sheet, halos left out."""

    @property
    def texts(self) -> tuple[Letters, ...]:
        """All texts."""
        return tuple(mark for mark in self.marks if isinstance(mark, Letters))
