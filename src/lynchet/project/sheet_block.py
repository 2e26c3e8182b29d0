"""What the title block of every sheet says."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SheetBlock:
    """The user's own words; empty where the file says nothing, so that no empty box passes for an approval."""

    number: str = ""
    """Of the job."""
    place: str = ""
    """Street and town."""
    drawn: str = ""
    checked: str = ""
    date: str = ""
    """YYYY-MM-DD."""
    issue: str = "A"
    status: str = ""
    """draft, for pricing, for permit, for build, as built; empty: none is claimed."""
    paper: str = ""
    """A3, A4, Tabloid or Letter, on which plans, sections and walls lie; empty: by the units."""
