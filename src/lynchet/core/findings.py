"""Findings: what a check says of the design. Bad input is an error (``core.errors``); a weak wall is a finding."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING, Literal

from lynchet.core.late import LateWorking, Worked
from lynchet.core.quick import quick


class Verdict(IntEnum):
    """How bad, from good to bad; the worst of many is their maximum."""

    OK = 0
    WATCH = 1
    ASK = 2
    STOP = 3

    @property
    def words(self) -> str:
        """For people: go, go with care, ask first, stop."""
        return ("go", "go with care", "ask first", "stop")[self]

    @property
    def key(self) -> Literal["ok", "watch", "ask", "stop"]:
        """For files: ok, watch, ask, stop."""
        words: tuple[Literal["ok", "watch", "ask", "stop"], ...] = ("ok", "watch", "ask", "stop")
        return words[self]


if TYPE_CHECKING:
    Working = Worked | LateWorking
else:
    Working = Worked  # how it is written and what the schema of the plan tells
"""A calculator and its arguments, at hand or found when first read."""


@dataclass(frozen=True)
class Cure:
    """An edit of the brief that would help, with its effect computed before it is chosen."""

    name: str
    """What ``--with`` takes, e.g. "one-course-fewer"."""
    text: str
    """In plain words, what would be done."""
    edits: tuple[tuple[str, object], ...] = ()
    """Dotted keys of the project file and their new values."""
    effect: str = ""
    """What it changes: heights, soil, sticks, the new verdict."""


@quick
@dataclass(frozen=True)
class Finding:
    """One answer of one check.

    ``demand`` and ``capacity`` carry the same unit; ``ratio`` is capacity over demand for factors of safety,
    and is given only where it means something.
    """

    code: str
    """Short and stable, room first: "stability.sliding"."""
    verdict: Verdict
    text: str
    """One plain sentence or two; no jargon without its meaning."""
    place: str = ""
    """Id of the thing: wall, leg, face, drain, "site"."""
    case: str = ""
    """Load case: dry, wet, one outlet shut, all shut, load, earthquake; empty where none applies."""
    demand: float | None = None
    capacity: float | None = None
    ratio: float | None = None
    unit: str = ""
    source: str = ""
    cures: tuple[Cure, ...] = ()
    withholds: tuple[str, ...] = ()
    """Sheets kept back: "cut-sheet", "order-list", "all" (everything one could build from)."""
    cause: str = ""
    """Findings of one cause are shown as one; empty = the code."""
    ask: str = ""
    """Whom to ask where the verdict is ASK: engineer, office, locator, neighbour, arborist."""
    working: Working | None = None
    """Calculator and its arguments, so that the working opens as ``lynchet calc`` prints it."""
    working_also: tuple[Working, ...] = ()
    """More calculators of the same finding, in the order they are read."""


def worst(findings: Iterable[Finding]) -> Verdict:
    """The worst verdict of many; OK when there are none."""
    return max((finding.verdict for finding in findings), default=Verdict.OK)
