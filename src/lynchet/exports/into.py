"""A folder that files are written into, with what must not be touched there and who is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path


def _nobody(_: str) -> None:
    """Nobody is told."""


@dataclass(frozen=True)
class Into:
    """Where files go."""

    folder: Path
    inputs: frozenset[Path] = frozenset()
    """Files this run read, which may lie in the folder: they are neither moved nor replaced."""
    tell: Callable[[str], None] = _nobody
    """Told what became of files that somebody changed, or that are inputs."""

    def is_input(self, name: str) -> bool:
        """Whether a file of the folder is one of the inputs, by whatever way it is named."""
        path = self.folder / name
        return path.exists() and any(one.exists() and path.samefile(one) for one in self.inputs)
