"""The setting-out card: pegs, steps and pipes by two tapes, check tapes, levels from the mark, the rod's marks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from lynchet.book.blocks import Block, Caution, Heading, Para, Table
from lynchet.book.texts import Words
from lynchet.core.findings import Verdict
from lynchet.plan.flight_places import flight_places
from lynchet.plan.further_pegs import further_pegs, sets_out
from lynchet.plan.mark_place import mark_place
from lynchet.plan.model import Plan
from lynchet.units.format import DIGGING, laid, length
from lynchet.units.measures import System
from lynchet.walls.pegs import CheckTape, LevelMark, SettingPoint
from lynchet.walls.rod import rod_courses
from lynchet.walls.seen import Seen, all_seen
from lynchet.walls.setting_out import NUMBERED


def setting_card(plan: Plan, words: Words) -> tuple[Block, ...]:
    """The card; nothing where no wall stands and no bank is shaped."""
    return tuple(_blocks(plan, words)) if sets_out(plan) else ()


def _blocks(plan: Plan, words: Words) -> Iterator[Block]:
    card, units = plan.walls.setting_out, plan.project.units
    yield Heading(words("setting.head"), 1)
    if plan.verdict is Verdict.STOP:
        yield Caution(words("setting.stopped"))
    yield Para(words("setting.intro"))
    if card.points:
        yield Heading(words("setting.pegs_head"))
        if card.moved:
            yield Para(words("setting.moved"))
        rows = tuple(_peg(peg, units, words) for peg in (*card.points, *card.moved))
        yield Table(words.many("setting.peg_heads"), rows, "lllrlrl", (1.2, 3.2, 2.0, 1.4, 2.0, 1.4, 0.9))
    yield from _further(plan, words)
    if card.check_tapes:
        yield Heading(words("setting.checks_head"))
        yield Para(words("setting.checks_intro"))
        across = tuple((tape.from_point, tape.to_point, check_words(tape, words), laid(tape.distance_m, units))
                       for tape in card.check_tapes)  # fmt: skip
        yield Table(words.many("setting.check_heads"), across, "lllr", (2, 2, 2.4, 1.6))
    yield Heading(words("setting.levels_head"))
    yield Para(words("setting.levels_intro", mark=mark_words(card.benchmark, words)))
    at = mark_place(plan)
    if at is not None:
        _, _, first, a, second, b, side = _peg(at, units, words)
        yield Para(words("setting.mark_at", mark=mark_words(card.benchmark, words), a=a, first=first, b=b,
                         second=second, side=side))  # fmt: skip
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    levels = tuple(
        (m.place, m.what, _along(m, seen.get(m.place), units, words), _from_mark(m, units, words))
        for m in _from_the_left(tuple(_joined(card.levels)), seen)
    )
    yield Table(words.many("setting.level_heads"), levels, "lllr", (1, 3.2, 3.4, 2.2))
    if not card.points:
        return
    yield Heading(words("setting.rod_head"))
    yield Para(words("setting.rod_intro"))
    rod = tuple((", ".join(f"{leg} {row}" for leg, row in courses), laid(at, units))
                for courses, at in zip(rod_courses(plan.walls), card.gauge_m, strict=True))  # fmt: skip
    yield Table(words.many("setting.rod_heads"), rod, "lr", (3, 1))


def _peg(peg: SettingPoint, units: System, words: Words) -> tuple[str, ...]:
    side = words("setting.side." + peg.side.replace(" ", "_"))
    first, second = (laid(far, units) for far in (peg.distance_a_m, peg.distance_b_m))
    return (peg.id, peg.what, peg.from_a, first, peg.from_b, second, side)


def _further(plan: Plan, words: Words) -> Iterator[Block]:
    """Steps, banks, pipes, drop zone and heaps; then the places of steps along walls."""
    units, mark = plan.project.units, plan.walls.setting_out.benchmark_m
    rows = tuple(
        (*_peg(one.peg, units, words), "" if one.level_m is None else _below(mark - one.level_m, units, words))
        for one in further_pegs(plan)
    )
    if rows:
        yield Heading(words("setting.further_head"))
        yield Para(words("setting.further_intro", mark=mark_words(plan.walls.setting_out.benchmark, words)))
        yield Table(words.many("setting.further_heads"), rows, "lllrlrlr", (1.1, 2.4, 1.8, 1.6, 1.8, 1.6, 0.8, 1.6))
    places = tuple(
        (place.flight, place.leg, laid(place.left_m, units), laid(place.right_m, units))
        for place in flight_places(plan)
    )
    if places:
        yield Heading(words("setting.flights_head"))
        yield Para(words("setting.flights_intro"))
        yield Table(words.many("setting.flight_heads"), places, "llrr", (1, 1, 2, 2))


def check_words(tape: CheckTape, words: Words) -> str:
    """What a check tape is: "diagonal of bed B1", "across bed B2"."""
    return words("setting.check." + tape.what.replace(" ", "_"), bed=tape.bed)


def mark_words(benchmark: str, words: Words) -> str:
    """What levels count from, as one reads it: "point 1", "the mark “door sill”"; the file's zero without a mark."""
    if not benchmark:
        return words("setting.zero")
    if NUMBERED.fullmatch(benchmark):
        return words("setting.point", number=benchmark.removeprefix("point "))
    return benchmark if benchmark.startswith("the ") else words("setting.mark", mark=benchmark)


def _from_the_left(marks: Sequence[LevelMark], seen: Mapping[str, Seen]) -> list[LevelMark]:
    """The undersides of each wall from its left end on, each wall where it stood."""
    first = {mark.place: n for n, mark in reversed(tuple(enumerate(marks)))}

    def place(at: int) -> tuple[int, bool, float, int]:
        mark = marks[at]
        wall = seen.get(mark.place)
        if mark.stations_m is None or wall is None:
            return first[mark.place], True, 0.0, at
        return first[mark.place], False, min(wall.stretch(*mark.stations_m)), at

    return [marks[at] for at in sorted(range(len(marks)), key=place)]


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
    return _below(mark.below_mark_m, units, words)


def _below(below_m: float, units: System, words: Words) -> str:
    if abs(below_m) < 0.0005:
        return words("setting.same")
    return words("setting.below" if below_m > 0 else "setting.above", size=laid(abs(below_m), units))


def _along(mark: LevelMark, seen: Seen | None, units: System, words: Words) -> str:
    if mark.stations_m is None or seen is None:
        return ""
    start, end = (length(along, units, DIGGING) for along in seen.stretch(*mark.stations_m))
    return words("setting.stretch", start=start, end=end)
