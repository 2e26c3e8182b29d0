"""Pieces shorter than the shortest asked for: where they lie, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Project
from lynchet.units.format import length
from lynchet.walls.model import Piece, Walls

SHORT_CODE = "timber.short_piece"
_SHOWN = 4
_SAME_M = 1e-3


def short_findings(
    project: Project, walls: Walls, pieces: Sequence[Piece], marks: Mapping[str, str]
) -> Iterator[Finding]:
    """Short pieces of long courses (a joint or a notch leaves them), then whole courses that are that short.

    The first are care where a piece is under half of what was asked: little of it lies on the course below.

    Args:
        project: the file.
        walls: for the courses.
        pieces: to be laid.
        marks: of the pieces, as on the sheets.
    """
    asked = project.brief.shortest_piece_m
    runs = {run.id: run.outer_m[1] - run.outer_m[0] for run in walls.runs}
    short = [piece for piece in pieces if piece.length_m < asked - _SAME_M]
    left = cut_short(project, walls, pieces)
    whole = [piece for piece in short if runs[piece.run] < asked - _SAME_M]
    units = project.units
    if left:
        least = min(piece.length_m for piece in left)
        count = f"{len(left)} piece{'s are' if len(left) > 1 else ' is'}"
        text = (
            f"{count} shorter than the {length(asked, units)} asked, because of a notch, a tie or the joints of the "
            f"courses below and above: {_places(left, project, marks)}. Screw them at both ends."
        )
        word = Verdict.WATCH if least < asked / 2 - _SAME_M else Verdict.OK
        yield Finding("timber.short_piece", word, text, left[0].leg, demand=asked, capacity=least, unit="m",
                      source="PRACTICE", cause=SHORT_CODE)  # fmt: skip
    if whole:
        count = f"{len(whole)} whole course{'s are' if len(whole) > 1 else ' is'}"
        text = (
            f"{count} shorter than the {length(asked, units)} asked for a piece, where the footing steps or a wall "
            f"ends: {_places(whole, project, marks)}. An end of the wall moved that far would do away with them."
        )
        yield Finding("timber.short_course", Verdict.OK, text, whole[0].leg, demand=asked,
                      capacity=min(piece.length_m for piece in whole), unit="m", source="PRACTICE",
                      cause="timber.short_course")  # fmt: skip


def cut_short(project: Project, walls: Walls, pieces: Sequence[Piece]) -> list[Piece]:
    """Pieces under the shortest asked, of courses long enough for one."""
    asked = project.brief.shortest_piece_m - _SAME_M
    short = [piece for piece in pieces if piece.length_m < asked]
    if not short:
        return []
    runs = {run.id: run.outer_m[1] - run.outer_m[0] for run in walls.runs}
    return [piece for piece in short if runs[piece.run] >= asked]


def _places(pieces: Sequence[Piece], project: Project, marks: Mapping[str, str]) -> str:
    """The shortest first: "1a of wall W2 (1 ft 2 in)"."""
    first = sorted(pieces, key=lambda piece: (piece.length_m, piece.id))
    shown = [
        f"{marks[piece.id]} of wall {piece.leg} ({length(piece.length_m, project.units)})" for piece in first[:_SHOWN]
    ]
    more = f" and {len(first) - _SHOWN} more" if len(first) > _SHOWN else ""
    return ", ".join(shown) + more
