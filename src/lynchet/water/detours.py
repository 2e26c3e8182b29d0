"""Ways out for a chain that none of the usual ones serves: joints half way down a bench, ways through its own ground,
ways across benches without a drain. Ground over stone that carries no pipe is free here."""

from __future__ import annotations

from lynchet.water.across import across_options
from lynchet.water.inside import exits_along, inside_options
from lynchet.water.options import Option
from lynchet.water.problem import Net, Problem
from lynchet.water.within import within_options

_PAST_MOUTH = 2
"""Points of a solid pipe through timber before it lies at its depth inside a bench: its drain, its mouth."""


def detours_of(problem: Problem, number: int, net: Net) -> list[Option]:
    """Every such way of a chain, given what is laid.

    Args:
        problem: the search's constants.
        number: index of the chain.
        net: laid so far.
    """
    yard, drawn, mouths = problem.yard, problem.chains[number], list(problem.mouths[number])
    dry = frozenset(problem.chains[laid.chain].chain.id for laid in net.laid if not laid.reaches)
    rooms = problem.rooms.without(dry)
    faces = {mouth.face for mouth in mouths if not mouth.outside} | {drawn.chain.high_face}
    exits = [*net.exits]
    for made in net.laid:
        for option, solid in zip(made.options, made.solids, strict=True):
            if option.kind in ("inside", "within", "across") and option.mouth.face in faces:
                past = _PAST_MOUTH if option.mouth.opening is not None else 1
                end = past + len(option.way_m)
                points, inverts = solid.points_m[past:end], solid.inverts_m[past:end]
                exits += exits_along(solid.part_of, points, inverts, option.mouth.face)
    return [
        *inside_options(yard, rooms, mouths, exits),
        *within_options(yard, rooms, drawn, exits),
        *across_options(yard, problem.ring, rooms, mouths, list(net.tenants)),
    ]
