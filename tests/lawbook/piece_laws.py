"""Laws on the pieces of each course."""

from __future__ import annotations

from itertools import pairwise

from lawbook.case import Case
from lynchet.walls.joints import FALLBACKS_M, pieces_by_run
from lynchet.walls.model import Run


def _as_filed(case: Case, leg: str, course: int, *stations: float) -> bool:
    """Whether timber stands here whose joints the file gives: what is laid nobody can lay otherwise."""
    standing = case.walls.standing
    return standing.cuts(leg, course) is not None and all(standing.stands(leg, course, s) for s in stations)


def pieces_make_runs(case: Case) -> list[str]:
    """12. Pieces and openings of a run add up to the run, end to end, and none is longer than may be,
    but such as stand with the joints the file gives.
    """
    table, wrong = pieces_by_run(case.laid.pieces), []
    for run in case.walls.runs:
        pieces = table.pop(run.id, [])
        holes = [o for o in case.avoid.openings if (o.leg, o.course) == (run.leg, run.course)
                 and run.outer_m[0] < o.end_m and o.start_m < run.outer_m[1]]  # fmt: skip
        marks = [(run.start.line_m, run.start.far_m)]
        for piece in pieces:
            gap = any(o.start_m == marks[-1][0] and o.end_m == piece.start_m[0] for o in holes)
            if piece.start_m != marks[-1] and not gap:
                wrong.append(f"{piece.id} does not begin where the one before ends")
            if piece.length_m > case.rules.most_m + 1e-6 and not _as_filed(
                case, piece.leg, piece.course, max(piece.start_m), min(piece.end_m)
            ):
                wrong.append(f"{piece.id} is {piece.length_m:.3f} m long")
            marks.append(piece.end_m)
        if marks[-1] != (run.end.line_m, run.end.far_m):
            wrong.append(f"{run.id} is not filled to its end")
        areas = sum(piece.polygon.area for piece in pieces)
        thick = case.walls.leg(run.leg).thickness_m
        if abs(areas + sum((o.end_m - o.start_m) * thick for o in holes) - run.polygon.area) > 1e-6:
            wrong.append(f"{run.id}: pieces do not add up")
    wrong += [f"pieces of {name}, which is no run" for name in table]
    return wrong


def joints_offset(case: Case) -> list[str]:
    """13. Joints keep their offset from joints, steps and notches of the course below and from notches of the course
    above, or a finding says how much less, or both stand with the joints the file gives. A notch is a named
    opening: its place is the water's, not the pieces'.
    """
    wrong = []
    less = {f.place: f.capacity for f in case.laid.findings if f.code == "walls.joint_offset"}
    table = pieces_by_run(case.laid.pieces)

    def joints(run: Run) -> tuple[list[float], list[float]]:
        """(joints between pieces that touch, edges of notches)."""
        pieces = table.get(run.id, [])
        touching = [a.end_m[0] for a, b in pairwise(pieces) if a.end_m[0] == b.start_m[0]]
        edges = [s for a, b in pairwise(pieces) if a.end_m[0] != b.start_m[0] for s in (a.end_m[0], b.start_m[0])]
        return touching, edges

    for run in case.walls.runs:
        kept = less.get(run.leg, case.rules.offset_m)
        assert kept is not None and (run.leg not in less or kept in (*FALLBACKS_M, 0.0))
        mine, my_edges = joints(run)
        for lower in case.walls.runs_of(run.leg, run.course - 1):
            steps = [end.line_m for end in (lower.start, lower.end) if end.kind == "step"]
            theirs, their_edges = joints(lower)
            pairs = [(s, o) for s in mine for o in (*theirs, *steps, *their_edges)]
            pairs += [(s, o) for s in my_edges for o in theirs]
            for station, other in pairs:
                laid = _as_filed(case, run.leg, run.course, station) and _as_filed(case, run.leg, run.course - 1, other)
                if abs(station - other) < kept - 1e-6 and not laid:
                    wrong.append(f"{run.id}: joint at {station:.2f} is {abs(station - other):.2f} m from one below")
    return wrong


MORE_M = 0.31
"""A course that stands may be longer than its stretch by a lap round a corner."""


def stands_whole_or_not(case: Case) -> list[str]:
    """What stands ends in a joint: no piece is part old timber, part new, for nobody can lay it so. Held to courses
    whose joints and stretches the file gives.
    """
    wrong = []
    for piece in case.laid.pieces:
        known = case.walls.standing.leg(piece.leg)
        if known is None or known.built is None or piece.course > known.built or known.cuts_of(piece.course) is None:
            continue
        start, end = min(piece.start_m), max(piece.end_m)
        there = sum(max(0.0, min(end, b) - max(start, a)) for a, b, base, top in known.segments
                    if base <= piece.course <= top)  # fmt: skip
        if MORE_M < there < end - start - 2.0 * MORE_M:
            wrong.append(f"{piece.id}: {there:.2f} m of {end - start:.2f} m stands")
    return wrong


PIECE_LAWS = (pieces_make_runs, joints_offset, stands_whole_or_not)
