"""Drains that lie higher behind their wall than they should, because no lower one finds a way out."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.core.findings import Cure, Finding, Verdict
from lynchet.units.format import length as length_text
from lynchet.water.model import Chain, ChainNode, Drain
from lynchet.water.settings import Settings, settings_of
from lynchet.water.yard import Yard


def high_findings(yard: Yard, chains: Sequence[Chain], drains: Sequence[Drain]) -> list[Finding]:
    """What to know of every drain over the usual height.

    Args:
        yard: the earlier results, with the settings the drains were laid by.
        chains: of the drains.
        drains: laid.
    """
    usual = settings_of(yard.project.drain)
    if yard.settings.pond <= usual.pond:
        return []
    nodes = {chain.id: chain.nodes for chain in chains}
    found = []
    for drain in drains:
        mine = [nodes[drain.chain][i] for i in drain.nodes]
        over = [(y - node.low_m, node) for y, node in zip(drain.inverts_m, mine, strict=True) if _high(y, node, usual)]
        if over:
            found.append(_finding(yard, drain, *max(over, key=lambda pair: pair[0])))
    return found


def _high(invert_m: float, node: ChainNode, usual: Settings) -> bool:
    held = node.surface_m - node.low_m
    return invert_m > max(node.low_m + max(usual.least_held_m, usual.pond * held), node.floor_m) + 0.025


def _finding(yard: Yard, drain: Drain, over_m: float, node: ChainNode) -> Finding:
    units = yard.project.units
    text = (
        f"Drain {drain.id} lies {length_text(over_m, units)} above the ground in front of wall {node.leg}, because no "
        "lower one finds a way out: water stands behind the wall up to it, and the wall is checked so. A soakaway or "
        "an outlet on lower ground would let it lie lower."
    )
    cures = (
        Cure("soakaway", "a soakaway (stone pit) that takes this water"),
        Cure("lower-outlet", "an outlet of your own on lower ground"),
    )
    return Finding(
        "water.high_drain", Verdict.WATCH, text, drain.id, demand=over_m,
        capacity=yard.settings.pond * (node.surface_m - node.low_m), unit="m", source="PRACTICE", cures=cures,
        cause="water.high_drain",
    )  # fmt: skip
