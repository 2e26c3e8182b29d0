"""Laws of what stands: an empty standing changes nothing, what stands is kept, a wall off its level moves as said."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from lynchet.core.findings import Verdict
from lynchet.core.standing import LegStanding, Standing
from lynchet.drawings.display import Letters
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Area
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.wall_face import face_of
from lynchet.drawings.wall_pages import legs_on, wall_pages
from lynchet.drawings.wall_sheet import wall_sheets
from lynchet.plan.built import built_edits
from lynchet.plan.day_parts import day_parts
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.plan.placed import placed
from lynchet.plan.soil_left import soil_left
from lynchet.project.read import checked
from lynchet.project.so_far import SoilMoved
from lynchet.walls.off_level import FOLLOWED_M
from lynchet.walls.standing import lap_cuts
from standing_yards import FILES, as_written, courses_of, loaded, planned, stands, walls_of

STAGES = ("terraces", "walls", "water", "stability", "pieces", "earth", "timber")


def shifts(before, after):
    """For each wall the set of (bottom, top) shifts of its runs in millimetres."""
    old = {run.id: run for run in before.walls.runs}
    assert set(old) == {run.id for run in after.walls.runs}
    found = {}
    for run in after.walls.runs:
        was = old[run.id]
        assert run.outline_m == was.outline_m
        shift = round((run.bottom_m - was.bottom_m) * 1000, 6), round((run.top_m - was.top_m) * 1000, 6)
        found.setdefault(run.leg, set()).add(shift)
    return found


@pytest.mark.parametrize("name", FILES)
def test_an_empty_standing_is_no_standing(name):
    """Planned with the empty standing, or with none: every stage gives exactly the same."""
    given = plan_project(checked(loaded(name)), standing=Standing(), effort=LIVE)
    assert all(getattr(given, stage) == getattr(as_written(name), stage) for stage in STAGES)


@pytest.mark.parametrize("name", ["plain", "garden"])
def test_what_stands_as_planned_moves_nothing(name):
    """A wall that stands as it was planned leaves all that is placed exactly as it was; said so shortly that nothing is
    said of its notches, it is asked whether they are open, and only where a pipe passes through it."""
    before = as_written(name)
    passed = {notch.leg for notch in before.water.notches}
    for leg in walls_of(before)[:: 1 if name == "plain" else 3]:
        after = planned(name, stands(leg, courses_of(before, leg)))
        asked = [f for f in after.water.findings if f.code == "standing.notch_asked"]
        assert [f.place for f in asked] == ([leg] if leg in passed else [])
        water = replace(after.water, findings=tuple(f for f in after.water.findings if f not in asked))
        assert water == before.water
        assert (after.terraces, after.pieces) == (before.terraces, before.pieces), leg
        held, was = ([f for f in plan.stability.findings if f.code != "stability.weeps"] for plan in (after, before))
        assert held == was and replace(after.stability, findings=()) == replace(before.stability, findings=())
        assert replace(after.walls, standing=Standing()) == before.walls
        assert (after.timber.fasteners, after.timber.checks) == (before.timber.fasteners, before.timber.checks)
        told = {f.code for f in after.findings} - {f.code for f in before.findings}
        assert told <= {"standing.kept", "standing.under", "standing.counted_on", *(f.code for f in asked)}


@pytest.mark.parametrize("name", ["plain", "garden", "steep"])
def test_pins_and_ties_in_what_stands_are_told(name):
    """As many base pins and ties as are placed and neither bought nor laid; nothing is told where nothing stands."""
    before = as_written(name)
    for some in (walls_of(before)[:2], walls_of(before)):
        plan = planned(name, ("stands", [{"wall": leg, "course": courses_of(before, leg)} for leg in some]))
        found = [f for f in plan.findings if f.code == "standing.counted_on"]
        laid = {one for day in plan.works.days for step in day.steps for one in step.lays}
        counts = {
            "base pin": len(plan.stability.pins) - round(ordered(plan, "base_pin")),
            "tie": sum(tie.id not in laid for tie in plan.stability.ties),
        }
        assert len(found) == any(counts.values())
        for what, count in counts.items() if found else ():
            assert (f" {count} {what}" in found[0].text) == (count > 0), found[0].text
        assert all(" pins, ties" in f.text for f in plan.findings if f.code == "standing.kept")
    assert not [f for f in before.findings if f.code == "standing.counted_on"]


def everything_stands(name):
    """The plan of a file all whose walls stand to their tops."""
    before = as_written(name)
    return planned(name, ("stands", [{"wall": leg, "course": courses_of(before, leg)} for leg in walls_of(before)]))


def ordered(plan, *keys):
    """How much of some items is on the order list."""
    return sum(line.quantity for line in plan.works.order if line.key.startswith(keys))


@pytest.mark.parametrize("name", ["plain", "garden"])
def test_all_that_stands_is_off_the_lists(name):
    """With every wall standing, no piece of a wall is cut, bought, weighed or screwed, no base stone but that of steps
    ordered, no wall or tie trench dug, and no hours go into trench, base, first course or courses."""
    before, after = as_written(name), everything_stands(name)
    steps = {piece.id for piece in after.timber.steps}
    assert {piece for stick in after.timber.sticks for piece in stick.pieces} == steps
    assert {weight.piece for weight in after.timber.weights} == steps
    assert {line.kind for line in after.timber.fastener_lines} <= {"step screw"}
    assert after.timber.volume_m3 == pytest.approx(sum(piece.volume_m3 for piece in after.timber.steps))
    flights = sum(thing.volume_m3 for thing in placed(after) if thing.kind == "stone bed" and "S" in thing.owner[:1])
    assert ordered(after, "base_stone") == pytest.approx(flights, abs=1e-9)
    assert ordered(before, "base_stone") > flights and ordered(before, "timber") > ordered(after, "timber")
    dug = {row.kind for row in after.earth.moves}
    assert not dug & {"wall trench", "tie trench"} and dug < {row.kind for row in before.earth.moves} | {"fill"}
    fixings = {line.key for line in after.works.order if "screw" in line.key or line.key.endswith("_pin")}
    assert all(key.startswith("step_screw") for key in fixings) and ordered(before, "base_pin") > 0
    kinds = {task.kind for task in after.works.tasks}
    gone = {"base", "first course", "courses"} | (set() if "drain trench" in dug else {"trench"})
    assert not kinds & gone and gone <= {task.kind for task in before.works.tasks} | {"trench"}
    assert after.works.person_hours.likely < before.works.person_hours.likely


@pytest.mark.parametrize("name", ["plain", "garden"])
@pytest.mark.parametrize("count", [0, 1, 3, 99])
def test_the_days_need_what_is_on_the_order_list_whatever_stands(name, count):
    """With none, some or all walls standing: pieces, screws and pins of all days are those that are bought, and a task
    tells of pins only where some are still to be driven."""
    before = as_written(name)
    entries = [{"wall": leg, "course": courses_of(before, leg)} for leg in walls_of(before)[:count]]
    plan = planned(name, ("stands", entries)) if entries else before
    days, needed = day_parts(plan), Counter()
    for day in days:
        needed.update(day.fixings)
    bought = Counter()
    for line in plan.timber.fastener_lines:
        if line.kind != "step screw":
            bought[line.kind, round(line.length_m, 4)] += line.count
    assert +needed == +bought
    steps = {piece.id for piece in plan.timber.steps}
    assert sorted(piece.id for day in days for piece in day.pieces) == sorted(
        piece for stick in plan.timber.sticks for piece in stick.pieces if piece not in steps
    )
    stood = plan.walls.standing.stands
    for task in (task for task in plan.works.tasks if "drive its pins" in task.name):
        coming = [pin for pin in plan.stability.pins if not stood(pin.leg, pin.course, pin.station_m)]
        assert {pin.leg for pin in coming} & set(task.legs), task


@pytest.mark.parametrize("system", ["metric", "us"])
def test_a_wall_that_stands_to_its_top_has_nothing_to_lay_on_its_sheet(system):
    """Its sheet tells its top and what to look at once, and neither pins to drive nor checks of each course; one that
    is begun keeps its laying order, and its pins are those still to be driven."""
    plan = planned("garden", stands("A0", courses_of(as_written("garden"), "A0")))
    plan = replace(plan, project=replace(plan.project, units=system))
    for leg in ("A0", "W3"):
        (page,) = wall_pages(plan, (leg,))
        (sheet,) = wall_sheets(plan, Stamp(), (leg,))
        said = " ".join([*(mark.text for mark in lower(sheet).marks if isinstance(mark, Letters)), *sheet.notes])
        low = said.lower()
        there = leg == "A0"
        assert legs_on(page) == (leg,) and there == ("nothing to lay" in low) != ("laying order" in low), said
        assert there != ("check each course" in low) and there == ("this wall stands. look once" in low), said
        pins = [pin for pin in plan.stability.pins if pin.leg == leg]
        assert pins and there != ("pins" in low.replace("pin, driven", "")), said
        # The file says nothing of its notch, so the sheet does not take it for open.
        (x,) = [face_of(plan, plan.walls.leg("A0")).x(one.station_m) for one in plan.water.notches_of("A0")]
        assert there == (f"to be sawn: the notch of A0, {Figures(system).words(x, 8)} from its left end" in said)
        top = max(piece.top_m for piece in plan.pieces if piece.leg == leg)
        assert Figures(system).laid(top) in said


@pytest.mark.parametrize("name", ["plain", "garden"])
def test_what_stands_and_what_is_to_come_are_the_whole(name):
    """Pieces on the sticks are those above what stands, all of them and no others; volumes, screws and lengths are
    the whole less that; screws from the first new course into the last that stands are still to be driven."""
    before = as_written(name)
    screwed = {(one.leg, one.course) for one in before.timber.fasteners if one.kind == "screw"}
    lowest = {leg: before.walls.leg(leg).lowest_course for leg in walls_of(before)}
    leg = next(leg for leg, low in lowest.items() if (leg, low + 1) in screwed)
    top = lowest[leg]
    after = planned(name, stands(leg, 1))
    there = {piece.id: piece for piece in before.pieces if piece.leg == leg and piece.course <= top}
    was, now = (
        {name: long for stick in plan.timber.sticks for name, long in zip(stick.pieces, stick.lengths_m, strict=True)}
        for plan in (before, after)
    )
    assert there and {name: long for name, long in was.items() if name not in there} == now
    saved = sum(piece.polygon.area * (piece.top_m - piece.bottom_m) for piece in there.values())
    assert before.timber.volume_m3 - after.timber.volume_m3 == pytest.approx(saved, rel=1e-6)
    into = [one for one in before.timber.fasteners if one.leg == leg and one.course == top + 1 and one.kind == "screw"]
    own = [one for one in before.timber.fasteners if one.leg == leg and one.course <= top and one.kind == "screw"]
    screws = [
        sum(line.count for line in plan.timber.fastener_lines if line.kind == "screw") for plan in (before, after)
    ]
    assert into and screws[0] - screws[1] == len(own)
    trench = [sum(row.volume_m3 for row in plan.earth.moves if row.kind == "wall trench") for plan in (before, after)]
    assert trench[1] < trench[0]


@pytest.mark.parametrize("name", ["plain", "garden"])
def test_soil_that_went_with_the_trenches_is_counted_once(name):
    """What is left to cart after soil has gone does not hang on whether the file says that the walls stand."""
    moved = (SoilMoved("away", 1.0, "bank"),)
    accounts = [plan.earth.account for plan in (as_written(name), everything_stands(name))]
    left = [soil_left(account, moved).away_bank_m3 for account in accounts]
    assert left[0] == pytest.approx(left[1], abs=1e-9)
    assert accounts[0].stood_bank_m3 == 0.0 and accounts[1].stood_bank_m3 != 0.0
    assert accounts[0].trench_m3 > accounts[1].trench_m3


@pytest.mark.parametrize("name", ["plain", "garden"])
@pytest.mark.parametrize("off", [("low", "12 mm", -12.0), ("high", "15 mm", 15.0), ("high", "4 mm", 4.0)])
def test_a_wall_off_its_level_takes_the_rest_with_it(name, off):
    """Within 15 mm: its runs move by just that, other walls by that or not at all, those that do are named, and no
    lap needs a cut."""
    before = as_written(name)
    leg = next(leg for leg in walls_of(before) if leg.startswith("W"))
    after = planned(name, stands(leg, 1, **{off[0]: off[1]}))
    moved = shifts(before, after)
    assert moved.pop(leg) == {(off[2], off[2])}
    assert all(shift in ({(off[2], off[2])}, {(0.0, 0.0)}) for shift in moved.values())
    text = next(f.text for f in after.findings if f.code == "standing.off")
    assert all((f" {other}," in text or f"{other}, joined" in text) == (shift != {(0.0, 0.0)})
               for other, shift in moved.items())  # fmt: skip
    assert not lap_cuts(after.walls.runs) and not [f for f in after.findings if f.code == "clash"]


@pytest.mark.parametrize("size", [0.0, 0.002, 0.003])
def test_a_saw_cut_is_nothing(size):
    """Up to 3 mm other walls stay where they are and nothing is said of it."""
    before = as_written("plain")
    leg = walls_of(before)[0]
    after = planned("plain", stands(leg, 1, low=f"{size} m"))
    moved = shifts(before, after)
    assert moved.pop(leg) == {(round(-size * 1000, 6),) * 2}
    assert set().union(*moved.values()) == {(0.0, 0.0)}
    assert not [f for f in after.findings if f.code in ("standing.off", "standing.laps")]


@pytest.mark.parametrize("way", ["low", "high"])
def test_much_off_moves_nothing_else_and_stops(way):
    """Over 15 mm nobody follows; it stops with bedding again as the first cure, and every lap that does not meet is
    told with its size."""
    before = as_written("plain")
    leg = next(leg for leg in walls_of(before) if leg.startswith("A") and courses_of(before, leg) > 1)
    after = planned("plain", stands(leg, 1, **{way: "30 mm"}))
    moved = shifts(before, after)
    del moved[leg]
    assert set().union(*moved.values()) == {(0.0, 0.0)}
    off = next(f for f in after.findings if f.code == "standing.off")
    assert off.verdict is Verdict.STOP and off.cures[0].name == "bed-again" and off.demand > FOLLOWED_M
    cuts = lap_cuts(after.walls.runs)
    assert cuts and all(abs(cut.depth_m - 0.030) < 1e-9 for cut in cuts)
    assert not [f for f in after.findings if f.code == "clash"]
    laps = next(f for f in after.findings if f.code == "standing.laps")
    assert len(cuts) == laps.text.count(" over ")


def test_answered_it_comes_back_to_level():
    """Answered "level": what stands is off, every course above lies on the lattice again; the one between is thinner
    over a high wall and packed up over a low one. Answered "follow": all of it moves."""
    before = as_written("garden")
    leg = max(walls_of(before), key=lambda leg: courses_of(before, leg))
    low = before.walls.leg(leg).lowest_course
    for way, sign in (("low", -1), ("high", 1)):
        after = planned("garden", stands(leg, 2, **{way: "20 mm"}, answer="level"))
        old = {run.id: run for run in before.walls.runs}
        for run in (run for run in after.walls.runs if run.leg == leg):
            was = old[run.id]
            stood, next_up = run.course < low + 2, run.course == low + 2
            assert run.top_m == pytest.approx(was.top_m + (0.02 * sign if stood else 0.0), abs=1e-9)
            up = 0.02 * sign if stood else max(0.0, 0.02 * sign) if next_up else 0.0
            assert run.bottom_m == pytest.approx(was.bottom_m + up, abs=1e-9)
        follow = planned("garden", stands(leg, 2, **{way: "20 mm"}, answer="follow"))
        assert shifts(before, follow)[leg] == {(20.0 * sign,) * 2}
        assert next(f for f in follow.findings if f.code == "standing.off").verdict is Verdict.WATCH


def test_two_walls_at_other_levels_are_let_into_each_other():
    """Two walls that stand and meet, one low: nothing follows both, the laps between them are listed, none is a
    clash."""
    before = as_written("plain")
    first, second = "A0", "A1"
    entries = [{"wall": first, "course": 1, "low": "10 mm"}, {"wall": second, "course": 1}]
    after = planned("plain", ("stands", entries))
    met = [cut for cut in lap_cuts(after.walls.runs) if {cut.leg, cut.other} == {first, second}]
    assert met and before.walls.runs
    assert {cut.kind for cut in met} <= {"notch", "shim"} and all(abs(cut.depth_m - 0.010) < 1e-9 for cut in met)
    assert not [f for f in after.findings if f.code == "clash"]


def kept(plan, leg, course):
    """Runs and joints of the courses of a wall that stand."""
    low = plan.walls.leg(leg).lowest_course
    runs = [run for run in plan.walls.runs if run.leg == leg and run.course < low + course]
    pieces = [piece for piece in plan.pieces if piece.leg == leg and piece.course < low + course]
    return runs, pieces


@pytest.mark.parametrize("change", [("brief.embedment", "0.32 m"), ("brief.longest_piece", "2.4 m"),
                                    ("brief.freeboard", "20 mm"), ("timber.1.stock", ["3 m"])])  # fmt: skip
def test_later_wishes_leave_what_stands_alone(change):
    """Written down as built, the courses of a wall keep their runs and every joint through changes of the brief that
    move the rest."""
    before = as_written("garden")
    edits = built_edits(before, ["W3:2"])
    free, after = planned("garden", change), planned("garden", *edits, change)
    assert not [f for f in after.findings if f.code == "standing.cannot_keep"]
    (runs, pieces), (was_runs, was_pieces) = kept(after, "W3", 2), kept(before, "W3", 2)
    assert [run.id.split("/")[0] for run in runs] == [run.id.split("/")[0] for run in was_runs]
    for run, was in zip(runs, was_runs, strict=True):
        assert (run.bottom_m, run.top_m) == pytest.approx((was.bottom_m, was.top_m), abs=1e-5)
        assert run.outline_m[0] == pytest.approx(was.outline_m[0], abs=1e-4)
    assert len(pieces) == len(was_pieces)
    for piece, cut in zip(pieces, was_pieces, strict=True):
        assert piece.start_m == pytest.approx(cut.start_m, abs=1e-4)
    assert [run.outline_m for run in free.walls.runs] != [run.outline_m for run in before.walls.runs] or (
        [p.start_m for p in free.pieces] != [p.start_m for p in before.pieces]
        or free.terraces.levels_m != before.terraces.levels_m
    )


def test_what_cannot_be_kept_is_refused_plainly():
    """A change that moves the line of a wall that stands is a stop that names it and withholds everything."""
    before = as_written("garden")
    edits = built_edits(before, ["W3:1"])
    after = planned("garden", *edits, ("brief.lines", "fall"))
    lost = next(f for f in after.findings if f.code == "standing.cannot_keep")
    assert lost.verdict is Verdict.STOP and lost.place == "W3" and "all" in after.withheld
    gone = planned("garden", *edits, ("brief.terraces", 2))
    assert "no such line" in next(f.text for f in gone.findings if f.code == "standing.cannot_keep")


def test_offsets_hold_up_to_the_next_course_measured():
    """An offset holds from its course up to the next one measured; below the first the first holds."""
    leg = LegStanding("W1", ((3, 0.01), (5, -0.02)), built=5)
    assert [leg.offset_m(k) for k in (1, 3, 4, 5, 9)] == [0.01, 0.01, 0.01, -0.02, -0.02]
    assert LegStanding("W1", ((3, 0.01),), built=3, answer="level").offset_m(4) == 0.0
    assert LegStanding("W1").offset_m(4) == 0.0


@pytest.mark.parametrize("measure", ["bank", "loose", "compacted"])
def test_soil_gone_and_soil_left_are_the_whole(measure):
    """By any measure what has gone, less what has come, and what is left add up to the account; soil that went and
    came back is nothing."""
    account = as_written("garden").earth.account
    per = {"bank": 1.0, "loose": account.loose_per_bank, "compacted": account.compacted_per_bank}[measure]
    out, back = SoilMoved("away", 1.7, measure), SoilMoved("in", 0.4, measure, topsoil=True)
    left = soil_left(account, [out, back])
    assert left.away_bank_m3 + 1.3 / per == pytest.approx(account.away_bank_m3, abs=1e-12)
    assert left.away_loose_m3 == pytest.approx(left.away_bank_m3 * account.loose_per_bank, abs=1e-12)
    none = soil_left(account, [out, SoilMoved("in", 1.7, measure)])
    assert none.away_bank_m3 == pytest.approx(account.away_bank_m3, abs=1e-12)


@pytest.mark.parametrize("name", ["plain", "garden"])
def test_timber_that_stands_is_seen_on_its_wall_sheet(name: str) -> None:
    """On a wall sheet what stands is grey, as in the pictures of the days, and all that is to be laid is not."""
    wall = walls_of(as_written(name))[0]
    plan, grey, new = planned(name, stands(wall, 1)), 0, 0
    for sheet in wall_sheets(plan, Stamp()):
        here = 0
        for view in sheet.views:
            for item in view.items:
                if isinstance(item, Area) and item.id.startswith("piece-"):
                    piece = next(one for one in plan.pieces if one.id == item.of)
                    stood = plan.walls.standing.stands(piece.leg, piece.course, sum(piece.start_m + piece.end_m) / 4)
                    assert (item.fill == "barrow") == stood, item.of
                    here, new = here + stood, new + (not stood)
        assert (here > 0) == any(mark.id.startswith("sample-stood") for mark in sheet.marks), sheet.id
        grey += here
    assert grey >= 1 and new > grey
