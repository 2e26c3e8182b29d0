"""The schemes the tool makes by itself, each by its name."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import hypot

from lynchet.core.findings import Verdict
from lynchet.plan.cures import tried_cures
from lynchet.plan.model import Plan
from lynchet.schemes import briefs
from lynchet.schemes.model import PLANTED, Edits, Outcome
from lynchet.schemes.search import Bench, Measure, Tried, gentlest, least
from lynchet.terraces.planted_slope import planted_slope


@dataclass(frozen=True)
class Aim:
    """A scheme that has the least of something."""

    what: str
    best: str
    """Said where no brief tried does better than the file."""
    measure: Measure
    digits: int
    briefs: Callable[[Plan], Iterable[Edits]]


AIMS = {
    "lowest-walls": Aim(
        "the lowest walls", "no brief tried has lower walls", lambda row: row.highest_m, 3, briefs.lowest_walls
    ),
    "least-soil": Aim(
        "the least soil dug and brought in", "no brief tried moves less soil", lambda row: row.handled_m3, 2,
        briefs.least_soil,
    ),
    "most-bed": Aim("the most level bed", "no brief tried has more bed", lambda row: -row.bed_m2, 2, briefs.most_bed),
    "fewest-sticks": Aim(
        "the fewest sticks of timber", "no brief tried needs fewer sticks", lambda row: float(row.sticks), 0,
        briefs.fewest_sticks,
    ),
}  # fmt: skip
NAMES = ("cured", *AIMS, "one-wall-fewer", "no-wall")
"""Every scheme the tool makes, in the order they are shown."""


def made(name: str, bench: Bench) -> Outcome | str:
    """One of the tool's schemes.

    Args:
        name: one of ``NAMES``.
        bench: the yard.

    Returns:
        The scheme; or why this yard has none.
    """
    if name == "cured":
        return _cured(bench)
    if name == "one-wall-fewer":
        return _one_wall_fewer(bench)
    if name == "no-wall":
        return _no_wall(bench)
    aim = AIMS[name]
    if bench.base.plan.refused:
        return "the yard as written cannot be laid out"
    best, count = least(bench, aim.measure, aim.briefs(bench.base.plan), aim.digits)
    note = f"{aim.best} ({count} looked at)" if not best.edits else ""
    return _outcome(name, aim.what, best, count, note)


def truthful(one: Outcome, first: Outcome, others: Iterable[Outcome]) -> Outcome:
    """The same scheme; where the file as written stands for an aim, with the schemes shown that have more of it.

    They were not taken, because they stop where the file does not, or stop more; or because the aim tries other briefs.
    """
    aim = AIMS.get(one.name)
    if aim is None or one.own or one.plan is not first.plan or not one.note:
        return one
    own = round(aim.measure(first.row), aim.digits)
    better = [
        other.name
        for other in others
        if other.plan is not None and not other.plan.refused and round(aim.measure(other.row), aim.digits) < own
    ]
    if not better:
        return one
    note = one.note.replace(aim.best, f"{aim.best} and stops no more than the file")
    return replace(one, note=f"{note}; {', '.join(better)} {'do' if better[1:] else 'does'} better in this alone")


def _outcome(name: str, what: str, tried: Tried, count: int, note: str = "") -> Outcome:
    return Outcome(name, what, tried.edits, tried.plan, tried.row, count, note)


def _cured(bench: Bench) -> Outcome | str:
    """The file with the cheapest cure that leaves no stop, alone or with others."""
    base = bench.base.plan
    if base.verdict is not Verdict.STOP:
        return "nothing stops the file as written"
    bench.note("trying cures")
    found = [one for one in tried_cures(base, bench.reread) if one.helps and one.cure.edits]
    if not found:
        return "no cure that the program knows, alone or with others, leaves no stop"
    for one in found:
        whole = bench.whole(bench.sure(one.cure.edits))
        if whole.row.verdict is not Verdict.STOP:
            return _outcome("cured", one.cure.text, whole, len(found))
    return "every cure that the program knows leaves a stop, once it is planned whole"


def _one_wall_fewer(bench: Bench) -> Outcome | str:
    base = bench.base.plan
    if len(base.terraces.levels_m) < 2:
        return "there is one terrace, and so no wall between beds to leave out"
    count = len(base.terraces.levels_m) - 1
    found = [tried for tried in bench.planned(briefs.one_wall_fewer(base)) if tried.row.terraces == count]
    if not found:
        return f"{count} terrace{'' if count == 1 else 's'} cannot be laid out here"
    walls = bench.base.row.walls
    fewer = [tried for tried in found if tried.row.walls < walls]
    if not fewer:
        most = min(tried.row.walls for tried in found)
        return (
            f"one terrace fewer needs {'as many walls' if most == walls else 'more walls'} here: "
            f"{most}, and the file as written has {walls}"
        )
    return _outcome(
        "one-wall-fewer", "one terrace fewer, and the wall before it", bench.whole(gentlest(fewer)), len(found)
    )


def _no_wall(bench: Bench) -> Outcome | str:
    """Banks where the file lets them reach outside; else the slope left as it is and planted."""
    base = bench.base.plan
    if base.refused:
        return "the yard as written cannot be laid out"
    edits = briefs.banks(base)
    banked = bench.plan(edits) if edits is not None else None
    if (
        banked is not None
        and not banked.plan.refused
        and banked.row.walls == 0
        and banked.row.verdict is not Verdict.STOP
    ):
        note = "the soil of the banks themselves is not in the figures"
        return _outcome("no-wall", "one level bed with banks at 1 in 2 round it", bench.whole(banked), 2, note)
    project = base.project
    finding = planted_slope(hypot(*base.terraces.fall), project.soil.clay, bool(project.springs))
    area = sum(face.area_m2 for face in base.terraces.beds)
    row = replace(
        bench.base.row, verdict=finding.verdict, reason=finding.text, stops=0, cost=None,
        cost_words=PLANTED, hours=None, dug_m3=0.0, away_loose_m3=0.0, loads=0, handled_m3=0.0,
        bed_m2=area, highest_m=0.0, walls=0, terraces=0, sticks=0,
    )  # fmt: skip
    note = "the beds slope as the ground does"
    if edits is None:
        note += "; banks would need ground outside that the file does not say may be dug (`dig_beyond` of the edges)"
    return Outcome("no-wall", "the slope left as it is, and planted", (), None, row, 1, note)
