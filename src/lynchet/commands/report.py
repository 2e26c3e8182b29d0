"""What the commands print of a plan: findings first, in plain words."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.plan.bed_area import beds_words
from lynchet.plan.cautions import cautions
from lynchet.plan.cure_edits import SOIL_CURES
from lynchet.plan.cures import Tried
from lynchet.plan.figures import Figures, figures, rounded_money
from lynchet.plan.flat_ground import flat_words
from lynchet.plan.model import Plan
from lynchet.plan.of_use import assumed_of_use
from lynchet.plan.piece_cures import AS_LAID
from lynchet.units.format import length, volume

WIDTH = 80
_MARKS = {Verdict.OK: "go", Verdict.WATCH: "care", Verdict.ASK: "ask", Verdict.STOP: "STOP"}


def wrapped(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of at most 80 characters; no line ends in a dash, which would look as if nothing followed."""
    lines = textwrap.wrap(
        text.replace(" — ", " —\N{NO-BREAK SPACE}"), WIDTH, initial_indent=first,
        subsequent_indent=first if rest is None else rest, break_long_words=False,
    )  # fmt: skip
    return [line.replace("—\N{NO-BREAK SPACE}", "— ") for line in lines]


def finding_lines(finding: Finding, more: int = 0) -> list[str]:
    """One finding: its word, its text, whom to ask."""
    mark = f"  {_MARKS[finding.verdict]:5}"
    others = f" ({more} more of the same cause.)" if more else ""
    ask = f" Ask: {finding.ask}." if finding.ask and f"{finding.ask}" not in finding.text else ""
    return wrapped(finding.text + ask + others, mark, " " * 7)


def top_lines(plan: Plan) -> Iterator[str]:
    """The word on the plan and five findings at most."""
    yield f"{plan.project.name or 'Plan'}: {plan.verdict.words.upper()}"
    for finding, count in plan.top:
        yield from finding_lines(finding, count - 1)


def figure_lines(plan: Plan) -> Iterator[str]:
    """Terraces, walls, sticks, soil, work and money: one text each."""
    if plan.refused:
        yield "  nothing is planned: no wall, no timber, no soil"
        return
    found, units = figures(plan), plan.project.units
    ties = f", {found.ties} tie{plural(found.ties)} among them" if found.ties else ""
    wings = ", S along steps: L left, R right, H at the head" if _wings(plan) else ""
    texts = (
        f"{found.terraces} terrace{plural(found.terraces)}, {found.walls} wall{plural(found.walls)} (W between "
        f"terraces, A round the edge{wings}), the highest holds {length(found.highest_m, units)} "
        f"({found.highest_courses} courses high, buried ones counted){_over_the_wish(plan)}",
        *flat_words(plan),
        f"{found.sticks} stick{plural(found.sticks)} of timber{ties}; {beds_words(plan, found.bed_m2)}",
        soil_line(found, plan),
        *works_lines(found),
    )
    for text in texts:
        yield from wrapped(text, "  ", "      ")


def _over_the_wish(plan: Plan) -> str:
    """Said beside the highest wall where a lower one was wished, however many findings stand above that one."""
    wish = plan.project.brief.highest_wall_m
    over = any(finding.code == "walls.higher_than_wished" for finding in plan.findings)
    return f", more than the {length(wish, plan.project.units)} wished" if over and wish is not None else ""


def _wings(plan: Plan) -> bool:
    return any(leg.id.startswith("S") for leg in plan.walls.legs if leg.segments)


def works_lines(found: Figures) -> Iterator[str]:
    """Days of work, and money as far as prices are known."""
    if not found.days:
        return
    hands = "one person" if found.crew == 1 else f"{found.crew} people"
    days = f"{found.days} day{plural(found.days)}"
    yield f"work: about {days} of {hands}, {found.days_low} to {found.days_high} as hours go"
    if found.money is None:
        yield f"money: {found.money_words}"
        return
    low, high = (rounded_money(value) for value in (found.money.low, found.money.high))
    band = low if low == high else f"{low} to {high}"
    yield f"money: {band}{' ' + found.currency if found.currency else ''}; {found.money_words}"


def soil_line(found: Figures, plan: Plan) -> str:
    """Soil away or in, in barrows and loads."""
    units = plan.project.units
    amount = volume(abs(found.away_loose_m3), units)
    if found.barrows == 0:
        return "soil: what is dug is used"
    way = "soil away" if found.away_loose_m3 > 0 else "soil to bring in"
    barrows = f"{found.barrows} barrow{plural(found.barrows)}"
    return f"{way}: {amount} loose, {barrows} or {found.loads} load{plural(found.loads)}"


def plural(count: int) -> str:
    """The ending of a word for more than one."""
    return "" if count == 1 else "s"


def cure_lines(tried: Sequence[Tried]) -> Iterator[str]:
    """Cures that were planned, with what each changes."""
    if not tried:
        return
    helps = any(one.helps for one in tried)
    yield f"What {'would help' if helps else 'was tried'} (lynchet plan FILE --with NAME):"
    for one in tried:
        half = " [helps, but does not cure it]" if "+" in one.cure.name else " [does not cure it alone]"
        fails = " [leads to a stop]" if one.cure.name in SOIL_CURES else half
        by_hand = " [nothing to change]" if one.cure.name == AS_LAID else " [drawn by hand]"
        alone = by_hand if one.after is None else "" if one.helps else fails
        yield from wrapped(f"{one.cure.name}: {one.cure.text}{alone} — {one.cure.effect}", "  ", "      ")


def by_hand_lines(plan: Plan) -> Iterator[str]:
    """What would help against the stops told first, where that is advice and no change the program can try."""
    stops = [finding for finding, _ in plan.top if finding.verdict is Verdict.STOP]
    texts = dict.fromkeys(cure.text for finding in stops for cure in finding.cures if not (cure.edits or cure.effect))
    if texts:
        yield "What would help, by hand:"
    for text in texts:
        yield from wrapped(text, "  ", "      ")


def ease_lines(plan: Plan, tried: Sequence[Tried]) -> Iterator[str]:
    """What would ease the work though nothing stops it: on offer, not planned yet."""
    known = {one.cure.name for one in tried}
    offered = [cure for finding in plan.findings if finding.verdict is Verdict.OK for cure in finding.cures]
    eased = {cure.name: cure for cure in offered if cure.name not in known}
    switched = [cure for cure in eased.values() if cure.edits]
    if switched:
        yield "What would ease the work (lynchet plan FILE --with NAME):"
    yield from _offer_lines(switched)
    drawn = [cure for cure in eased.values() if not cure.edits]
    if drawn:
        yield "What would ease the work, by hand:"
    yield from _offer_lines(drawn)


def _offer_lines(cures: Sequence[Cure]) -> Iterator[str]:
    """Each with its effect; what nothing was worked out for is advice and says no more than what to do."""
    for cure in cures:
        effect = f" — {cure.effect}" if cure.effect else ""
        yield from wrapped(f"{cure.name}: {cure.text}{effect}", "  ", "      ")


def withheld_lines(plan: Plan) -> Iterator[str]:
    """Which sheets are kept back, and why."""
    for sheet, places in plan.withheld.items():
        name = "every sheet to build from" if sheet == "all" else sheet.replace("-", " ")
        yield from wrapped(f"Kept back: {name} ({', '.join(place or 'site' for place in places)})", "  ", "    ")


def all_lines(plan: Plan, tried: Sequence[Tried]) -> Iterator[str]:
    """Everything there is to say: all findings, cures, assumptions, cautions."""
    yield from top_lines(plan)
    yield ""
    yield from figure_lines(plan)
    yield from withheld_lines(plan)
    yield ""
    yield from cure_lines(tried)
    yield from by_hand_lines(plan)
    yield from ease_lines(plan, tried)
    yield "All findings"
    for finding in plan.findings:
        yield from finding_lines(finding)
    yield "Assumed, because the file does not say"
    yield from wrapped("PRACTICE: common habit, without a source; MEMORY: recalled, its source not at hand.", "  ")
    for used in assumed_of_use(plan.project, plan.walls):
        note = f" ({used.note})" if used.note else ""
        yield from wrapped(f"{used.key} = {used.value} [{used.origin}]{note}", "  ", "      ")
    yield "Cautions"
    for text in cautions(plan):
        yield from wrapped(text, "  - ", "    ")
