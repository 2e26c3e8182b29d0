"""Notches of a wall, as its pieces leave them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from lynchet.walls.model import Piece, Run, Walls


def openings(walls: Walls, pieces: Sequence[Piece]) -> Iterator[tuple[Run, float, float]]:
    """Notches as the pieces leave them: run, start and end station."""
    runs = {run.id: run for run in walls.runs}
    for one, after in pairwise(pieces):
        if one.run == after.run and min(after.start_m) - max(one.end_m) > 1e-3:
            yield runs[one.run], max(one.end_m), min(after.start_m)
