"""The setting-out card: pegs by two tapes, diagonals, levels below the benchmark, the gauge rod's marks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from lynchet.book.blocks import Block, Caution, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.core.findings import Verdict
from lynchet.plan.model import Plan
from lynchet.units.format import DIGGING, length
from lynchet.units.measures import System
from lynchet.walls.pegs import LevelMark
from lynchet.walls.seen import Seen, all_seen


def setting_card(plan: Plan, words: Words) -> tuple[Block, ...]:
    """The card; nothing where no wall stands."""
    return tuple(_blocks(plan, words)) if plan.walls.setting_out.points else ()


def _blocks(plan: Plan, words: Words) -> Iterator[Block]:
    card, units = plan.walls.setting_out, plan.project.units
    yield Heading(words("setting.head"), 1)
    if plan.verdict is Verdict.STOP:
        yield Caution(words("setting.stopped"))
    yield Para(words("setting.intro"))
    yield Heading(words("setting.pegs_head"))
    rows = tuple(
        (p.id, p.what, p.from_a, length(p.distance_a_m, units), p.from_b, length(p.distance_b_m, units))
        for p in card.points
    )
    yield Table(words.many("setting.peg_heads"), rows, "lllrlr", (1.2, 3.6, 2.2, 1.5, 2.2, 1.5))
    if card.diagonals:
        yield Heading(words("setting.diagonals_head"))
        across = tuple((d.from_point, d.to_point, length(d.distance_m, units)) for d in card.diagonals)
        yield Table(words.many("setting.diagonal_heads"), across, "llr")
    mark = card.benchmark or "the zero of the file"
    yield Heading(words("setting.levels_head"))
    yield Para(words("setting.levels_intro", mark=mark))
    heads = tuple(head.format(mark=mark) for head in words.many("setting.level_heads"))
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    levels = tuple(
        (m.place, _what(m, seen.get(m.place), units, words), _from_mark(m, units, words)) for m in _joined(card.levels)
    )
    yield Table(heads, levels, "llr", (1.2, 5, 2))
    yield Heading(words("setting.rod_head"))
    yield Para(words("setting.rod_intro"))
    rod = tuple((str(number), length(at, units)) for number, at in enumerate(card.gauge_m, start=1))
    yield Table(words.many("setting.rod_heads"), rod, "lr")


def _joined(marks: Sequence[LevelMark]) -> Iterator[LevelMark]:
    """Stretches that follow one another at one level as one."""
    last: LevelMark | None = None
    for mark in marks:
        if last is not None and last.stations_m and mark.stations_m and _goes_on(last, mark):
            last = replace(last, stations_m=(last.stations_m[0], mark.stations_m[1]))
            continue
        if last is not None:
            yield last
        last = mark
    if last is not None:
        yield last


def _goes_on(last: LevelMark, mark: LevelMark) -> bool:
    same = (last.place, last.what) == (mark.place, mark.what) and abs(last.level_m - mark.level_m) < 0.0005
    return (
        same
        and last.stations_m is not None
        and mark.stations_m is not None
        and (abs(last.stations_m[1] - mark.stations_m[0]) < 0.0005)
    )


def _from_mark(mark: LevelMark, units: System, words: Words) -> str:
    size = length(abs(mark.below_mark_m), units, DIGGING)
    if abs(mark.below_mark_m) < 0.0005:
        return words("setting.same")
    return words("setting.below" if mark.below_mark_m > 0 else "setting.above", size=size)


def _what(mark: LevelMark, seen: Seen | None, units: System, words: Words) -> str:
    if mark.stations_m is None or seen is None:
        return mark.what
    start, end = (length(along, units, DIGGING) for along in seen.stretch(*mark.stations_m))
    return words("setting.stretch", what=mark.what, start=start, end=end)
