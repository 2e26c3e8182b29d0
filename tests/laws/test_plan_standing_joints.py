"""Joints of timber that stands are those of the file; all that is still to be laid keeps the rules over it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from built_yards import built_plan
from days_and_order import not_adding_up
from lawbook.piece_laws import joints_offset, pieces_make_runs, stands_whole_or_not
from lawbook.whole import Whole
from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.plan.built import built_edits
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
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
