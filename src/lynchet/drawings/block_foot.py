"""The title line at the foot of a tall sheet: its cells, and the height at which they hold all words of a file."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from lynchet.drawings.block_cells import Cell, Filled, Part, filled
from lynchet.drawings.letters import LEAST_MM
from lynchet.project.model import Project

LIMITS = (3, 2, 1)
"""Lines a part may take, tried in this order."""
FOOT_MM = 12.0
_MORE_MM = 13.0
"""How much higher the line may grow."""


@dataclass(frozen=True)
class FootWords:
    """What the line says."""

    firm: str
    phone: str
    job: str
    more: str
    """Number of the job and place."""
    title: str
    status: str
    scale: str
    drawn: str
    issue: str
    checked: str
    number: str


@lru_cache(maxsize=256)
def foot_cells(wide: float, words: FootWords, limit: int) -> tuple[Filled, ...]:
    """Firm, job, sheet, scale, date, number; under each, small, what else the file says.

    Args:
        wide: of the line, mm.
        words: what it says.
        limit: most lines of one part.
    """
    rows = (
        ("Firm", words.firm or "your firm here", 0.21, words.phone),
        ("Job and place", words.job, 0.265, words.more),
        ("Sheet", words.title, 0.16, words.status),
        ("Scale", words.scale, 0.115, f"drawn {words.drawn}" if words.drawn else ""),
        ("Date, issue", words.issue, 0.15, f"checked: {words.checked}"),
        ("Sheet no.", words.number, 0.10, ""),
    )
    cells = [
        Cell(name, (Part(name, said), *((Part(f"{name}, second line", more, LEAST_MM, "regular"),) if more else ())),
             share * wide)
        for name, said, share, more in rows
    ]  # fmt: skip
    return filled(cells, limit)


@lru_cache(maxsize=64)
def foot_mm(wide: float, words: FootWords) -> float:
    """The height that holds all words: higher than usual where they are long, up to a limit."""
    return min(FOOT_MM + _MORE_MM, max(FOOT_MM, *(cell.high_mm for cell in foot_cells(wide, words, LIMITS[0]))))


def words_of(project: Project) -> FootWords:
    """The words of a file, with the longest title, status and number a sheet may have."""
    said, firm = project.sheet, project.firm
    issue = f"{said.date}, {said.issue}" if said.date else said.issue
    more = ", ".join(part for part in (said.number, said.place) if part)
    return FootWords(firm.name, firm.phone, project.name, more, "Setting-out card", "STOP: not to be built as drawn",
                     "as shown", said.drawn, issue, said.checked or "not yet", "188 of 188")  # fmt: skip
