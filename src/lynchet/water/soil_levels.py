"""The level water stands at behind each stretch of wall: full pipe, one outlet shut, all shut."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.changed import changed
from lynchet.terraces.model import OUTSIDE
from lynchet.water.model import Chain, Drain, WaterLevel
from lynchet.water.pipe_flow import depth_ratio_of_flow, part_full_ratios
from lynchet.water.pockets import Stretch
from lynchet.water.settings import Settings

LEAST_DEPTH = 0.25
_LEAST_FLOW = float(part_full_ratios(LEAST_DEPTH)[2])
"""Flow at that depth over that of the full pipe."""


def levels_of(
    chain: Chain,
    stretches: tuple[Stretch, ...],
    drains: list[Drain],
    ends: dict[str, str],
    depths_m: dict[str, float],
    settings: Settings,
) -> list[WaterLevel]:
    """One row per edge of a chain.

    Wet: as deep as the pipe runs with all it carries at the design rain. One shut: the drain's own way out is closed,
    water rises to the lowest high point over which it spills into a neighbour that leaves by another outlet. All shut:
    the pocket fills to its rim: the lowest wall top of a bed, the lowest ground of a bank. Stone alone: half the held
    height (PRACTICE), shut the surface; where more is held than stone should drain, and where there is no drain at all:
    the surface in every case.

    Args:
        chain: the chain.
        stretches: of each edge.
        drains: laid on it, none where it was refused.
        ends: outlet at which each drain's water comes out.
        depths_m: how deep each drain runs at the design rain.
        settings: sizes.
    """
    rim = rim_of(chain)
    served = _served(chain, drains)
    rows = []
    count = len(chain.nodes)
    refused = not drains and any(edge.held_height_m > settings.stone_only_m + 1e-9 for edge in chain.edges)
    for index, edge in enumerate(chain.edges):
        a, b = chain.nodes[index], chain.nodes[(index + 1) % count]
        start, end = sorted((edge.start_station_m, edge.end_station_m))
        surface = max(a.surface_m, b.surface_m)
        drain = served.get(index)
        if drain is None:
            full = refused or edge.held_height_m > settings.stone_only_m + 1e-9
            stands = surface if full else min(a.low_m, b.low_m) + edge.held_height_m / 2
            low = min(surface, max(stands, a.low_m, b.low_m))
            how = "none" if refused else "stone"
            rows.append(row_of(stretches[index], (start, end), chain.id, how, (low, surface, surface)))
            continue
        place = {node: i for i, node in enumerate(drain.nodes)}
        wet = max(drain.inverts_m[place[i]] for i in (index, (index + 1) % count) if i in place) + depths_m[drain.id]
        every = max(rim, wet)
        spill = _spill(drain, drains, ends)
        one = every if spill is None else min(every, max(wet, spill))
        row = row_of(stretches[index], (start, end), chain.id, "pipe", (wet, one, every))
        rows.append(changed(row, two_ways=spill is not None))
    return rows


def running_depths_m(drains: Sequence[Drain]) -> dict[str, float]:
    """Depth of water in each pipe at the design rain, all its flow taken over its whole length, at its least fall.

    Never under a quarter of the bore: sand lies in it (PRACTICE). Manning, part full (``pipe_flow``).
    """
    shares = {d.id: d.flow_l_s / d.capacity_l_s if d.capacity_l_s > 0 else 1.0 for d in drains}
    ratios = {name: 1.0 if share >= 1.0 else LEAST_DEPTH for name, share in shares.items()}
    deeper = [name for name, share in shares.items() if _LEAST_FLOW < share < 1.0]
    if deeper:
        ratios |= zip(deeper, depth_ratio_of_flow([shares[name] for name in deeper]).tolist(), strict=True)
    return {drain.id: drain.bore_m * max(LEAST_DEPTH, ratios[drain.id]) for drain in drains}


def rim_of(chain: Chain) -> float:
    """Level at which a pocket with no way out spills."""
    if chain.high_face == OUTSIDE:
        return min(node.surface_m for node in chain.nodes)
    return min(node.wall_top_m for node in chain.nodes)


def _served(chain: Chain, drains: list[Drain]) -> dict[int, Drain]:
    """Drain by edge."""
    found = {}
    for drain in drains:
        for node in drain.nodes[:-1]:
            found[node] = drain
    return found


def _spill(drain: Drain, drains: list[Drain], ends: dict[str, str]) -> float | None:
    """Lowest level at which a drain with its way out shut runs over into a neighbour with another way out."""
    levels = []
    for other in drains:
        if other.id == drain.id or ends.get(other.id) == ends.get(drain.id):
            continue
        for mine, theirs in ((0, -1), (-1, 0)):
            if drain.nodes[mine] == other.nodes[theirs]:
                levels.append(max(drain.inverts_m[mine], other.inverts_m[theirs]) + drain.bore_m)
    return min(levels, default=None)


def row_of(
    stretch: Stretch, stations: tuple[float, float], chain: str, how: str, levels: tuple[float, float, float]
) -> WaterLevel:
    """One row of a stretch between two stations, cut at the ends of its leg."""
    start = max(stations[0], 0.0)
    end = min(stations[1], stretch.leg.length_m)
    return WaterLevel(stretch.leg.id, stretch.held, start, max(start, end), chain, how, *levels)  # type: ignore[arg-type]
