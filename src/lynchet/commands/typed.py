"""Names of files in the orders a command offers."""

from __future__ import annotations

from pathlib import Path


def typed(file: Path) -> str:
    """The name of a file as it is typed behind a command: in quotes where it holds blanks or marks."""
    name = str(file)
    return name if all(mark.isalnum() or mark in "._-/\\:~" for mark in name) else f'"{name}"'
