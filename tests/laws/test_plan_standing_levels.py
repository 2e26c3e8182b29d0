"""Laws of a yard in which walls stand: one set of levels, steps alike, nothing to be laid under what stands."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from shapely.geometry import Polygon

from days_and_order import not_adding_up
from flight_yards import flight_plan
from lawbook.book import broken
from lawbook.whole import Whole, no_clash_is_silent, steps_fill_their_boxes
from lynchet.book.texts import Words
from lynchet.core.findings import Verdict
from lynchet.core.standing import LegStanding, Standing
from lynchet.drawings.day_content import day_contents
from lynchet.drawings.figures import Figures
from lynchet.drawings.wall_face import face_of
from lynchet.drawings.wall_order import courses
from lynchet.exports.setting_rows import set_points
from lynchet.plan.building_days import days_of
from lynchet.plan.built import built_edits
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_on
from lynchet.plan.placed import placed
from lynchet.terraces.step_frames import packed_m
from lynchet.walls.rod import rod_courses
from standing_yards import as_written, courses_of, planned, stands, walls_of

ALIKE_M = 1e-6
LET_IN = 26
"""A yard whose steps are let into a bench, with a wall at their head."""


@cache
def garden(wall: str, course: int, **more: str):
    """The garden with courses of one wall that stand."""
    return planned("garden", stands(wall, course, **more))


@cache
def let_in(wall: str, high_m: float, answer: str = ""):
    """A random yard with steps, one wall of it standing higher than planned to its top."""
    plain = flight_plan(LET_IN)
    leg = plain.walls.leg(wall)
    segments = tuple((part.start_m, part.end_m, part.base, part.top) for part in leg.segments)
    top = max(part.top for part in leg.segments)
    stood = LegStanding(wall, ((leg.lowest_course, high_m),), segments, top, answer=answer)  # type: ignore[arg-type]
    datum = plain.terraces.lattice.bottoms_m[leg.lowest_course]
    return plan_on(plain.project, plain.ground, Standing((stood,), datum, firm=True), LIVE, lambda stage: None)


def off_of(plan, leg):
    """How far the tops of a wall stand over the lattice."""
    bottoms = plan.terraces.lattice.bottoms_m
    return {round(run.top_m - bottoms[run.course + 1], 6) for run in plan.walls.runs if run.leg == leg}


def of_code(plan, code):
    return [one for one in plan.findings if one.code == code]


FOLLOWED = [("high", "18 mm"), ("low", "12 mm")]


@pytest.mark.parametrize("way", FOLLOWED)
def test_the_card_has_the_levels_of_the_timber(way):
    """Every level to set is the underside of a lowest run or the highest top of its wall, what stands and what follows
    included; so are those of the pegs; and the rod's marks are tops over the lowest underside of all."""
    plan = garden("A0", courses_of(as_written("garden"), "A0"), **{way[0]: way[1]}, answer="follow")
    assert any(off_of(plan, leg) != {0.0} for leg in walls_of(plan) if leg != "A0")
    card = plan.walls.setting_out
    for mark in card.levels:
        runs = [run for run in plan.walls.runs if run.leg == mark.place]
        if mark.what == "highest top":
            assert mark.level_m == pytest.approx(max(run.top_m for run in runs), abs=ALIKE_M)
        elif mark.stations_m is not None:
            middle = sum(mark.stations_m) / 2
            here = [run for run in runs if run.outer_m[0] <= middle <= run.outer_m[1]]
            assert mark.level_m == pytest.approx(min(run.bottom_m for run in here), abs=ALIKE_M), mark
        assert mark.below_mark_m == pytest.approx(card.benchmark_m - mark.level_m, abs=ALIKE_M)
    undersides = {round(run.bottom_m, 6) for run in plan.walls.runs}
    pegs = [point for point in set_points(plan) if point.kind == "peg"]
    assert pegs and all(round(point.level_m, 6) in undersides for point in pegs)
    low = min(run.bottom_m for run in plan.walls.runs)
    tops = {(run.leg, run.row): run.top_m - low for run in plan.walls.runs}
    told = {name: at for at, names in zip(card.gauge_m, rod_courses(plan.walls), strict=True) for name in names}
    assert set(told) == set(tops) and all(tops[name] == pytest.approx(at, abs=0.0031) for name, at in told.items())


def risers_of(plan, flight):
    """The heights one steps up on a flight: from the ground at its foot over its boxes and walls to its head."""
    foot = next(landing.level_m for landing in flight.landings if landing.where == "foot")
    tops = [foot, *(tread.top_m for tread in flight.treads)]
    walls = {run.leg: run.top_m for run in sorted(plan.walls.runs, key=lambda run: run.course) if _crossed(flight, run)}
    levels = sorted({round(level, 6) for level in (*tops, *walls.values())})
    return [b - a for a, b in pairwise(levels)]


def _crossed(flight, run):
    """Whether one walks over a course."""
    way = Polygon([point for landing in flight.landings for point in landing.outline_m]).convex_hull
    named = run.leg in (flight.line, *flight.lines) or run.leg.startswith(f"{flight.id}H")
    return named and way.buffer(-0.2).intersects(run.polygon)


@pytest.mark.parametrize("way", FOLLOWED)
def test_steps_go_up_and_down_with_the_walls_they_climb(way):
    """With a wall off its level and the rest following: risers stay alike, landings lie flush with the wall they step
    over, and every landing and box has moved as its wall has."""
    before = as_written("garden")
    plan = garden("A0", courses_of(before, "A0"), **{way[0]: way[1]}, answer="follow")
    shift = next(iter(off_of(plan, "A0")))
    assert shift != 0.0
    for old, new in zip(before.terraces.flights, plan.terraces.flights, strict=True):
        assert all(rise == pytest.approx(new.riser_m, abs=1e-5) for rise in risers_of(plan, new)), new.id
        top = max(run.top_m for run in plan.walls.runs if run.leg == new.line and _crossed(new, run))
        assert new.head_level_m == pytest.approx(top, abs=1e-5)
        for was, now in zip(old.treads, new.treads, strict=True):
            assert (now.bottom_m - was.bottom_m, now.top_m - was.top_m) == pytest.approx((shift, shift), abs=1e-5)
    boxes = {thing.id: thing for thing in placed(plan) if thing.kind == "step"}
    treads = [tread for flight in plan.terraces.flights for tread in flight.treads]
    assert {tread.id: tread.top_m for tread in treads} == {name: box.top_m for name, box in boxes.items()}


def test_the_wall_at_the_head_of_steps_let_in_follows():
    """Walls that belong to a flight alone follow the wall it climbs, joined to it by timber or not."""
    plain = flight_plan(LET_IN)
    cheeks = [leg.id for leg in plain.walls.legs if leg.segments and leg.role == "cheek"]
    heads = [name for name in cheeks if name.endswith("H")]
    assert heads
    for head in heads:
        flight = next(one for one in plain.terraces.flights if head.startswith(one.id))
        plan = let_in(flight.line, 0.018, "follow")
        assert off_of(plan, head) == off_of(plan, flight.line) == {0.018}
        moved = next(one for one in plan.terraces.flights if one.id == flight.id)
        assert all(rise == pytest.approx(moved.riser_m, abs=1e-5) for rise in risers_of(plan, moved))
        assert head in of_code(plan, "standing.off")[0].text
        face = plan.terraces.face(flight.id)
        assert [tread.top_m for tread in moved.treads] == pytest.approx(list(face.finish.levels_m), abs=1e-6)


def test_risers_that_come_out_unlike_are_told():
    """Where a wall stands and the next does not follow, a riser that is alone between them is told with its height, a
    stop over 3/8 in (IRC 2018, R311.7.5.1); within that it is a word of care; alike, nothing is said."""
    as_planned = {flight.id: flight.riser_m for flight in as_written("garden").terraces.flights}
    plan = garden("W2", courses_of(as_written("garden"), "W2"), high="20 mm")
    stopped = [one for one in of_code(plan, "standing.steps") if one.verdict is Verdict.STOP]
    assert [one.place for one in stopped] == ["S0.3"]
    for one in stopped:
        flight = next(flight for flight in plan.terraces.flights if flight.id == one.place)
        [rise] = risers_of(plan, flight)
        assert abs(rise - as_planned[flight.id]) == pytest.approx(0.02, abs=1e-5)
        assert f"{round(rise * 1000)} mm" in one.text
    top = courses_of(as_written("garden"), "A0")
    for way, size in FOLLOWED:
        assert not of_code(garden("A0", top, **{way: size}, answer="follow"), "standing.steps")
    entries = [{"wall": "A0", "course": top, "high": "8 mm"}, {"wall": "W2", "course": 1}]
    care = of_code(planned("garden", ("stands", entries)), "standing.steps")
    assert care and all(one.verdict is Verdict.WATCH for one in care)


@pytest.mark.parametrize("way", [("high", 0.02), ("low", -0.02)])
def test_risers_between_walls_off_their_level_are_shared_out(way):
    """Two risers or more between walls that stand: all alike, from landing to landing, and told; two are a matter of
    bedding the box, so nothing is packed."""
    plan = garden("A0", courses_of(as_written("garden"), "A0"), **{way[0]: "20 mm"})
    flight = next(one for one in plan.terraces.flights if one.id == "S0.2")
    rises = risers_of(plan, flight)
    assert len(rises) == 2 and rises == pytest.approx([0.15 - way[1] / 2] * 2, abs=1e-5)
    assert flight.riser_m == pytest.approx(rises[0], abs=1e-6)
    [told] = [one for one in of_code(plan, "standing.steps") if one.place == "S0.2"]
    assert told.verdict is Verdict.WATCH
    assert f"2 risers are {round(rises[0] * 1000)} mm each" in told.text and "packing" not in told.text
    assert not any(line.key.startswith("packing") for line in plan.works.order)


@cache
def between(seed: int, offs_m: tuple[tuple[str, float], ...]):
    """A random yard with steps, walls of it standing off their level to their tops, as they are left."""
    plain, stood = flight_plan(seed), []
    for wall, off in offs_m:
        leg = plain.walls.leg(wall)
        parts = tuple((part.start_m, part.end_m, part.base, part.top) for part in leg.segments)
        top = max(part.top for part in leg.segments)
        stood.append(LegStanding(wall, ((leg.lowest_course, off),), parts, top, answer="follow"))
    datum = plain.terraces.lattice.bottoms_m[plain.walls.leg(offs_m[0][0]).lowest_course]
    return plan_on(plain.project, plain.ground, Standing(tuple(stood), datum, firm=True), LIVE, lambda stage: None)


SHARED = [(10, (("W6", 0.02), ("W7", 0.0))), (29, (("W2", 0.02), ("W3", -0.015))), (13, (("W3", 0.02), ("W4", 0.0)))]
"""Boxes before walls, of three and of six risers; strips over several benches."""


@pytest.mark.parametrize("case", SHARED)
def test_steps_between_walls_off_their_level_keep_every_law(case):
    """Boxes that stand on others begin where these end and are packed or sawn by one amount, told, listed and on the
    days; each flight ends at the walls as they stand."""
    plan = between(*case)
    found = Whole(plan)
    assert not broken(found.case)
    assert not [one for law in (steps_fill_their_boxes, no_clash_is_silent) for one in law(found)]
    assert not not_adding_up(plan)
    course, packed = plan.project.timber.course_m, 0.0
    for flight in plan.terraces.flights:
        assert flight.head_level_m == pytest.approx(flight.foot_level_m + flight.risers * flight.riser_m, abs=1e-9)
        off = packed_m(flight, course)
        for low, high in pairwise(flight.treads) if flight.kind == "projecting" else ():
            assert high.bottom_m == pytest.approx(low.top_m, abs=1e-9)
            assert (high.top_m - high.bottom_m - off) / course == pytest.approx(
                round(flight.riser_m / course), abs=1e-6
            )
        if off > 0:
            lowest = [one for one in plan.timber.steps if one.flight == flight.id and one.layer == 0 and one.riser > 1]
            packed += sum(one.length_m for one in lowest)
    listed = sum(line.quantity for line in plan.works.order if line.key.startswith("packing"))
    assert listed == pytest.approx(packed, abs=1e-6)
    if case[0] != 13:
        said = [text for day in day_contents(plan, Words()) for step in day.steps for text in (step.text, *step.more)]
        assert packed and any("treated packing" in text for text in said)
        assert any("off the underside of every box" in text for text in said)


def _overlap(a, b):
    return a.polygon.intersection(b.polygon).area


@pytest.mark.parametrize(("name", "wall"), [("garden", "A0"), ("plain", "A1")])
def test_nothing_is_to_be_laid_under_what_stands(name, wall):
    """No piece to come lies under one that stands, whatever course a wall is up to: timber of the next wall under its
    corner counts as laid, is told, and is off sticks, days, pins and base stone."""
    before = as_written(name)
    told = 0
    for course in range(2, courses_of(before, wall) + 1) if name == "plain" else (3,):
        plan = planned(name, *built_edits(before, [f"{wall}:{course}"]))
        there = [piece for piece in plan.pieces if plan.walls.stands(piece)]
        coming = [piece for piece in plan.pieces if not plan.walls.stands(piece)]
        assert not [(a.id, b.id) for a in coming for b in there if a.course < b.course and _overlap(a, b) > 1e-4]
        under = [piece for piece in there if piece.leg != wall]
        found = of_code(plan, "standing.under")
        assert bool(under) == bool(found)
        cut = {piece for stick in plan.timber.sticks for piece in stick.pieces}
        laid = {piece for day in plan.works.days for step in day.steps for piece in step.lays}
        for piece in under:
            told += 1
            assert piece.id not in cut | laid
            assert piece.leg in found[0].text
        _days_bring_what_is_bought(plan, there)
    assert told


def _days_bring_what_is_bought(plan, there):
    """Over all days come as many screws and pins as are bought, and no bed of stone under timber that stands."""
    days = days_of(plan)
    for kind, bought in (("screw", "screw"), ("corner pin", "corner pin"), ("pin", "base pin")):
        brought = sum(days.day_of(thing.id) > 0 for thing in days.things if thing.kind == kind)
        assert brought == sum(line.count for line in plan.timber.fastener_lines if line.kind == bought), kind
    lain = [piece for piece in there if piece.course == plan.walls.leg(piece.leg).lowest_course]
    for bed in days.things:
        legs = [piece for piece in lain if piece.leg == bed.owner and abs(piece.bottom_m - bed.top_m) < 1e-6]
        if bed.kind == "stone bed" and any(Polygon(bed.outline_m).within(one.polygon.buffer(1e-6)) for one in legs):
            assert days.day_of(bed.id) == 0


@pytest.mark.parametrize("way", [("high", "18 mm"), ("low", "18 mm"), ("high", "10 mm"), ("high", "80 mm")])
@pytest.mark.parametrize("answer", ["", "level", "follow"])
def test_no_course_is_named_that_the_wall_has_not(way, answer):
    """Where the top course itself is off, no words and no cure name a course above it, none says that it comes back to
    level by itself, and the answer "level" lifts no stop."""
    if way[1] == "80 mm":
        way = ("high", "60 mm")
    top = courses_of(as_written("garden"), "W2")
    more = {"answer": answer} if answer else {}
    plan = garden("W2", top, **{way[0]: way[1]}, **more)
    off = of_code(plan, "standing.off")[0]
    said = [off.text, *(cure.text for cure in off.cures)]
    for text in said:
        named = [int(number) for number in re.findall(r"course (\d+)", text)]
        assert all(number <= top for number in named), text
        assert "courses above come back" not in text and "The courses above follow" not in text
    assert not [cure for cure in off.cures if cure.name.startswith("level")]
    much = way[1] != "10 mm"
    assert (off.verdict is Verdict.STOP) == (much and answer != "follow")
    if much and answer != "follow":
        assert [cure.name for cure in off.cures] == ["bed-again", "follow-W2"]
        assert "cut-sheet" in plan.withheld


def test_what_followed_is_written_down_as_it_was_built():
    """Walls built as the plan had them, off the lattice, stand at just those levels when they are written down."""
    plan = garden("A0", courses_of(as_written("garden"), "A0"), high="18 mm", answer="follow")
    wall = next(leg for leg in walls_of(plan) if leg != "A0" and off_of(plan, leg) == {0.018})
    edits = built_edits(plan, ["A0:1", f"{wall}:2"])[1:]
    entry = dict(edits[0][1])
    assert entry["high"] and entry["answer"] == "follow"
    first = {"wall": "A0", "course": courses_of(as_written("garden"), "A0"), "high": "18 mm", "answer": "follow"}
    after = planned("garden", ("stands", [first, entry]))
    old = {run.id: (run.bottom_m, run.top_m) for run in plan.walls.runs}
    for run in after.walls.runs:
        if run.leg == wall:
            assert (run.bottom_m, run.top_m) == pytest.approx(old[run.id], abs=1e-5)


def test_levels_in_a_yard_where_nothing_stands_are_those_of_the_lattice():
    """Without anything off its level every mark is a level of the lattice, steps and beds are where they were."""
    plan = as_written("garden")
    bottoms = {round(level, 9) for level in plan.terraces.lattice.bottoms_m}
    walls = [mark for mark in plan.walls.setting_out.levels if mark.place[0] in "AW"]
    assert walls and all(round(mark.level_m, 9) in bottoms for mark in walls)
    same = replace(plan.terraces, flights=plan.terraces.flights)
    assert same == plan.terraces


def test_wall_sheets_say_which_pieces_stand():
    """In the laying order of every wall of a garden in which two courses of one stand, the pieces that stand are marked
    so, the lowest whole courses together by one word, and no other is; every course is in one row."""
    plan, marked, together = garden("A0", 2), 0, 0
    for leg in plan.walls.legs:
        if not leg.segments:
            continue
        rows = courses(face_of(plan, leg), ((0.0, leg.length_m),), Figures("metric"))
        listed = []
        for row, said, _ in rows[:-1]:
            first, last = (int(row.split("–")[end]) for end in (0, -1))
            listed += range(first, last + 1)
            mine = [piece for piece in plan.pieces if piece.leg == leg.id
                    and first <= piece.course - leg.lowest_course + 1 <= last]  # fmt: skip
            there = sum(plan.walls.stands(piece) for piece in mine)
            words = said.count("stand")
            assert words == (1 if there == len(mine) else there), (leg.id, row, said)
            assert last == first or (said == "stand" and first == 1)
            marked, together = marked + words, together + (last > first)
        assert listed == list(range(1, courses_of(plan, leg.id) + 1))
    assert marked and together
