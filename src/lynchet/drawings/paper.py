"""Paper: sizes, frames, the scales one may draw at, and the largest of them that fits.

Sizes after ISO 216 and ANSI/ASME Y14.1; scales after ISO 5455 and US building practice (MEMORY); frame margins of
20 mm at the filing edge and 10 mm else after ISO 5457 (MEMORY).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from lynchet.core.errors import Fault, InputError
from lynchet.drawings.block_foot import FOOT_MM, foot_mm, words_of
from lynchet.project.model import Project

PaperName = Literal["A3", "A4", "Tabloid", "Letter"]
Box = tuple[float, float, float, float]
"""Left, top, right, bottom; paper mm, y down."""
STRIP_MM = 88.0
BLOCK_MM = 50.0


@dataclass(frozen=True)
class Paper:
    """One size of paper with its frame."""

    name: PaperName
    width_mm: float
    height_mm: float
    frame_left_mm: float
    foot_mm: float = FOOT_MM
    """Height of the title line of a tall sheet."""
    block_mm: float = BLOCK_MM
    """Height of the whole block in the corner of a tall sheet."""

    @property
    def frame(self) -> Box:
        """The frame's box."""
        return (self.frame_left_mm, 10.0, self.width_mm - 10.0, self.height_mm - 10.0)

    @property
    def wide(self) -> bool:
        """Whether the sheet has a strip at its right."""
        return self.width_mm > self.height_mm

    @property
    def small(self) -> bool:
        """Whether key and notes are set close, for want of height."""
        return self.height_mm < _SMALL_MM

    @property
    def field(self) -> Box:
        """Where the drawing goes: the frame less the strip at the right, or less the title strip at the foot."""
        left, top, right, bottom = self.frame
        return (left, top, right - STRIP_MM, bottom) if self.wide else (left, top, right, bottom - self.foot_mm)


PAPERS: dict[str, Paper] = {
    "A3": Paper("A3", 420.0, 297.0, 20.0),
    "A4": Paper("A4", 210.0, 297.0, 20.0),
    "Tabloid": Paper("Tabloid", 431.8, 279.4, 20.0),
    "Letter": Paper("Letter", 215.9, 279.4, 18.0),
}
METRIC_SCALES: tuple[int, ...] = (1, 2, 5, 10, 20, 50, 100, 200, 250, 500, 1000)
US_SCALES: tuple[int, ...] = (1, 4, 8, 12, 24, 48, 96, 120, 192, 240, 360, 480, 600, 1200)
_US_WORDS: dict[int, str] = {
    1: "full size", 4: "3 in = 1 ft", 8: "1½ in = 1 ft", 12: "1 in = 1 ft", 24: "½ in = 1 ft", 48: "¼ in = 1 ft",
    96: "⅛ in = 1 ft", 120: "1 in = 10 ft", 192: "1/16 in = 1 ft", 240: "1 in = 20 ft",
    360: "1 in = 30 ft", 480: "1 in = 40 ft", 600: "1 in = 50 ft", 1200: "1 in = 100 ft",
}  # fmt: skip


_WIDE: dict[str, Paper] = {
    "A3": PAPERS["A3"],
    "A4": Paper("A4", 297.0, 210.0, 20.0),
    "Tabloid": PAPERS["Tabloid"],
    "Letter": Paper("Letter", 279.4, 215.9, 18.0),
}
"""As they lie for plans, sections and walls."""
_CARRIED = {"A3": "A4", "A4": "A4", "Tabloid": "Letter", "Letter": "Letter"}
LARGER: dict[str, tuple[PaperName, ...]] = {
    "Letter": ("Tabloid", "A3"), "A4": ("A3", "Tabloid"), "Tabloid": ("A3",), "A3": ("Tabloid",),
}  # fmt: skip
"""Papers that may hold what one does not, those of its own kind first."""
_SMALL_MM = 230.0


class PageTooSmallError(InputError):
    """A sheet does not fit its paper at any scale one may draw at."""

    def __init__(self, paper: Paper, why: str, sheet: str = "", holds: str = "") -> None:
        self.paper, self.why, self.sheet, self.holds = paper, why, sheet, holds
        accepted = f"{holds}: it holds every sheet of this plan" if holds else "a larger paper"
        named = f'the sheet "{sheet}"' if sheet else "a sheet"
        super().__init__(Fault(f"{named} does not fit on {paper.name} ({why})", accepted, "sheet.paper"))

    def __reduce__(self) -> tuple[type[PageTooSmallError], tuple[object, ...]]:
        """Sent from one process to another with what it was made of."""
        return type(self), (self.paper, self.why, self.sheet, self.holds)


def paper_of(project: Project, *, carried: bool = False) -> Paper:
    """The paper of a sheet of a project: the one its file asks for, else that of its units.

    Plans, sections and walls lie on the paper asked for; what is carried about stands on the small one of its kind.
    """
    asked = project.sheet.paper
    if not carried:
        return _WIDE[asked] if asked else sheet_paper(project.units)
    paper = PAPERS[_CARRIED[asked]] if asked else sheet_paper(project.units, carried=True)
    left, _, right, _ = paper.frame
    return replace(paper, foot_mm=foot_mm(right - left, words_of(project)))


def sheet_paper(units: str, *, carried: bool = False) -> Paper:
    """The paper of a sheet: A3 or Tabloid for plans, A4 or Letter for what is carried about."""
    if units == "us":
        return PAPERS["Letter" if carried else "Tabloid"]
    return PAPERS["A4" if carried else "A3"]


def scale_words(scale: int, units: str) -> str:
    """A scale as people of these units say it: "1 : 50", "¼ in = 1 ft"."""
    return _US_WORDS[scale] if units == "us" and scale in _US_WORDS else f"1 : {scale}"


def scales(units: str) -> tuple[int, ...]:
    """The scales one may draw at, largest picture first."""
    return US_SCALES if units == "us" else METRIC_SCALES


def largest_scale(size_m: tuple[float, float], room_mm: tuple[float, float], units: str, least: int = 1) -> int:
    """The scale (1 : n) with the largest picture that fits; the smallest picture of the list if none does.

    Args:
        size_m: width and height of what is drawn.
        room_mm: width and height it may take on paper.
        units: "metric" or "us", whose list of scales is used.
        least: no larger picture than this scale.
    """
    allowed = [n for n in scales(units) if n >= least]
    for n in allowed:
        if size_m[0] * 1000.0 / n <= room_mm[0] and size_m[1] * 1000.0 / n <= room_mm[1]:
            return n
    return allowed[-1]
