"""Weep holes of a day: through the timber laid with a share, and through timber that stands before it is hidden."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.drawings.day_places import Naming
from lynchet.plan.day_parts import Share
from lynchet.plan.weep_places import pieces_of_holes, weep_rows
from lynchet.stability.model import WEEP_BORE_M, WEEP_CLOTH_M, WEEP_FALL_M, Weep


def weep_sentences(named: Naming, share: Share) -> Iterator[str]:
    """Where to bore, wall by wall and course by course, and what is done to each bore; nothing without any."""
    standing, laid = _through_standing(named, share), _through_laid(named, share)
    for name, holes in (("weeps_standing", standing), ("weeps", laid)):
        if holes:
            yield named.words(f"day.{name}", bore=named.size(WEEP_BORE_M), fall=named.size(WEEP_FALL_M),
                              rows=_rows(named, holes))  # fmt: skip
    if standing or laid:
        yield named.words("day.weep_cloth", cloth=named.size(WEEP_CLOTH_M[named.system]))


def bored_with(named: Naming, share: Share) -> bool:
    """Whether weep holes are bored with a share."""
    return bool(_through_standing(named, share) or _through_laid(named, share))


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
    """Holes through timber that stands, of the walls that go on with a share: nobody knows whether they are bored."""
    plan = named.plan
    if not plan.standing.any_stands or not plan.stability.weeps or not share.lays:
        return []
    legs = {piece.id: piece.leg for piece in plan.pieces}
    first: dict[str, str] = {}
    for name in (name for day in plan.works.days for step in day.steps for name in step.lays if name in legs):
        first.setdefault(legs[name], name)
    begun = {leg for leg, name in first.items() if name in set(share.lays)}
    return [hole for hole in plan.stability.weeps
            if hole.leg in begun and plan.walls.standing.stands(hole.leg, hole.course, hole.station_m)]  # fmt: skip
