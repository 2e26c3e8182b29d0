"""Ways out for a chain that none of the usual ones serves: joints half way down a bench, ways through its own ground,
ways across benches without a drain. Ground over stone that carries no pipe is free here."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from lynchet.water.across import across_options
from lynchet.water.inside import Exit, exits_along, inside_tries
from lynchet.water.options import Option
from lynchet.water.problem import Net, Problem, carries
from lynchet.water.within import within_tries

_PAST_MOUTH = 2
"""Points of a solid pipe through timber before it lies at its depth inside a bench: its drain, its mouth."""


class Detours:
    """Ways out of a chain with these among them. A pipe through a bench costs at least what the straight one would, and
    there may be hundreds: they are worked out from the cheapest such bound on.

    Args:
        problem: the search's constants.
        number: index of the chain.
        net: laid so far.
        usual: the usual ways out of the chain, which serve no layout alone.
    """

    def __init__(self, problem: Problem, number: int, net: Net, usual: list[Option]) -> None:
        self._carried: Callable[[Option], bool] = lambda option: carries(problem, number, net, option)
        yard, drawn, mouths = problem.yard, problem.chains[number], list(problem.mouths[number])
        dry = frozenset(problem.chains[laid.chain].chain.id for laid in net.laid if not laid.reaches)
        rooms = problem.rooms.without(dry)
        faces = {mouth.face for mouth in mouths if not mouth.outside} | {drawn.chain.high_face}
        exits = [*net.exits, *_joints(net, faces)]
        self._tries = [*inside_tries(yard, rooms, mouths, exits), *within_tries(yard, rooms, drawn, exits)]
        self._order = sorted(range(len(self._tries)), key=lambda i: self._tries[i].least_cost)
        self._done, self._found = 0, dict[int, Option]()
        across = across_options(yard, problem.across, rooms, mouths, list(net.tenants))
        self._before, self._after = usual, [option for option in across if self._carried(option)]

    @property
    def cheapest(self) -> float:
        """No way out costs less."""
        known = (option.sink.cost for option in (*self._before, *self._after))
        return min((self._next, *known))

    @property
    def _next(self) -> float:
        """Least cost of the ways not worked out yet."""
        return self._tries[self._order[self._done]].least_cost if self._done < len(self._order) else inf

    def more_up_to(self, most: float) -> bool:
        """Whether any way not worked out yet may cost no more."""
        return self._next < inf and self._next <= most

    def up_to(self, most: float) -> list[Option]:
        """All ways that cost no more, and some that do, in the order of the mouths."""
        while self.more_up_to(most):
            place = self._order[self._done]
            option = self._tries[place].option()
            if option is not None and self._carried(option):
                self._found[place] = option
            self._done += 1
        return [*self._before, *(self._found[place] for place in sorted(self._found)), *self._after]


def _joints(net: Net, faces: set[str]) -> list[Exit]:
    """Places along the solid pipes that lie under some benches."""
    found: list[Exit] = []
    for made in net.laid:
        for option, solid in zip(made.options, made.solids, strict=True):
            if option.kind in ("inside", "within", "across") and option.mouth.face in faces:
                past = _PAST_MOUTH if option.mouth.opening is not None else 1
                end = past + len(option.way_m)
                points, inverts = solid.points_m[past:end], solid.inverts_m[past:end]
                found += exits_along(solid.part_of, points, inverts, option.mouth.face)
    return found
