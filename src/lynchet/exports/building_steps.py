"""With which step of the building every placed thing comes: terraces from the lowest up, as the soil account counts."""

from __future__ import annotations

from lynchet.earth.solids import Owners
from lynchet.plan.model import Plan
from lynchet.plan.placed import Placed

WHOLE_SITE = 0
"""What belongs to no terrace: pipes of the roof, soakaways, drains that cut off the slope above."""


class BuildingSteps:
    """Steps by owner."""

    def __init__(self, plan: Plan) -> None:
        owners = Owners(plan.terraces, plan.walls, plan.water)
        self._steps = {leg.id: owners.of_leg(leg.id) for leg in plan.walls.legs}
        self._steps |= {tie.id: owners.of_leg(tie.leg) for tie in plan.stability.ties}
        self._steps |= {flight.id: owners.of_flight(flight) for flight in plan.terraces.flights}
        self._steps |= {bed.id: bed.terrace for bed in plan.terraces.beds}
        self._steps |= {chain.id: owners.of_leg(chain.edges[0].leg) for chain in plan.water.chains}
        self._steps |= {drain.chain: owners.of_pipe(drain.id) for drain in plan.water.drains}
        self._steps |= {drain.id: owners.of_pipe(drain.id) for drain in plan.water.drains}
        self._steps |= {pipe.id: owners.of_pipe(pipe.id) for pipe in plan.water.solids}
        for outlet in plan.water.outlets:
            if outlet.drains:
                self._steps[outlet.id] = min(owners.of_pipe(drain) for drain in outlet.drains)

    def of(self, thing: Placed) -> int:
        """Terrace number, or ``WHOLE_SITE``."""
        return self._steps.get(thing.owner, WHOLE_SITE)
