"""Water that comes out inside the area: its beds and walls end short of it, and a drain of its own takes it away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.core.enumerated import enumerated
from lynchet.core.findings import Cure, Finding
from lynchet.plan.model import Plan
from lynchet.plan.root_cures import least_move, moved_inward, whole_step_m
from lynchet.project.inset import edge_rows
from lynchet.units.format import length
from lynchet.water.led_away import CUT_OFF, SPRING_CODE, inside

SHORT_OF_SPRING = "short-of-spring"
_CLEAR_M = 1.0
"""From the line where water comes out to the edge: half its own trench, the stone behind the wall, and ground between
that stands. PRACTICE."""


def spring_cures(plan: Plan, stops: Sequence[Finding]) -> Iterator[Cure]:
    """Edits against water that comes out where walls and beds are to be; nothing is known of them before they are
    planned.

    Args:
        plan: the plan that is stopped.
        stops: its stops.
    """
    import shapely

    project, stopped = plan.project, {stop.place for stop in stops if stop.code == SPRING_CODE}
    found = {one.name for one in project.so_far.found if one.kind == "water"}
    wet = [(f"spring.{number}.cut_off", spring) for number, spring in enumerate(project.springs, start=1)
           if spring.name in stopped - found and inside(project.area, spring)]  # fmt: skip
    if not wet:
        return
    names = enumerated([spring.name for _, spring in wet])
    edits = [(key, True) for key, spring in wet if not spring.cut_off]
    if edits:
        yield Cure(CUT_OFF, f"a cut-off drain takes the water of {names} to an outlet of its own", tuple(edits))
    moved: dict[int, float] = {}
    for _, spring in wet:
        line = shapely.LineString(spring.line_m) if len(spring.line_m) > 1 else shapely.Point(spring.line_m[0])
        move = least_move(project.area, line.buffer(_CLEAR_M))
        if move is None:
            return
        moved[move[0]] = max(moved.get(move[0], 0.0), whole_step_m(move[1], project.units))
    rules = {edge: moved_inward(project.area.rule(edge), by_m) for edge, by_m in moved.items()}
    said = " and ".join(f"{length(by_m, project.units, 1)} at A{edge}" for edge, by_m in sorted(moved.items()))
    text = (
        f"beds and walls end short of where the water of {names} comes out, the edge moved inward by {said}; a cut-off "
        "drain takes the water from there to an outlet of its own"
    )
    yield Cure(SHORT_OF_SPRING, text, (("area.edges", edge_rows(project.area, rules, project.units)), *edits))
