"""Pieces shorter than asked: another joint offset or other stick lengths that leave fewer of them, as edits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from lynchet.core.findings import Cure
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import pieces_of
from lynchet.plan.priced_stock import with_prices
from lynchet.project.model import Project, Stock, Units
from lynchet.timber.short_pieces import SHORT_CODE, cut_short
from lynchet.units.format import length, rule_for_file, size_for_file, tape_for_file
from lynchet.units.measures import INCH
from lynchet.units.parse import parse
from lynchet.walls.joints import joint_rules
from lynchet.walls.model import Piece

PIECE_CURES = frozenset({"nearer-joints", "shorter-pieces", "longer-sticks"})
AS_LAID = "as-laid"
OFFSETS_M = {"metric": (0.45, 0.30), "us": (18 * INCH, 12 * INCH)}
"""Joint offsets in use beside the usual one. PRACTICE."""
STICKS_M = {"metric": (3.6, 4.8), "us": (144 * INCH, 192 * INCH)}
"""Lengths that most yards keep. PRACTICE."""
_LONGER_M = 0.01


@dataclass(frozen=True)
class Short:
    """Short pieces of long courses in one laying."""

    count: int
    least_m: float

    def better_than(self, other: Short) -> bool:
        """Fewer of them, or as many and none so short."""
        return self.count < other.count or (self.count == other.count and self.least_m > other.least_m + _LONGER_M)


@dataclass(frozen=True)
class _Way:
    """One edit, with the file as it then is."""

    cure: Cure
    project: Project


def short_in(plan: Plan, pieces: Sequence[Piece]) -> Short:
    """Short pieces among those laid in the walls of a plan, by the shortest piece that its file asks."""
    found = cut_short(plan.project, plan.walls, pieces)
    return Short(len(found), min((piece.length_m for piece in found), default=plan.project.brief.shortest_piece_m))


def piece_cures(plan: Plan) -> Iterator[Cure]:
    """The edit that leaves the fewest short pieces, if any leaves fewer than there are: pieces alone are laid anew."""
    if not any(finding.code == SHORT_CODE for finding in plan.findings):
        return
    best, least = None, short_in(plan, plan.pieces)
    for way in _ways(plan):
        found = short_in(plan, pieces_of(way.project, plan.walls, plan.water, plan.stability, plan.standing).pieces)
        if found.better_than(least):
            best, least = way, found
    if best is not None:
        yield best.cure


def eased(before: Plan, after: Plan) -> str:
    """What a cure did to the short pieces; empty where it left as many, as short."""
    was, now = short_in(before, before.pieces), short_in(after, after.pieces)
    if not now.better_than(was):
        return ""
    units = before.project.units
    count = f"pieces shorter than {length(before.project.brief.shortest_piece_m, units)}: {was.count} → {now.count}"
    least = f", the shortest {length(was.least_m, units)} → {length(now.least_m, units)}" if now.count else ""
    return f"{count}{least}"


def as_laid(plan: Plan) -> Cure | None:
    """What is said where nothing tried leaves fewer; None where no piece is short."""
    if not any(finding.code == SHORT_CODE for finding in plan.findings):
        return None
    tried = "; ".join(way.cure.text for way in _ways(plan))
    effect = f"tried, and none leaves fewer of them: {tried}" if tried else "the file leaves no other lengths to try"
    return Cure(AS_LAID, "leave the short pieces as they are, screwed at both ends", (), effect)


def _ways(plan: Plan) -> Iterator[_Way]:
    """Edits to try, the smallest change first."""
    project = plan.project
    yield from _offsets(project)
    yield from _shorter(project)
    yield from _longer(project)


def _offsets(project: Project) -> Iterator[_Way]:
    brief, units = project.brief, project.units
    for offset in OFFSETS_M[units]:
        if offset < brief.joint_offset_m - _LONGER_M:
            text = f"joints of neighbouring courses {length(offset, units)} apart or more, not {_said(project)}"
            edits = (("brief.joint_offset", rule_for_file(offset, units)),)
            yield _Way(
                Cure("nearer-joints", text, edits), replace(project, brief=replace(brief, joint_offset_m=offset))
            )


def _said(project: Project) -> str:
    return length(project.brief.joint_offset_m, project.units)


def _shorter(project: Project) -> Iterator[_Way]:
    """No piece longer than another length of the file's own stock."""
    brief, units = project.brief, project.units
    most = joint_rules(project).longest_m
    sizes = sorted({row.length_m for row in project.timber.sold}, reverse=True)
    for size in () if brief.one_stick else sizes:
        if 2.0 * brief.shortest_piece_m < size < most - _LONGER_M:
            text = f"no piece longer than {length(size, units)}, as the stick of that length gives"
            said = tape_for_file(size, units, "down")
            read = parse(said, measure="length", system=units)
            shorter = replace(project, brief=replace(brief, longest_piece_m=read))
            yield _Way(Cure("shorter-pieces", text, (("brief.longest_piece", said),)), shorter)


def _as_written(row: Stock, units: Units) -> dict[str, Any]:
    """A length of the stock as a file says it."""
    return {
        "length": size_for_file(row.length_m, units),
        **({"on_hand": row.on_hand} if row.on_hand else {}),
        **({} if row.sold else {"sold": False}),
    }


def _longer(project: Project) -> Iterator[_Way]:
    """A longer stick beside the file's own; only where no length has a price, which one without would take away."""
    timber, units = project.timber, project.units
    priced = any(row.price is not None for row in with_prices(project).timber.sold)
    if priced or timber.name or project.brief.longest_piece_m or not timber.stock:
        return
    most = max(row.length_m for row in timber.sold)
    for size in STICKS_M[units]:
        if size > most + _LONGER_M:
            said = rule_for_file(size, units)
            edits = (("timber.1.stock", [*(_as_written(row, units) for row in timber.stock), {"length": said}]),)
            text = f"sticks of {length(size, units)} beside those of the file, if the yard has them"
            stock = (*timber.stock, Stock(size))
            yield _Way(Cure("longer-sticks", text, edits), replace(project, timber=replace(timber, stock=stock)))
