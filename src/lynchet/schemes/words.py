"""What a scheme gains and loses against the file as written, in words."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.plan.figures import rounded_money
from lynchet.schemes.model import Outcome, Row, Span
from lynchet.units.format import area, length, volume
from lynchet.units.measures import System

WISH = "walls.higher_than_wished"


def gains_and_losses(base: Row, row: Row, system: System) -> tuple[list[str], list[str]]:
    """What is better and what is worse, each from the base's figure to this one's; differences too small to show
    in the figure are left out."""
    gains: list[str] = []
    losses: list[str] = []
    for better, text in _differences(base, row, system):
        (gains if better else losses).append(text)
    return gains, losses


def _differences(base: Row, row: Row, system: System) -> Iterator[tuple[bool, str]]:
    """(is it better, what changes) of every figure that does."""
    if row.verdict != base.verdict:
        yield row.verdict < base.verdict, f"{base.verdict.words} becomes {row.verdict.words}"
    pairs = (
        ("cost", money(base.cost), cost_of(row), _middle(row.cost) < _middle(base.cost)),
        ("hours", hours(base.hours), hours_of(row), _middle(row.hours) < _middle(base.hours)),
        ("soil dug", dug(base, system), dug(row, system), row.dug_m3 < base.dug_m3),
        ("soil", soil(base, system), soil(row, system), abs(row.away_loose_m3) < abs(base.away_loose_m3)),
        ("truck loads", str(base.loads), str(row.loads), row.loads < base.loads),
        ("level bed", level_bed(base, system), _bed(row, system), not row.sloped and row.bed_m2 > base.bed_m2),
        ("highest wall", wall(base, system), wall(row, system), row.highest_m < base.highest_m),
        ("walls", str(base.walls), str(row.walls), row.walls < base.walls),
        ("sticks", str(base.sticks), str(row.sticks), row.sticks < base.sticks),
    )
    for name, before, after, better in pairs:
        if before != after and "not known" not in (before, after):
            yield better, f"{name} {before} → {after}"


def _middle(span: Span | None) -> float:
    return 0.0 if span is None else 0.5 * (span[0] + span[1])


def cost_of(row: Row) -> str:
    """Money; a slope left as it is wants plants and mulch, which are not counted."""
    return "plants only" if row.sloped else money(row.cost)


def hours_of(row: Row) -> str:
    """Hours, likewise."""
    return "planting only" if row.sloped else hours(row.hours)


def level_bed(row: Row, system: System) -> str:
    """Level ground in the beds; "none" where the beds slope as the ground does."""
    return "none" if row.sloped else area(row.bed_m2, system)


def _bed(row: Row, system: System) -> str:
    level = level_bed(row, system)
    return f"{level} ({area(row.bed_m2, system)} slope as the ground does)" if row.sloped else level


def money(span: Span | None) -> str:
    """Low to high in whole money; "not known" where no price is."""
    return "not known" if span is None else f"{rounded_money(span[0])}–{rounded_money(span[1])}"


def hours(span: Span | None) -> str:
    """Low to high in whole hours."""
    return "not known" if span is None else f"{span[0]:.0f}–{span[1]:.0f}"


def dug(row: Row, system: System) -> str:
    """All that is dug, bank measure."""
    return volume(row.dug_m3, system) if row.dug_m3 >= 0.005 else "none"


def soil(row: Row, system: System) -> str:
    """Away or in, loose."""
    amount = volume(abs(row.away_loose_m3), system)
    if abs(row.away_loose_m3) < 0.005:
        return "none away"
    return f"{amount} {'away' if row.away_loose_m3 > 0 else 'in'}"


def wall(row: Row, system: System) -> str:
    """The highest wall."""
    return length(row.highest_m, system) if row.walls else "none"


def scheme_words(base: Outcome, one: Outcome, system: System) -> Iterator[str]:
    """Sentences on one scheme: what it gains, what it loses, why not go."""
    gains, losses = gains_and_losses(base.row, one.row, system)
    if one.plan is not None and one.row == base.row:
        yield "The same figures as the file as written."
    if gains:
        yield f"Gains: {'; '.join(gains)}."
    if losses:
        yield f"Loses: {'; '.join(losses)}."
    if one.row.reason and one.row.reason == base.row.reason:
        yield f"{one.row.verdict.words.capitalize()}, for the same reason as the file as written."
    elif one.row.reason:
        word = one.row.verdict.words
        yield f"{word[0].upper()}{word[1:]}: {one.row.reason}"
    wish = None if one.plan is None else one.plan.project.brief.highest_wall_m
    if wish is not None and one.plan is not None and any(found.code == WISH for found in one.plan.findings):
        yield f"Its highest wall holds {wall(one.row, system)}, more than the {length(wish, system)} wished."
    if one.note:
        yield f"{one.note[0].upper()}{one.note[1:]}."
