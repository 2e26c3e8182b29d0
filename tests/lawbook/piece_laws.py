"""Laws on the pieces of each course."""

from __future__ import annotations

from lawbook.case import Case
from lynchet.walls.joints import FALLBACKS_M, pieces_by_run
from lynchet.walls.model import Run


def pieces_make_runs(case: Case) -> list[str]:
    """12. Pieces and openings of a run add up to the run, end to end, and none is longer than may be."""
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
            if piece.length_m > case.rules.longest_m + 1e-6:
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
    """13. Joints keep their offset from joints and steps of the course below, or a finding says how much less."""
    wrong = []
    less = {f.place: f.capacity for f in case.laid.findings if f.code == "walls.joint_offset"}
    table = pieces_by_run(case.laid.pieces)

    def joints(run: Run) -> list[float]:
        return [piece.end_m[0] for piece in table.get(run.id, [])[:-1]]

    for run in case.walls.runs:
        kept = less.get(run.leg, case.rules.offset_m)
        assert kept is not None and (run.leg not in less or kept in (*FALLBACKS_M, 0.0))
        for lower in case.walls.runs_of(run.leg, run.course - 1):
            steps = [end.line_m for end in (lower.start, lower.end) if end.kind == "step"]
            for mine in joints(run):
                near = min((abs(mine - other) for other in (*joints(lower), *steps)), default=9.0)
                if near < kept - 1e-6:
                    wrong.append(f"{run.id}: joint at {mine:.2f} is {near:.2f} m from one below")
    return wrong


PIECE_LAWS = (pieces_make_runs, joints_offset)
