"""Joints of timber that stands are those of the file; all that is still to be laid keeps the rules over it."""

from __future__ import annotations

from dataclasses import replace

from lawbook.piece_laws import joints_offset, pieces_make_runs
from lawbook.whole import Whole
from lynchet.plan.built import built_edits
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
