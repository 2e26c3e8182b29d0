"""What a page holds, in blocks: built once from a plan, written by every writer (PDF, phone) in its own way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Word = Literal["ok", "watch", "ask", "stop"]
Align = Literal["l", "r", "c"]


@dataclass(frozen=True)
class Heading:
    """A heading: level 1 starts a part of the book, level 2 a section of it."""

    text: str
    level: int = 2
    anchor: str = ""
    """Name others may point at; unique in a book."""
    flows: bool = False
    """A part that goes on in the page before it where there is room: nobody takes it along by itself."""


@dataclass(frozen=True)
class Para:
    """A paragraph."""

    text: str
    style: Literal["plain", "lead", "note", "strong"] = "plain"


@dataclass(frozen=True)
class Flag:
    """A line that carries a verdict: its word stands in a box before the text, so colour never speaks alone."""

    word: Word
    label: str
    """The verdict in people's words."""
    text: str
    more: tuple[str, ...] = ()
    """Smaller lines under it: whom to ask, the cure, the source."""


@dataclass(frozen=True)
class Caution:
    """A caution, in a frame."""

    text: str


@dataclass(frozen=True)
class Bullets:
    """A list; with ``tick`` each line has a box to tick (on a phone it stays ticked)."""

    items: tuple[str, ...]
    tick: bool = False
    name: str = ""
    """Stable name under which a phone keeps the ticks."""


@dataclass(frozen=True)
class Table:
    """A table with a head row."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str = ""
    """One letter a column, l, r or c; empty = all left."""
    shares: tuple[float, ...] = ()
    """Widths against each other; empty = as wide as the text needs."""
    strong_last: bool = False
    """The last row is a total."""
    together: bool = False
    """Kept on one page of a printed book."""

    def __post_init__(self) -> None:
        """Every row as long as the head.

        Raises:
            ValueError: a row of another length, or letters that do not fit the head.
        """
        count = len(self.heads)
        if any(len(row) != count for row in self.rows) or len(self.align) not in (0, count):
            raise ValueError(f"every row must have {count} cells: {self.heads}")
        if self.shares and len(self.shares) != count:
            raise ValueError(f"{count} widths are needed: {self.shares}")

    @property
    def aligns(self) -> str:
        """One letter a column."""
        return self.align or "l" * len(self.heads)


@dataclass(frozen=True)
class Picture:
    """A sheet or a figure, on its own page where ``page`` is set (a sheet prints true to scale)."""

    name: str
    """File name without ending, unique in a book."""
    svg: str
    """Without its font; the writer carries the font once."""
    title: str
    alt: str
    width_mm: float
    height_mm: float
    page: bool = False
    anchor: str = ""
    """Its place in the address of a phone: "sheet-7"."""
    left: bool = False
    """At the left margin, and close to what follows: a logo."""


@dataclass(frozen=True)
class Working:
    """A calculation opened up: its parts with a name each (given, working, result) and their lines."""

    title: str
    parts: tuple[tuple[str, tuple[str, ...]], ...]
    """Named parts; what has no name (what it is, source, limits, caution) stands in lines of its own."""

    @property
    def lines(self) -> tuple[str, ...]:
        """All of it, line by line."""
        return tuple(line for name, texts in self.parts for line in ((name, *texts) if name else texts))


@dataclass(frozen=True)
class Break:
    """A new page (nothing on a phone)."""


@dataclass(frozen=True)
class Contents:
    """A list of the parts and sections, with their pages."""

    title: str


@dataclass(frozen=True)
class Entry:
    """A reading to take, with room for what was read (on a phone it stays written)."""

    place: str
    expected: str
    name: str
    """Stable name under which a phone keeps it."""


@dataclass(frozen=True)
class Same:
    """The picture of this name once more, on a phone, where it is carried only once."""

    name: str
    alt: str


@dataclass(frozen=True)
class Screen:
    """One view of the phone; nothing on paper."""

    anchor: str
    """Its place in the address: "day-3-step-2"."""
    title: str
    blocks: tuple[Block, ...]
    listed: bool = False
    """Named in the contents."""


@dataclass(frozen=True)
class OnPaper:
    """What only the printed book has."""

    blocks: tuple[Block, ...]


Block = (
    Heading
    | Para
    | Flag
    | Caution
    | Bullets
    | Table
    | Picture
    | Working
    | Break
    | Contents
    | Entry
    | Same
    | Screen
    | OnPaper
)


@dataclass(frozen=True)
class Book:
    """A whole book: what it is called and what it holds."""

    title: str
    subtitle: str
    lang: str
    """Language of its texts: "en", "es"."""
    paper: tuple[float, float]
    """Width and height of its pages, mm."""
    blocks: tuple[Block, ...]
    foot: str = ""
    """Stands at the foot of every page."""

    @property
    def pictures(self) -> tuple[Picture, ...]:
        """Every picture of the printed book, in order."""
        found: list[Block] = []
        for block in self.blocks:
            found += block.blocks if isinstance(block, OnPaper) else [block]
        return tuple(block for block in found if isinstance(block, Picture))


def join(*parts: Sequence[Block]) -> tuple[Block, ...]:
    """Blocks of several parts, one after the other."""
    return tuple(block for part in parts for block in part)
