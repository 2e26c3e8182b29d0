"""Things on a wall that the plan does not have: told when the walls are known."""

from __future__ import annotations

from collections.abc import Iterable

from lynchet.core.errors import Fault, InputError
from lynchet.plan.model import Plan
from lynchet.project.faults import Source


def refuse_unknown_walls(plan: Plan, sources: Iterable[Source]) -> None:
    """Say which `[[on_wall]]` names a wall that is not there.

    Args:
        plan: as asked for. A cure that is only tried is not asked: it may leave a wall out.
        sources: the files it was read from.

    Raises:
        InputError: each wall that is not there, with file and line.
    """
    walls = [leg.id for leg in plan.walls.legs if leg.segments]
    if not walls:
        return  # nothing is built: the findings say why
    known = set(walls) | {name.split(".")[0] for name in walls}
    known |= {f"A{edge}" for edge in range(len(plan.project.area.outline_m))}  # an edge may have no wall of its own
    faults = []
    for number, thing in enumerate(plan.project.on_wall):
        if thing.at and thing.at not in known:
            source = next((one for one in sources if one.lines.has(("on_wall", number))), None)
            file, line = (source.name, source.lines.line(("on_wall", number, "at"))) if source else ("", 0)
            found = f'there is no wall "{thing.at}"'
            faults.append(
                Fault(found, f"a wall of the plan: {', '.join(walls)}", f"on_wall.{number + 1}.at", file, line)
            )
    if faults:
        raise InputError(*faults)
