"""Pads: how much of a leg near a node must be free of footing steps, so that laps and butts always find timber."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan2, tan

from lynchet.core.plane import Point, cross, dot
from lynchet.core.quick import quick
from lynchet.terraces.cleaning import MITRE_COS
from lynchet.walls.model import Node

SPARE_M = 0.2
MOST_M = 1.0
SHARE = 0.45
"""A pad takes at most this part of the way to the next node."""


@quick
@dataclass(frozen=True)
class Pad:
    """A node as one leg sees it."""

    station_m: float
    need_m: float
    """Reach of a skew butt and some to spare."""
    node: str


def is_mitre(node: Node, ways: Mapping[str, Point]) -> bool:
    """True where one leg ends and the next begins with a bend of 45 degrees or less: no tee, no third leg."""
    if len(node.arms) != 2 or node.arms[0].leg == node.arms[1].leg or node.arms[0].way == node.arms[1].way:
        return False
    return dot(ways[node.arms[0].leg], ways[node.arms[1].leg]) > MITRE_COS


def reach(first: Point, second: Point, thickness_m: float) -> float:
    """How far along one leg the timber of another, meeting it askew, can reach: t (1 + |cos|) / sin."""
    sine = abs(cross(first, second))
    return thickness_m * (1.0 + abs(dot(first, second))) / max(sine, 1e-3)


def mitre_reach(first: Point, second: Point, thickness_m: float) -> float:
    """How far a mitre reaches along a leg: t tan(bend / 2)."""
    bend = abs(atan2(cross(first, second), dot(first, second)))
    return thickness_m * tan(bend / 2.0)


def pads_of(leg: str, nodes: Sequence[Node], ways: Mapping[str, Point], thickness_m: float) -> list[Pad]:
    """The pads of one leg, by station."""
    pads = []
    for node in nodes:
        stations = [arm.station_m for arm in node.arms if arm.leg == leg]
        if not stations:
            continue
        others = {arm.leg for arm in node.arms} - {leg}
        mitre = is_mitre(node, ways)
        rule = mitre_reach if mitre else reach
        straight = [o for o in others if abs(cross(ways[leg], ways[o])) < 2e-3]
        need = max((rule(ways[leg], ways[o], thickness_m) for o in others if o not in straight), default=0.0)
        pads.append(Pad(stations[0], min(MOST_M, need + SPARE_M), node.id))
    return sorted(pads, key=lambda pad: pad.station_m)


def windows(pads: Sequence[Pad]) -> list[tuple[float, float]]:
    """Stretches on which the base may not step: round every node, and between nodes too near each other."""
    out: list[tuple[float, float]] = []
    for i, pad in enumerate(pads):
        low, high = pad.station_m - pad.need_m, pad.station_m + pad.need_m
        if i > 0:
            gap = pad.station_m - pads[i - 1].station_m
            low = pad.station_m - min(pad.need_m, SHARE * gap)
            if max(pad.need_m, pads[i - 1].need_m) > SHARE * gap:
                low = pads[i - 1].station_m
        if i + 1 < len(pads):
            gap = pads[i + 1].station_m - pad.station_m
            high = pad.station_m + min(pad.need_m, SHARE * gap)
            if max(pad.need_m, pads[i + 1].need_m) > SHARE * gap:
                high = pads[i + 1].station_m
        out.append((low, high))
    return out
