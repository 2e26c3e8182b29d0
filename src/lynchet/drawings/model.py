"""The sheet model: what a sheet shows, in world metres and paper millimetres, roles instead of colours.

Built once from a plan, then lowered (``lower``) to a display list of two kinds that every writer reads. World points
are metres, y up; text and symbol sizes are paper mm, alike at every scale. Numbers stay numbers beside their text.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from math import cos, radians, sin
from typing import Literal

from lynchet.core.quick import quick
from lynchet.drawings.paper import Box, Paper
from lynchet.drawings.roles import Dash, Pen, Role, Theme, Weight
from lynchet.project.firm import Logo

Point = tuple[float, float]
Anchor = Literal["l", "c", "r"]


@quick
@dataclass(frozen=True, kw_only=True)
class Item:
    """What every item has."""

    id: str
    layer: str
    z: int = 0
    """Moves the item up the order of drawing by so many layers."""
    of: str = ""
    """Id of the placed thing it shows."""
    key: str = ""
    """Name of the entry in the key that explains it; empty where words beside it do."""
    alt: str = ""
    """Words for a reader who cannot see it."""


@quick
@dataclass(frozen=True, kw_only=True)
class Line(Item):
    """A line of straight parts."""

    pts: tuple[Point, ...]
    pen: Pen = "thin"
    dash: Dash = "solid"
    role: Role = "ink"
    closed: bool = False
    bed_mm: float = 0.0
    """Width of a paper-coloured bed under it, so that it breaks what it crosses; 0 = none."""
    arrow: bool = False
    """A filled head at its end."""
    gives_way: bool = False
    """Stands open at every text of its view that lies on it."""


@quick
@dataclass(frozen=True, kw_only=True)
class Area(Item):
    """An area: outer ring and holes, a fill, a hatch, an outline."""

    rings: tuple[tuple[Point, ...], ...]
    fill: Role = ""
    hatch: str = ""
    hatch_role: Role = "mid"
    pen: Pen | None = None
    dash: Dash = "solid"
    role: Role = "ink"


@quick
@dataclass(frozen=True, kw_only=True)
class Text(Item):
    """One line of text whose place is given."""

    at: Point
    text: str
    h: float = 2.5
    weight: Weight = "regular"
    anchor: Anchor = "l"
    turn_deg: float = 0.0
    """Anticlockwise as read."""
    role: Role = "ink"
    halo: Role = ""
    """Colour of the ground it lies on; empty = no halo."""
    shift_mm: Point = (0.0, 0.0)
    """Paper mm to move it, y down."""


@quick
@dataclass(frozen=True, kw_only=True)
class Label(Item):
    """Text whose place is found: near its anchor, clear of all other text; with a leader or a number if it must."""

    anchor: tuple[Point, ...]
    """One point, the ring of the area it names, or the line it stands in (``kind``)."""
    lines: tuple[str, ...]
    kind: Literal["point", "area", "line"] = "point"
    """line: on a straight stretch of the line itself, turned along it; left out where there is none."""
    h: float = 2.5
    weight: Weight = "regular"
    role: Role = "ink"
    halo: Role = "ground"
    """"ground": the colour of whatever it comes to lie on."""
    priority: int = 2
    """0 safety, 1 level, 2 name, 3 note."""
    style: Literal["plain", "bubble", "box", "spot", "stop"] = "plain"
    """bubble: in a ring; box: in a frame; spot: a cross at the anchor and its level; stop: beside an octagon."""
    gap_mm: float = 1.4
    """From the anchor to the nearest place."""
    optional: bool = False
    """Left out where it finds no place, in place of a number and a line in the key."""
    inside: bool = False
    """Of an area: stands in it, or is left out."""
    bars: tuple[str, ...] = ()
    """Of a leader: ids of what it had better not cross, without the number of the part: a wall beyond which it
    would name another thing."""
    off: tuple[str, ...] = ()
    """Ids of what its words had better not lie on, in the same way."""


@quick
@dataclass(frozen=True, kw_only=True)
class Dim(Item):
    """A dimension or a chain of them: points, their texts, and the numbers behind the texts."""

    pts: tuple[Point, ...]
    texts: tuple[str, ...]
    values_m: tuple[float, ...]
    off_mm: float = 8.0
    """From the extreme of the points to the line: up or left if positive, down or right if negative."""
    along: Literal["h", "v", "aligned"] = "aligned"
    axis: Point | None = None
    """World direction of the line, in place of ``along``."""
    weight: Weight = "regular"
    h: float = 2.5
    extend: bool = True


@quick
@dataclass(frozen=True, kw_only=True)
class Level(Item):
    """A level: boxed figure in plan, triangle on the line in section, cross and figure for ground as measured."""

    at: Point
    text: str
    value_m: float
    kind: Literal["new", "old", "base"] = "new"
    style: Literal["plan", "section"] = "plan"
    side: Literal["l", "r"] = "r"


@quick
@dataclass(frozen=True, kw_only=True)
class Symbol(Item):
    """A drawn sign of paper size."""

    name: str
    at: Point
    turn_deg: float = 0.0
    """Anticlockwise in the world; signs of direction follow the view."""
    size_mm: float = 1.0
    text: str = ""
    role: Role = "ink"


@quick
@dataclass(frozen=True, kw_only=True)
class Leader(Item):
    """A line from a text to what it names, ending in a dot."""

    start: Point
    end: Point
    role: Role = "ink"
    start_mm: Point = (0.0, 0.0)


@quick
@dataclass(frozen=True, kw_only=True)
class ScaleBar(Item):
    """A bar of true length with its figures."""

    at: Point
    scale: int
    step_m: float
    steps: int
    figures: tuple[str, ...]
    """One for each end of a step, the first included."""


@quick
@dataclass(frozen=True, kw_only=True)
class Image(Item):
    """A picture of the user's own, upright in its box; paper mm."""

    box: Box
    logo: Logo


@quick
@dataclass(frozen=True)
class View:
    """A picture on the sheet: items in world metres, placed, turned and scaled onto the paper."""

    id: str
    kind: Literal["plan", "section", "elevation", "detail", "axo", "paper"]
    scale: int
    items: tuple[Item, ...]
    region: Box
    """Box of the sheet it may use."""
    title: str = ""
    at_world: Point = (0.0, 0.0)
    at_paper: Point = (0.0, 0.0)
    turn_deg: float = 0.0
    mirrored: bool = False
    """World y flips first: an own frame of the other hand."""
    alt: str = ""
    clip: bool = False
    """Lines and areas are cut at the region."""

    def __hash__(self) -> int:
        # By what tells views apart at a glance: to go through all items would take longer than to draw them.
        return hash((self.id, self.kind, self.scale, len(self.items), self.region, self.at_world, self.at_paper))

    @cached_property
    def _turn(self) -> tuple[float, float, float]:
        return cos(radians(self.turn_deg)), sin(radians(self.turn_deg)), 1000.0 / self.scale

    def paper(self, point: Point) -> Point:
        """A world point in paper mm, y down. A view of kind "paper" is in paper mm already."""
        if self.kind == "paper":
            return point
        x, y = point[0] - self.at_world[0], point[1] - self.at_world[1]
        if self.mirrored:
            y = -y
        c, s, k = self._turn
        return self.at_paper[0] + (x * c - y * s) * k, self.at_paper[1] - (x * s + y * c) * k

    def papers(self, points: Iterable[Point]) -> tuple[Point, ...]:
        """Many world points, as ``paper`` has each."""
        if self.kind == "paper":
            return tuple(points)
        (wx, wy), (px, py), (c, s, k), hand = self.at_world, self.at_paper, self._turn, -1.0 if self.mirrored else 1.0
        if s == 0.0 and c == 1.0:  # upright: less to work out, and the same numbers
            return tuple([(px + (x - wx) * k, py - hand * (y - wy) * k) for x, y in points])
        moved = [(x - wx, hand * (y - wy)) for x, y in points]
        return tuple([(px + (x * c - y * s) * k, py - (x * s + y * c) * k) for x, y in moved])

    def direction(self, turn_deg: float) -> float:
        """A direction of the world (anticlockwise from +x) as seen on paper."""
        if self.kind == "paper":
            return turn_deg
        return (-turn_deg if self.mirrored else turn_deg) + self.turn_deg


@dataclass(frozen=True)
class Fields:
    """What the title block says."""

    firm: str
    job: str
    title: str
    scale: str
    units: str
    """Units and zero, in words."""
    drawn: str = ""
    checked: str = "not yet"
    date: str = ""
    issue: str = "A"
    number: int = 1
    of: int = 1
    status: str = ""
    """What the sheet may be used for; empty: none is claimed."""
    address: str = ""
    phone: str = ""
    """Of the firm, as its address."""
    logo: Logo | None = None
    job_number: str = ""
    place: str = ""


@dataclass(frozen=True)
class Sheet:
    """One sheet of paper."""

    id: str
    kind: str
    paper: Paper
    fields: Fields
    views: tuple[View, ...]
    marks: tuple[Item, ...] = ()
    """What belongs to the paper: key, tables, notes, bars; paper mm, y down."""
    theme: Theme = "print"
    lang: str = "en"
    cautions: tuple[str, ...] = ()
    alt: str = ""
    notes: tuple[str, ...] = field(default=())
    """Full texts of what had to be shortened."""
