"""The timber stage: sticks for every piece, fasteners, strength, weights, treatment."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.timber.buying import buy
from lynchet.timber.model import Timber
from lynchet.walls.model import Piece, Walls


def timber(project: Project, walls: Walls, pieces: Sequence[Piece], stability: Stability, cutting_s: float) -> Timber:
    """What the walls, ties and cross-pieces are cut from, and what holds them together.

    Args:
        project: the file.
        walls: the built geometry.
        pieces: of every course.
        stability: for ties, pins and what the timber must carry.
        cutting_s: seconds for the least cost; 0 = the habit of the trade with a bound.
    """
    wanted = wanted_of(project, pieces, stability)
    bought = buy(project.timber, wanted, cutting_s)
    return Timber(
        sticks=bought.sticks,
        stock=bought.lines,
        bought_m=sum(stick.stock_m for stick in bought.sticks),
        used_m=sum(length for _, length in wanted),
        method=bought.method,
        least_sticks=bought.least_sticks,
        price=bought.price,
        proof=bought.proof,
    )


def wanted_of(project: Project, pieces: Sequence[Piece], stability: Stability) -> list[tuple[str, float]]:
    """Id and length of every piece, tie and cross-piece."""
    wanted = [(piece.id, piece.length_m) for piece in pieces]
    for tie in stability.ties:
        wanted += [(tie.id, tie.length_m - project.timber.thickness_m), (f"{tie.id}/cross", tie.cross_length_m)]
    return wanted
