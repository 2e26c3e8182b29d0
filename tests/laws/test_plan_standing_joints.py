"""Joints of timber that stands are those of the file; all that is still to be laid keeps the rules over it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from built_yards import built_plan
from days_and_order import not_adding_up
from found_yards import found_plan
from lawbook.piece_laws import joints_offset, pieces_make_runs, stands_whole_or_not
from lawbook.whole import Whole
from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.plan.built import built_edits
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.walls.joints import Avoid, Opening, lay_pieces
from standing_yards import as_written, planned


def test_only_what_stands_with_joints_of_the_file_may_break_the_rules():
    """Joint over joint, and a timber longer than any stick: so they stand; still to be laid it is wrong."""
    [(key, entry)] = built_edits(as_written("garden"), ["W2:2"])
    cuts = [{"course": row, "at": ["2 m"]} for row in (1, 2)]
    case = Whole(planned("garden", (key, {**entry, "cuts": cuts}))).case
    assert not joints_offset(case)
    assert not pieces_make_runs(case)
    free = replace(case.walls.standing, legs=())
    unsaid = replace(case, walls=replace(case.walls, standing=free))
    assert joints_offset(unsaid)
    assert pieces_make_runs(unsaid)


def test_what_stands_ends_in_a_joint():
    """Where the plan has wall beyond a stretch that stands, in a course that stands, what is laid there is a piece of
    its own: it is sawn, ordered and laid, and what stands is not."""
    [(key, entry)] = built_edits(as_written("garden"), ["W2:2"])
    whole = entry["stretch"][0]
    plan = planned("garden", (key, {**entry, "stretch": [{**whole, "to": "5 m"}]}))
    case = Whole(plan).case
    assert not stands_whole_or_not(case)
    low = plan.walls.leg("W2").lowest_course
    cut = {piece for stick in plan.timber.sticks for piece in stick.pieces}
    for course in (low, low + 1):
        row = [piece for piece in plan.pieces if (piece.leg, piece.course) == ("W2", course)]
        there = [max(piece.end_m) < 5.001 for piece in row]
        assert [plan.walls.stands(piece) for piece in row] == there
        assert [piece.id not in cut for piece in row] == there
        last = there.index(False)
        assert row[last].start_m == row[last - 1].end_m == (5.0, 5.0)
        one = replace(row[last], start_m=row[last - 1].start_m)
        assert stands_whole_or_not(replace(case, laid=replace(case.laid, pieces=(one,))))
    assert not not_adding_up(plan)


def test_what_stands_keeps_the_number_of_terraces_it_was_built_by():
    """Timber sets the courses firm, and on them steps may find room at another count of terraces: no ground for laying
    out other terraces than those the walls were begun for."""
    plan = built_plan(92033)
    bare = plan_project(plan.project, standing=Standing(), effort=LIVE)
    assert plan.standing.any_stands
    assert len(plan.terraces.levels_m) == len(bare.terraces.levels_m)
    assert plan.terraces.levels_m == tuple(pytest.approx(level, abs=1e-4) for level in bare.terraces.levels_m)


def test_a_stick_too_long_to_be_one_is_asked_about():
    """Timber that stands longer than any stick is a gap in the file: told with the wall, the course, its place and the
    entry; not where the file has the joints, an opening or no word on joints."""
    [(key, entry)] = built_edits(as_written("garden"), ["W2:2"])
    plan = planned("garden", (key, {**entry, "cuts": [{"course": 1, "at": entry["cuts"][0]["at"]},
                                                      {"course": 2, "at": ["4.282215 m"]}]}))  # fmt: skip
    [told] = [one for one in plan.findings if one.code == "standing.long_piece"]
    piece = max(
        (one for one in plan.pieces if one.leg == "W2" and plan.walls.stands(one)), key=lambda one: one.length_m
    )
    assert told.place == "W2" and told.verdict is Verdict.WATCH
    assert told.demand == pytest.approx(piece.length_m) and told.demand > told.capacity == plan.project.timber.longest_m
    assert "course 2 from 4.28 m to" in told.text and "course 1" not in told.text and "stands.1" in told.text
    for edits in ({}, {"notches": []}, {"cuts": []}):
        silent = planned("garden", (key, {**entry, **edits}))
        assert not [one for one in silent.findings if one.code == "standing.long_piece"]


def test_a_pipe_passes_clear_of_joints_that_stand_where_another_place_is_little_further():
    """Two joints of a wall that stands left 0.20 m to a notch of the course over them; it lies 0.3 m off both now, in
    its own courses and in those next to them."""
    plan = found_plan(84005)
    assert not joints_offset(Whole(plan).case)
    [known] = [leg for leg in plan.walls.standing.legs if leg.leg == "A1"]
    notches = [notch for notch in plan.water.notches if notch.leg == "A1"]
    for notch in notches:
        for course, joints in known.cuts:
            if notch.courses[0] - 1 <= course <= notch.courses[-1] + 1:
                assert all(abs(notch.station_m - at) >= 0.3 + notch.width_m / 2 - 1e-6 for at in joints)
    assert notches and any(joints for _, joints in known.cuts)


def test_a_notch_beside_a_joint_that_stands_is_told():
    """0.2 m from one in the course below where 0.6 m is wished: asked about with what to do; told with the file's own
    offset where that is less; 0.7 m off nothing is said."""
    plan = as_written("garden")
    case = Whole(plan).case
    run = max((run for run in case.walls.runs if run.leg == "W2"), key=lambda run: (run.course, run.inner_m[1]))
    middle = 0.5 * (run.inner_m[0] + run.inner_m[1])
    for far, offset, told in ((0.2, 0.6, (0.0, Verdict.ASK)), (0.4, 0.6, (0.30, Verdict.WATCH)),
                              (0.2, 0.15, None), (0.7, 0.6, None)):  # fmt: skip
        opening = Opening("W2", run.course, middle - 0.075, middle + 0.075)
        avoid = Avoid((opening,), kept=(("W2", run.course - 1, (middle + 0.075 + far,)),))
        rules = replace(case.rules, offset_m=offset)
        laid = lay_pieces(case.walls, rules, avoid)
        found = [f for f in laid.findings if f.code == "walls.joint_offset" and "notch" in f.text]
        assert [(f.capacity, f.verdict) for f in found] == ([told] if told else []), far
        assert all(f"{far:.2f} m from" in f.text and "plate" in f.text for f in found)
        assert not joints_offset(replace(case, laid=laid, avoid=avoid, rules=rules))
