"""Ways through a chain's own ground, without a notch: back into its bench or path, to a drain there that lies lower."""

from __future__ import annotations

import itertools
from functools import partial
from math import dist

from lynchet.terraces.model import OUTSIDE
from lynchet.water.chains import DrawnChain
from lynchet.water.inside import HAIR, Exit, Rooms, Try, moved
from lynchet.water.options import Mouth, Option
from lynchet.water.programme import Sink
from lynchet.water.yard import Yard

_LEAVE_M = 0.25


def within_mouths(yard: Yard, drawn: DrawnChain) -> list[Mouth]:
    """Every node of a chain as a place where solid pipe leaves it for its own ground.

    Args:
        yard: the earlier results.
        drawn: the chain; a bank's has none, the ring serves it.
    """
    face = drawn.chain.high_face
    if face == OUTSIDE:
        return []
    held = {stretch.leg.id: stretch.held for stretch in drawn.stretches}
    found = []
    for index, node in enumerate(drawn.chain.nodes):
        if node.floor_m <= node.ceiling_m:
            leg = yard.walls.leg(node.leg)
            out = (held[leg.id] * leg.normal[0], held[leg.id] * leg.normal[1])
            found.append(
                Mouth(
                    index, None, node.point_m, out, node.floor_m, node.ceiling_m, 0.0, node.surface_m, None, 0.0, face
                )
            )
    return found


def within_tries(yard: Yard, rooms: Rooms, drawn: DrawnChain, exits: list[Exit]) -> list[Try]:
    """Solid pipes through the chain's own ground to a drain of the same ground.

    Both ends lie under the cover their chains ask, so the pipe between does too.

    Args:
        yard: the earlier results.
        rooms: free ground by face.
        drawn: the chain.
        exits: places where a pipe may run into one that is laid.
    """
    mine = [exit_ for exit_ in exits if exit_.face == drawn.chain.high_face]
    if not mine:
        return []
    s = yard.settings
    found = []
    for mouth in within_mouths(yard, drawn):
        for exit_ in mine:
            straight = dist(mouth.point_m, exit_.point_m)
            if straight <= (mouth.highest_m - exit_.invert_m) / s.fall:
                least = s.cost_solid * straight + s.cost_wye - HAIR
                found.append(Try(least, partial(_to, yard, rooms, mouth, exit_)))
    return found


def _to(yard: Yard, rooms: Rooms, mouth: Mouth, exit_: Exit) -> Option | None:
    s = yard.settings
    longest = (mouth.highest_m - exit_.invert_m) / s.fall
    room = rooms.free(mouth.face)
    past = moved(mouth.point_m, mouth.out, _LEAVE_M)
    for before in exit_.approaches:
        way = room.way(past, before, longest)
        if way is None:
            continue
        path = (mouth.point_m, *way, exit_.point_m)
        length = sum(dist(a, b) for a, b in itertools.pairwise(path))
        need = exit_.invert_m + s.fall * length
        if need <= mouth.highest_m + 1e-9:
            cost = s.cost_solid * length + s.cost_wye + (s.cost_drop if mouth.lowest_m - need > 0.05 else 0.0)
            sink = Sink(mouth.node, max(mouth.lowest_m, need), cost)
            return Option(sink, "within", mouth, None, path[1:], exit_.invert_m, exit_.drain)
    return None
