"""Which placed things may share a place, and how far others keep apart. Any pair not named here may not meet."""

from __future__ import annotations

from dataclasses import dataclass

PIPES = frozenset({"drain pipe", "solid pipe", "fitting", "cleanout", "roof pipe", "cut-off drain", "outlet"})
STONES = frozenset({"stone", "fabric", "stone bed"})
TIMBERS = frozenset({"timber", "tie", "cross-piece", "step"})
FASTENERS = frozenset({"screw", "corner pin", "tie screw"})


@dataclass(frozen=True)
class Rule:
    """What holds for a pair of kinds."""

    may_share: bool
    clear_m: float = 0.0
    """Gap wanted on every side where they may not share."""
    only_same_owner: bool = False
    """They may share only where one belongs to the other (a tie and its cross-piece, a pipe and its fitting)."""


MOST_CLEAR_M = 0.05
"""The widest gap asked of any pair."""
_APART = Rule(False)
_SHARE = Rule(True)

# Sources: PRACTICE throughout; the clearances are those of the drains and the ties.
_RULES: dict[frozenset[str], Rule] = {
    frozenset({"pin", "timber"}): _SHARE,  # driven through it
    frozenset({"tie screw", "tie"}): _SHARE,
    frozenset({"tie screw", "cross-piece"}): _SHARE,
    frozenset({"pin", "stone bed"}): _SHARE,
    frozenset({"stone bed", "timber"}): _SHARE,  # the bed is laid round a lower course of the wall that laps under it
    frozenset({"pin", "stone"}): _SHARE,
    frozenset({"pin", "fabric"}): _SHARE,
    frozenset({"tie", "cross-piece"}): Rule(False, only_same_owner=True),
    frozenset({"step"}): Rule(False, only_same_owner=True),
    frozenset({"timber"}): _APART,
    frozenset({"tie"}): _APART,
    frozenset({"soakaway", "solid pipe"}): _SHARE,
    frozenset({"soakaway", "stone"}): _SHARE,
}


def rule_for(first: str, second: str) -> Rule:
    """The rule for two kinds, whichever comes first."""
    known = _RULES.get(frozenset({first, second}))
    if known is not None:
        return known
    pair = (first, second)
    if "plant" in pair:  # planted in soil, over drain stone under its cover too; roots meet each other
        return _SHARE if all(kind == "plant" or kind in STONES for kind in pair) else _APART
    if any(kind in FASTENERS for kind in pair) and any(kind == "timber" or kind in STONES for kind in pair):
        return _SHARE  # they stand within their timber; a stone bed is laid round a lower course that laps under it
    if all(kind in STONES for kind in pair):
        return _SHARE  # stone runs into stone, fabric wraps it
    if any(kind in STONES for kind in pair):
        other = pair[1] if first in STONES else first
        # pipes lie in stone; ties pass through it; the stone bed carries timber and steps; stone stands beside timber
        return _SHARE if other in PIPES or other in ("tie", "cross-piece") else _APART
    if all(kind in PIPES for kind in pair):
        return Rule(False, only_same_owner=True)
    if any(kind in PIPES for kind in pair) and any(kind in ("tie", "cross-piece") for kind in pair):
        return Rule(False, clear_m=MOST_CLEAR_M)
    return _APART
