"""Which step of the building a placed thing comes with: terraces from the lowest up, as the order of work counts."""

from __future__ import annotations

from lynchet.earth.solids import Owners
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed
from lynchet.terraces.built_with import BuiltWith

WHOLE_SITE = 0
"""What belongs to no terrace: pipes of the roof, soakaways, drains that cut off the slope above."""


class BuildingSteps:
    """Steps by owner."""

    def __init__(self, plan: Plan) -> None:
        owners = Owners(plan.terraces, plan.walls, plan.water)
        self._built = BuiltWith(plan.terraces)
        self._legs = {leg.id: leg for leg in plan.walls.legs}
        self._steps = {tie.id: self._at(tie.leg, tie.station_m) for tie in plan.stability.ties}
        self._steps |= {flight.id: owners.of_flight(flight) for flight in plan.terraces.flights}
        self._steps |= {bed.id: bed.terrace for bed in plan.terraces.beds}
        self._steps |= {drain.chain: owners.of_pipe(drain.id) for drain in plan.water.drains}
        self._steps |= {drain.id: owners.of_pipe(drain.id) for drain in plan.water.drains}
        self._steps |= {pipe.id: owners.of_pipe(pipe.id) for pipe in plan.water.solids}
        self._parts = {part.id: owners.of_chain(part.chain, part.edge) for part in plan.water.stone}
        self._parts |= {part.id: owners.of_chain(part.chain, part.edge) for part in plan.water.fabric}
        away = {pipe.id for pipe in plan.water.led_away}
        for outlet in plan.water.outlets:
            if outlet.drains and not away.issuperset(outlet.drains):
                self._steps[outlet.id] = min(owners.of_pipe(drain) for drain in outlet.drains)

    @property
    def highest(self) -> int:
        """Number of the highest terrace; what is built after it stands on its bed."""
        return self._built.highest

    def of(self, thing: Placed) -> int:
        """Terrace number (of what belongs to a wall, or the drain behind it, by its own stretch), or ``WHOLE_SITE``."""
        if thing.id in self._parts:
            return self._parts[thing.id]
        leg = self._legs.get(thing.owner)
        if leg is None:
            return self._steps.get(thing.owner, WHOLE_SITE)
        n = len(thing.outline_m)
        middle = sum(x for x, _ in thing.outline_m) / n, sum(y for _, y in thing.outline_m) / n
        return self._at(leg.id, leg.station_of(middle))

    def _at(self, leg: str, station_m: float) -> int:
        span = self._legs[leg].span_at(station_m)
        return self._built.of(span.high_face, span.low_face)
