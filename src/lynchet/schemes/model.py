"""Schemes as compared: what each changes of the brief, the plan it leads to, and the figures people choose by."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.core.findings import Verdict
from lynchet.plan.model import Plan

Edit = tuple[str, object]
"""Dotted key of the project file and its new value; None takes the key away."""
Edits = tuple[Edit, ...]
Span = tuple[float, float]
"""Low and high."""

BASE = "as written"
"""Name of the file's own brief among the schemes."""


PLANTED = "plants and mulch only"
"""What is said of the price where nothing is built and the slope planted."""


@dataclass(frozen=True)
class Row:
    """One plan as compared. SI; None = not known."""

    verdict: Verdict
    reason: str
    """The gravest finding; empty where the verdict is go."""
    stops: int
    cost: Span | None
    """Before tax, of the lines that have a price; None where not one has."""
    cost_words: str
    """What is missing of the price, in words; empty where nothing is."""
    hours: Span | None
    """Person hours."""
    dug_m3: float
    """All that is dug, bank measure."""
    away_loose_m3: float
    """Carried away as carried; negative where soil must be brought in."""
    loads: int
    handled_m3: float
    """Dug, and brought in from elsewhere, bank measure."""
    bed_m2: float
    """Level bed that can be planted: timber and path strips taken off. Sloped ground where nothing is built."""
    highest_m: float
    """Greatest difference of level any wall holds."""
    walls: int
    """Lines on which a wall stands."""
    terraces: int
    sticks: int

    @property
    def sloped(self) -> bool:
        """Whether nothing is built and the slope is planted as it is."""
        return self.cost_words == PLANTED


@dataclass(frozen=True)
class Outcome:
    """One scheme, planned."""

    name: str
    what: str
    """What it is, in plain words."""
    edits: Edits
    """What it changes of the file; empty for the file as written, and for leaving the slope as it is."""
    plan: Plan | None
    """None where nothing is built."""
    row: Row
    tried: int = 1
    """Plans looked at to find it."""
    note: str = ""
    """Why it is no other plan than the file's own, or what it asks for; empty where nothing is to be said."""
    own: bool = False
    """The user's own ``[[scheme]]``."""


@dataclass(frozen=True)
class Comparison:
    """Schemes of one yard beside the file as written."""

    base: Outcome
    others: tuple[Outcome, ...]
    """The user's own first, in the order of the file, then the tool's in their fixed order."""
    missing: tuple[tuple[str, str], ...] = ()
    """Schemes asked for that this yard has none of, each with the reason."""

    @property
    def all(self) -> tuple[Outcome, ...]:
        """The file as written, then the others."""
        return (self.base, *self.others)
