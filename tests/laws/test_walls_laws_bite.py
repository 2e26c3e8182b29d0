"""Faults planted in sound plans are caught: a law that cannot fail proves nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from lawbook.book import broken
from lawbook.case import Case, plan
from lynchet.terraces.model import Level
from lynchet.walls.model import Run
from random_yards import realistic
from yards import ell

CASES = [plan(*ell()), plan(*realistic(3)), plan(*realistic(22)), plan(*realistic(26))]


def _with_runs(case: Case, runs: tuple[Run, ...]) -> Case:
    return replace(case, walls=replace(case.walls, runs=runs))


def _longest(case: Case) -> Run:
    return max(case.walls.runs, key=lambda run: run.end.line_m - run.start.line_m)


def _moved_end(run: Run, case: Case, by_m: float) -> Run:
    """The run with its far end moved along the leg."""
    leg = case.walls.leg(run.leg)
    end = replace(run.end, line_m=run.end.line_m + by_m, far_m=run.end.far_m + by_m)
    a, _, _, d = run.outline_m
    b = leg.point_at(end.line_m, run.offset_m)
    c = leg.point_at(end.far_m, run.offset_m + leg.thickness_m)
    return replace(run, end=end, outline_m=(a, b, c, d))


def drop_a_run(case: Case) -> Case:
    """One run is not there."""
    gone = _longest(case)
    return _with_runs(case, tuple(run for run in case.walls.runs if run.id != gone.id))


def butt_short(case: Case) -> Case:
    """A butt stops 3 cm short of its partner."""
    short = next(run for run in case.walls.runs if run.end.kind == "butt")
    return _with_runs(case, tuple(_moved_end(r, case, -0.03) if r.id == short.id else r for r in case.walls.runs))


def butt_through(case: Case) -> Case:
    """A butt runs on into its partner."""
    through = next(run for run in case.walls.runs if run.end.kind == "butt")
    return _with_runs(case, tuple(_moved_end(r, case, 0.05) if r.id == through.id else r for r in case.walls.runs))


def base_high(case: Case) -> Case:
    """One stretch stands a course too high."""
    leg = next(leg for leg in case.walls.legs if leg.segments)
    first = replace(leg.segments[0], base=leg.segments[0].base + 2)
    changed = replace(leg, segments=(first, *leg.segments[1:]))
    legs = tuple(changed if one.id == leg.id else one for one in case.walls.legs)
    return replace(case, walls=replace(case.walls, legs=legs))


def top_low(case: Case) -> Case:
    """One stretch is a course too low."""
    leg = next(leg for leg in case.walls.legs if leg.segments)
    first = replace(leg.segments[0], top=leg.segments[0].top - 1)
    changed = replace(leg, segments=(first, *leg.segments[1:]))
    legs = tuple(changed if one.id == leg.id else one for one in case.walls.legs)
    return replace(case, walls=replace(case.walls, legs=legs))


def piece_lost(case: Case) -> Case:
    """One piece of the list is missing."""
    return replace(case, laid=replace(case.laid, pieces=case.laid.pieces[:5] + case.laid.pieces[6:]))


def piece_too_long(case: Case) -> Case:
    """Two pieces become one that is longer than any stick."""
    table = case.laid.pieces
    at = next(i for i in range(len(table) - 1) if table[i].run == table[i + 1].run)
    (a, _, _, d), (_, b, c, _) = table[at].outline_m, table[at + 1].outline_m
    joined = replace(table[at], end_m=table[at + 1].end_m, outline_m=(a, b, c, d))
    return replace(case, laid=replace(case.laid, pieces=(*table[:at], joined, *table[at + 2 :])))


def top_unsupported(case: Case) -> Case:
    """A run one course up reaches a metre past the end of what carries it."""
    run = next(r for r in case.walls.runs if r.end.kind in ("step", "end")
               and not any(s.start_m < r.end.line_m + 0.5 < s.end_m and s.base <= r.course - 1 <= s.top
                           for s in case.walls.leg(r.leg).segments) and r.row > 1)  # fmt: skip
    return _with_runs(case, tuple(_moved_end(r, case, 1.0) if r.id == run.id else r for r in case.walls.runs))


def wall_missing(case: Case) -> Case:
    """A whole leg is not built."""
    leg = max(case.walls.legs, key=lambda one: sum(s.end_m - s.start_m for s in one.segments))
    legs = tuple(replace(one, segments=()) if one.id == leg.id else one for one in case.walls.legs)
    runs = tuple(run for run in case.walls.runs if run.leg != leg.id)
    return replace(case, walls=replace(case.walls, legs=legs, runs=runs))


def bed_sunk(case: Case) -> Case:
    """A bed lies 7 cm lower than its walls think."""
    beds = [replace(f, finish=Level(f.level_m - 0.07)) if f.kind == "bed" else f for f in case.terraces.faces]
    return replace(case, terraces=replace(case.terraces, faces=tuple(beds)))


FAULTS: list[Callable[[Case], Case]] = [
    drop_a_run, butt_short, butt_through, base_high, top_low, piece_lost, piece_too_long, top_unsupported,
    wall_missing, bed_sunk,
]  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.__name__)
def test_planted_fault_is_caught(fault: Callable[[Case], Case]) -> None:
    """Each fault, planted in each of four sound plans, breaks at least one law."""
    for case in CASES:
        assert broken(case) == []
        assert broken(fault(case)) != []
