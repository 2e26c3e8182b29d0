"""What every piece is called on paper: its row from the lowest course of its wall and a letter along it, "2a"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from string import ascii_lowercase

from lynchet.walls.model import Piece, Run


def piece_marks(runs: Iterable[Run], pieces: Sequence[Piece]) -> dict[str, str]:
    """Marks by piece id.

    Args:
        runs: courses of the same walls.
        pieces: all pieces of one wall or more, those that stand already too; letters follow their starts.
    """
    rows = {run.id: run.row for run in runs}
    by_row: dict[tuple[str, int], list[Piece]] = {}
    for piece in pieces:
        by_row.setdefault((piece.leg, rows[piece.run]), []).append(piece)
    return {
        piece.id: f"{row}{letter(n)}"
        for (_, row), found in by_row.items()
        for n, piece in enumerate(sorted(found, key=lambda one: min(one.start_m)))
    }


def letter(number: int) -> str:
    """a to z, then aa, ab; after zz, aaa."""
    before, last = divmod(number, 26)
    return (letter(before - 1) if before else "") + ascii_lowercase[last]
