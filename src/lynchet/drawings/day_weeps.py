"""Weep holes of a day: through the timber laid with a share, and through timber that stands before it is hidden."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.drawings.day_places import Naming
from lynchet.plan.day_parts import Share
from lynchet.plan.weep_places import pieces_of_holes, weep_rows
from lynchet.stability.model import WEEP_BORE_M, WEEP_CLOTH_M, WEEP_FALL_M, Weep


def weep_sentences(named: Naming, share: Share) -> Iterator[str]:
    """Where to bore the timber laid, wall by wall and course by course, and what is done to each bore; or nothing."""
    yield from _said(named, "weeps", _through_laid(named, share))


def standing_holes(named: Naming, share: Share) -> tuple[str, ...]:
    """The same of timber that stands, before the share begins."""
    return tuple(_said(named, "weeps_standing", _through_standing(named, share)))


def _said(named: Naming, name: str, holes: Sequence[Weep]) -> Iterator[str]:
    if holes:
        yield named.words(f"day.{name}", bore=named.size(WEEP_BORE_M), fall=named.size(WEEP_FALL_M),
                          rows=_rows(named, holes))  # fmt: skip
        yield named.words("day.weep_cloth", cloth=named.size(WEEP_CLOTH_M[named.system]))


def bored_with(named: Naming, share: Share) -> bool:
    """Whether weep holes are bored with a share."""
    return bool(_through_standing(named, share) or _through_laid(named, share))


def squares(named: Naming, shares: Sequence[Share]) -> int:
    """Squares of filter fabric for the weep holes bored with some shares: one each."""
    return sum(len(_through_standing(named, share)) + len(_through_laid(named, share)) for share in shares)


def _rows(named: Naming, holes: Sequence[Weep]) -> str:
    return "; ".join(
        named.words("day.weep_row", wall=row.leg, course=row.row, up=named.size(row.up_m),
                    places=", ".join(named.tape(at) for at in row.from_left_m))
        for row in weep_rows(named.plan, holes)
    )  # fmt: skip


def _through_laid(named: Naming, share: Share) -> list[Weep]:
    """Holes through the timber laid with a share."""
    through, lays = pieces_of_holes(named.plan), set(share.lays)
    return [hole for hole in named.plan.stability.weeps if through.get(hole.id) in lays]


def _through_standing(named: Naming, share: Share) -> list[Weep]:
    """Holes through timber that stands, with the first share of their task: nobody knows whether they are bored."""
    bores = set(share.task.bores) if share.start <= 0.0 else set()
    return [hole for hole in named.plan.stability.weeps if hole.id in bores]
