"""Where drains are cut: square to the wall, through the notch where the water leaves, else in the longest stretch."""

from __future__ import annotations

from collections.abc import Iterable

from lynchet.drawings.figures import Figures
from lynchet.drawings.pipe_list import Pipe, pipes
from lynchet.drawings.section_line import Cut
from lynchet.drawings.source import Planned
from lynchet.walls.model import Leg
from lynchet.water.model import Chain, ChainEdge, Drain, Notch

Point = tuple[float, float]
_FRONT_M = 0.5
_BACK_M = 0.8


def drain_cuts(plan: Planned, figures: Figures) -> Iterable[tuple[str, str, tuple[str, ...], Cut]]:
    """Id, title, words under it and cut of every drain behind a wall, in the order of the plan."""
    chains = {chain.id: chain for chain in plan.water.chains}
    names = {pipe.id: pipe for pipe in pipes(plan)}
    for drain in plan.water.drains:
        pipe = names[drain.id]
        leg, station, held, notch = place_of(plan, drain, chains[drain.chain])
        at = "at its notch" if notch else "in its longest stretch"
        fall, drops = _fall(pipe)
        down = f", falling {figures.ratio(fall)}" if fall > 1e-4 else ""
        down += " with drops" if drops else ""
        to = f" to {pipe.into}" if pipe.into else ""
        under = (f"Pipe {figures.small_words(drain.bore_m)} inside{down}{to}",)
        yield drain.id, f"Drain {pipe.name} behind {leg.id}, {at}", under, square_cut(leg, station, held)


def place_of(plan: Planned, drain: Drain, chain: Chain) -> tuple[Leg, float, int, Notch | None]:
    """Leg, station, held side, and notch if there is one, where a drain is shown."""
    notch = next((one for one in plan.water.notches if one.drain == drain.id), None)
    if notch is not None:
        leg = plan.walls.leg(notch.leg)
        return leg, notch.station_m, leg.span_at(notch.station_m).held or 1, notch
    edge = _longest(drain, chain)
    leg = plan.walls.leg(edge.leg)
    return leg, (edge.start_station_m + edge.end_station_m) / 2, edge.held, None


def _longest(drain: Drain, chain: Chain) -> ChainEdge:
    nodes = set(drain.nodes)
    own = [edge for n, edge in enumerate(chain.edges) if {n, (n + 1) % len(chain.nodes)} <= nodes]
    return max(own or chain.edges, key=lambda edge: edge.length_m)


def square_cut(leg: Leg, station_m: float, held: int, front_m: float = _FRONT_M, back_m: float = _BACK_M) -> Cut:
    """A cut square to a wall, from its low side up: in front of its face and behind its back."""
    low, high = (-front_m, leg.thickness_m + back_m) if held > 0 else (leg.thickness_m + front_m, -back_m)
    return Cut(leg.point_at(station_m, low), leg.point_at(station_m, high))


def _fall(pipe: Pipe) -> tuple[float, bool]:
    """The gentlest fall its arms are laid to, and whether one of them drops besides."""
    laid = [pipe.laid(arm) for arm in pipe.arms]
    return min((fall for fall, _ in laid if fall > 1e-4), default=0.0), any(drops for _, drops in laid)
