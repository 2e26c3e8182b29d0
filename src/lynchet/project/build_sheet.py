"""From the checked table to the words of the title block."""

from __future__ import annotations

from lynchet.project.check import Got
from lynchet.project.faults import Faults
from lynchet.project.sheet_block import SheetBlock

_ISSUE = 6
_NAME = 60
_LINE = 120


def sheet_of(got: Got, faults: Faults) -> SheetBlock:
    """The title block; texts no block could ever hold are refused, longer ones than it shows are shortened there."""
    for key, most in (("issue", _ISSUE), ("drawn", _NAME), ("checked", _NAME), ("number", _NAME), ("place", _LINE)):
        said = got[key] or ""
        if len(said) > most:
            faults.add(got.at(key), f"{len(said)} characters", f"at most {most} characters")
    words = ("number", "place", "drawn", "checked", "date", "status", "paper")
    return SheetBlock(**{key: got[key] or "" for key in words}, issue=got["issue"] or "A")
