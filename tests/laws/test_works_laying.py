"""Laws of laying: what a day needs is what its steps lay, on what is laid already, and nothing is filled behind a gap.

Read from the words of the day sheets and from the placed timber alone: in which stage a piece is laid is not asked.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import pytest
from shapely import STRtree
from shapely.geometry import Point

import flight_yards
import worked
from demo_plans import DEMOS, demo
from flight_yards import flight_plan
from lynchet.book.texts import Words
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.wall_facts import wall_piece_names
from lynchet.plan.building_days import BuildingDays, days_of
from lynchet.plan.day_parts import day_parts
from lynchet.plan.model import Plan
from lynchet.terraces.built_with import BuiltWith
from lynchet.walls.model import Piece
from worked import plan_of

YARDS = (*DEMOS, *(f"realistic {seed}" for seed in worked.SEEDS), *(f"steps {seed}" for seed in flight_yards.SEEDS))
LAP_M = 0.05
"""Laps shorter than this hold nothing up, and let no soil through."""
EPS = 1e-6
_RANGE = re.compile(r"(\d+)([a-z]+)(?:[–-]\d+([a-z]+))?")
_SOIL = ("stone", "fill")


def _plan(yard: str) -> Plan:
    kind, _, seed = yard.partition(" ")
    return {"realistic": plan_of, "steps": flight_plan}[kind](int(seed)) if seed else demo(yard)


@dataclass(frozen=True)
class Act:
    """One step of a day sheet, in the order of the work."""

    day: int
    kind: str
    stage: int
    laid: tuple[str, ...]
    """Pieces it names."""
    level_m: float | None
    """To which stone or fill rises."""
    text: str


@cache
def _acts(yard: str) -> tuple[Act, ...]:
    plan = _plan(yard)
    marks = {name: piece for piece, name in wall_piece_names(plan).items()}
    found = []
    for content, today in zip(day_contents(plan, Words()), day_parts(plan), strict=True):
        acts: list[list[str]] = []
        for step in content.steps:  # what is marked first is several acts of one task
            acts += [[]] if step.part <= 1 else []
            acts[-1] += [step.text, *step.more]
        for words, share in zip(acts, today.shares, strict=True):
            text = " ".join(words)
            laid = tuple(dict.fromkeys(marks[name] for name in _named(text, {name.split()[0] for name in marks})))
            task = share.task
            found.append(Act(content.number, task.kind, task.terrace, laid if task.kind in ("first course", "courses")
                             else (), share.top_m, text))  # fmt: skip
    return tuple(found)


def _named(text: str, walls: set[str]) -> Iterator[str]:
    """Names of pieces in a sentence: "W2 1a, 1b; A0 2a–2c"."""
    either = "|".join(re.escape(wall) for wall in sorted(walls, key=len, reverse=True))
    for wall, row in re.findall(rf"(?<![\w.])({either}):? ((?:\d+[a-z]+(?:–\d+[a-z]+)?(?:, )?)+)", text):
        for course, first, last in _RANGE.findall(row):
            yield from (f"{wall} {course}{_letter(n)}" for n in range(_place(first), _place(last or first) + 1))


def _place(letters: str) -> int:
    return sum((ord(one) - 96) * 26**n for n, one in enumerate(reversed(letters)))


def _letter(place: int) -> str:
    first, second = divmod(place - 1, 26)
    return (chr(96 + first) if first else "") + chr(97 + second)


def _to_come(plan: Plan) -> list[Piece]:
    days = days_of(plan)
    return [piece for piece in plan.pieces if days.coming[piece.id].task]


@pytest.mark.parametrize("yard", YARDS)
def test_a_day_needs_the_pieces_its_steps_lay(yard: str) -> None:
    """Day by day the pieces that must lie ready are those the steps name, and those the evening picture shows new."""
    plan, days = _plan(yard), BuildingDays(_plan(yard))
    names, shown = wall_piece_names(plan), set[str]()
    for content, today in zip(day_contents(plan, Words()), day_parts(plan), strict=True):
        laid = Counter(piece for act in _acts(yard) if act.day == content.number for piece in act.laid)
        needed = [need.words for need in content.needs if need.pieces]
        ready = Counter(name for text in needed for name in _named(text, {name.split()[0] for name in names.values()}))
        assert ready == Counter(names[piece] for piece in laid.elements()), f"day {content.number}"
        assert sorted(laid.elements()) == sorted(piece.id for piece in today.pieces)
        done = days.done(content.number)
        evening = {piece.id for piece in _to_come(plan) if days.stands(piece.id, done)}
        assert evening - shown == set(laid) and shown <= evening
        shown = evening


@pytest.mark.parametrize("yard", YARDS)
def test_every_piece_is_laid_once(yard: str) -> None:
    """Over all days every piece that does not stand already is laid, and none twice."""
    plan = _plan(yard)
    assert Counter(piece for act in _acts(yard) for piece in act.laid) == Counter(one.id for one in _to_come(plan))
    assert plan.walls.standing.any_stands or len(_to_come(plan)) == len(plan.pieces)


@pytest.mark.parametrize("yard", YARDS)
def test_a_piece_rests_on_what_is_laid(yard: str) -> None:
    """All along a piece whatever timber of the course below lies under it is laid in an earlier step, or in the same
    one as a lower course; where no timber lies under it, its trench has its base stone."""
    plan = _plan(yard)
    days, pieces = BuildingDays(plan), {piece.id: piece for piece in plan.pieces}
    at = {piece: n for n, act in enumerate(_acts(yard)) for piece in act.laid}
    beds = [thing for thing in days.things if thing.kind == "stone bed"]
    tree, stone = STRtree([piece.polygon for piece in pieces.values()]), STRtree([bed.polygon for bed in beds])
    every, checked = list(pieces.values()), 0
    for name, place in at.items():
        piece = pieces[name]
        for under in {every[n].id: every[n] for spot in _along(piece) for n in tree.query(spot, "within")}.values():
            if abs(under.top_m - piece.bottom_m) < EPS and _much(piece, under):
                assert at.get(under.id, -1) <= place, f"{name} is laid before {under.id} under it"
                checked += 1
        for n in {n for spot in _along(piece) for n in stone.query(spot, "within")}:
            if abs(beds[n].top_m - piece.bottom_m) < EPS and beds[n].polygon.intersection(piece.polygon).area > 0.01:
                assert days.day_of(beds[n].id) <= _acts(yard)[place].day, f"{name} before {beds[n].id}"
                checked += 1
    assert checked


@pytest.mark.parametrize("yard", YARDS)
def test_nothing_is_laid_earlier_than_it_must(yard: str) -> None:
    """A piece is laid no earlier than the first bed it holds or stands on asks for, unless a piece lies on it that is:
    so no wall runs ahead over a bed not filled by more than the pieces that reach over."""
    plan = _plan(yard)
    built = BuiltWith(plan.terraces)
    stages = {piece: act.stage for act in _acts(yard) for piece in act.laid}
    for piece in _to_come(plan):
        leg, stage = plan.walls.leg(piece.leg), stages[piece.id]
        start, end = min(piece.start_m), max(piece.end_m)
        asked = [built.of(span.high_face, span.low_face) for span in leg.spans
                 if min(span.end_m, end) - max(span.start_m, start) > 0.0]  # fmt: skip
        carried = [stages[top.id] for top in plan.pieces
                   if abs(top.bottom_m - piece.top_m) < EPS and top.id in stages and _much(top, piece)]  # fmt: skip
        assert stage >= min([*asked, *carried]), f"{piece.id} is laid in stage {stage} already"


def _much(one: Piece, two: Piece) -> bool:
    """Whether two pieces lap by more than a sliver."""
    if one.leg == two.leg:
        return min(max(one.end_m), max(two.end_m)) - max(min(one.start_m), min(two.start_m)) > LAP_M
    return bool(one.polygon.intersection(two.polygon).area > LAP_M**2)


def _along(piece: Piece) -> list[Point]:
    """Spots on the middle line of a piece, 0.1 m apart at most."""
    a, b, c, d = (piece.outline_m[n] for n in (0, 1, -2, -1))
    (x0, y0), (x1, y1) = ((a[0] + d[0]) / 2, (a[1] + d[1]) / 2), ((b[0] + c[0]) / 2, (b[1] + c[1]) / 2)
    count = max(3, int(piece.length_m / 0.1))
    return [Point(x0 + (x1 - x0) * (n + 0.5) / count, y0 + (y1 - y0) * (n + 0.5) / count) for n in range(count)]


@pytest.mark.parametrize("yard", YARDS)
def test_nothing_is_filled_behind_a_gap(yard: str) -> None:
    """When a lift of fill is placed on a bed or under a flight, all along what holds it every piece that reaches below
    the level of the lift is laid; so is every piece before drain stone."""
    plan, checked = _plan(yard), 0
    days, laid = BuildingDays(plan), set[str]()
    gone = {piece.id for piece in plan.pieces} - {piece.id for piece in _to_come(plan)}
    for act in _acts(yard):
        laid |= set(act.laid)
        if act.kind in _SOIL:
            assert act.level_m is not None
            for leg, start, end, top in _behind(days, act):
                low = min(act.level_m, top) - EPS
                late = [one.id for one in plan.pieces if one.leg == leg and one.bottom_m < low
                        and min(max(one.end_m), end) - max(min(one.start_m), start) > LAP_M
                        and one.id not in laid | gone]  # fmt: skip
                assert not late, f"day {act.day}: {act.text} before {late}"
                checked += 1
    assert checked or not any(act.kind in _SOIL for act in _acts(yard))


def _behind(days: BuildingDays, act: Act) -> Iterator[tuple[str, float, float, float]]:
    """Stretches of wall that hold what is placed: wall, stations, level to which it may come there in the end."""
    plan = days.plan
    if act.kind == "stone":
        for stone in plan.water.stone:
            if days.coming[stone.id].task == f"{act.stage}/stone":
                leg = plan.walls.leg(stone.leg)
                ends = sorted((leg.station_of(stone.start_m), leg.station_of(stone.end_m)))
                yield stone.leg, ends[0], ends[1], max(stone.top_start_m, stone.top_end_m)
        return
    beds = {face.id: face.terrace for face in plan.terraces.beds}
    faces = {move.place for move in plan.earth.moves if move.kind in ("fill", "spread")
             and beds.get(move.place, move.terrace) == act.stage}  # fmt: skip
    for leg in plan.walls.legs:
        for segment in leg.segments:
            for span in leg.spans:
                start, end = max(segment.start_m, span.start_m), min(segment.end_m, span.end_m)
                if end - start > LAP_M and span.high_face in faces and span.high_face != "outside":
                    yield leg.id, start, end, max(span.high0_m, span.high1_m)


@pytest.mark.parametrize("yard", YARDS)
def test_a_first_course_lies_on_stone(yard: str) -> None:
    """What is laid as a first course lies on base stone; where part of a piece lies on timber, that is laid before it,
    as a first course too, or in an earlier stage; and a course that is not the wall's lowest is said to be so."""
    plan = _plan(yard)
    rows = {run.id: run.row for run in plan.walls.runs}
    names, pieces = wall_piece_names(plan), {piece.id: piece for piece in plan.pieces}
    at = {piece: n for n, act in enumerate(_acts(yard)) for piece in act.laid}
    for n, act in enumerate(_acts(yard)):
        if act.kind != "first course":
            continue
        for name in act.laid:
            piece = pieces[name]
            spans = [one for one in plan.walls.leg(piece.leg).segments
                     if min(one.end_m, max(piece.end_m)) - max(one.start_m, min(piece.start_m)) > 0.01]  # fmt: skip
            assert any(one.base == piece.course for one in spans), f"{names[name]} lies on no stone"
            for low in plan.pieces:
                if low.leg == piece.leg and low.course == piece.course - 1 and _much(low, piece):
                    before = at.get(low.id, -1)
                    other = before < 0 or (_acts(yard)[before].kind == "first course" or
                                           _acts(yard)[before].stage < act.stage)  # fmt: skip
                    assert before <= n and other
        higher = [name for name in act.laid if rows[pieces[name].run] > 1]
        assert ("steps up" in act.text) == bool(higher)
