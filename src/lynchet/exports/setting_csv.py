"""``setting-out.csv``: pegs with coordinates and two tapes, check tapes, levels and marks of the rod."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from lynchet.core.findings import Verdict
from lynchet.drawings.stamp import stop_words
from lynchet.exports.csv_text import Cell, PlainUnits, csv_text
from lynchet.exports.setting_rows import SetPoint, set_points
from lynchet.plan.flight_places import flight_places
from lynchet.plan.model import Plan
from lynchet.units.format import feet_inches, laid, small
from lynchet.walls.rod import rod_courses
from lynchet.walls.seen import Seen, all_seen

_CHECKS = {"diagonal": "diagonal of bed {bed}", "across": "across bed {bed}", "from peg to peg": "from peg to peg"}


def setting_csv(plan: Plan) -> str:
    """The table, in the file's coordinates and units; a US file also has every tape as it is read.

    Rows by ``kind``: stop (first, where the plan has one: the place and why it is not to be built so),
    benchmark, known corner, peg (level: underside of the lowest course there), moved corner (of the area, where an
    inset moved it), steps (corners at no wall; level: top of the landing there), bank (where it
    meets the ground; level: what it is shaped to), outlet, pipe and cleanout (level:
    invert, the lowest point of the bore), drop zone (corners), heap (its middle), steps at wall (``along wall``: from
    one side of the flight to the other, from the wall's left end), weep hole (the middle of its mouth in the front of
    the timber, by coordinates and by ``along wall from`` its left end), check tape (``first tape`` from one mark to
    another), level, rod mark (its height with its unit and the courses it is the top of, by wall and course;
    ``first tape``: the same from the foot of the rod). ``side``: where the point lies as one stands at the first
    corner and looks to the second.
    """
    units = PlainUnits(plan.project.units)
    u = units.length
    heads = ["kind", "name", "what", f"x [{u}]", f"y [{u}]", f"level [{u}]", f"below benchmark [{u}]", "first from",
             f"first tape [{u}]", "second from", f"second tape [{u}]", f"along wall from [{u}]",
             f"along wall to [{u}]", "side"]  # fmt: skip
    rows = [*_stops(plan), *(_point(row, plan, units) for row in set_points(plan)), *_others(plan, units)]
    if units.system == "us":
        heads += ["first tape as read", "second tape as read"]
        rows = [(*row, _read(row[8]), _read(row[10])) for row in rows]
    return csv_text(heads, rows)


def _stops(plan: Plan) -> Iterator[tuple[Cell, ...]]:
    for finding in plan.findings:
        if finding.verdict is Verdict.STOP:
            what = f"{stop_words(plan)}. {finding.text}"
            yield ("stop", finding.place, what, None, None, None, None, "", None, "", None, None, None, "")


def _read(feet: Cell) -> str:
    return feet_inches(feet * 0.3048) if isinstance(feet, float) else ""


def _point(row: SetPoint, plan: Plan, units: PlainUnits) -> tuple[Cell, ...]:
    x, y = (units.of_length(value) for value in row.point_m)
    mark = plan.walls.setting_out.benchmark_m
    below = None if row.level_m is None else mark - row.level_m
    tapes: tuple[Cell, ...] = ("", None, "", None)
    if row.peg is not None:
        tapes = (row.peg.from_a, units.of_length(row.peg.distance_a_m), row.peg.from_b,
                 units.of_length(row.peg.distance_b_m))  # fmt: skip
    side = row.peg.side if row.peg is not None else ""
    return (row.kind, row.name, row.what, x, y, units.of_length(row.level_m), units.of_length(below), *tapes, None,
            None, side)  # fmt: skip


def _others(plan: Plan, units: PlainUnits) -> Iterator[tuple[Cell, ...]]:
    card, size = plan.walls.setting_out, units.of_length
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    if card.benchmark_at_m is None:
        yield ("benchmark", card.benchmark or "zero", "levels count from here", None, None, size(card.benchmark_m),
               size(0.0), "", None, "", None, None, None, "")  # fmt: skip
    for at_wall in flight_places(plan):
        yield ("steps at wall", at_wall.flight, f"sides of the steps along wall {at_wall.leg}", None, None, None, None,
               "", None, "", None, size(at_wall.left_m), size(at_wall.right_m), "")  # fmt: skip
    yield from _weep_holes(plan, units, seen)
    for tape in card.check_tapes:
        yield ("check tape", tape.to_point, _CHECKS[tape.what].format(bed=tape.bed), None, None, None, None,
               tape.from_point, size(tape.distance_m), "", None, None, None, "")  # fmt: skip
    for m in card.levels:
        start, end = seen[m.place].stretch(*m.stations_m) if m.stations_m else (None, None)
        yield ("level", m.place, m.what, None, None, size(m.level_m), size(m.below_mark_m), "", None, "", None,
               size(start), size(end), "")  # fmt: skip
    for number, (at, tops) in enumerate(zip(card.gauge_m, rod_courses(plan.walls), strict=True), start=1):
        courses = ", ".join(f"{leg} {row}" for leg, row in tops)
        what = f"{laid(at, units.system)} above the underside of the lowest timber; top of {courses}"
        yield ("rod mark", f"{number}", what, None, None, None, None,
               "foot of the rod", size(at), "", None, None, None, "")  # fmt: skip


def _weep_holes(plan: Plan, units: PlainUnits, seen: Mapping[str, Seen]) -> Iterator[tuple[Cell, ...]]:
    """Each by the middle of its mouth, in the front of the timber."""
    size, out, mark = units.of_length, plan.project.frame.outward, plan.walls.setting_out.benchmark_m
    rows = {(run.leg, run.course): run.row for run in plan.walls.runs}
    for hole in plan.stability.weeps:
        x, y = (size(value) for value in out(hole.point_m))
        up, row = small(hole.up_m, units.system), rows[hole.leg, hole.course]
        what = f"wall {hole.leg}, course {row}, {up} over its underside"
        yield ("weep hole", hole.id, what, x, y, size(hole.level_m), size(mark - hole.level_m), "", None, "", None,
               size(seen[hole.leg].along(hole.station_m)), None, "")  # fmt: skip
