"""Which placed things may share a place, and how far others keep apart. Any pair not named here may not meet."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.core.quick import quick

PIPES = frozenset({"drain pipe", "solid pipe", "fitting", "roof pipe", "cut-off", "outlet"})
STONES = frozenset({"stone", "fabric", "stone bed", "cut-off stone"})
TIMBERS = frozenset({"timber", "tie", "cross-piece", "step"})
FASTENERS = frozenset({"screw", "corner pin", "tie screw"})


@quick
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
_ANCHORS = frozenset({"tie", "cross-piece"})
_PLANTED = STONES | {"plant"}
_APART = Rule(False)
_SHARE = Rule(True)

# Sources: PRACTICE throughout; the clearances are those of the drains and the ties.
_RULES: dict[frozenset[str], Rule] = {
    frozenset({"pin", "timber"}): _SHARE,  # driven through it
    frozenset({"weep hole", "timber"}): _SHARE,  # bored through it
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
    pair = frozenset({first, second})
    known = _RULES.get(pair)
    if known is not None:
        return known
    if "plant" in pair:  # planted in soil, over drain stone under its cover too; roots meet each other
        return _SHARE if pair <= _PLANTED else _APART
    if pair & FASTENERS and ("timber" in pair or pair & STONES):
        return _SHARE  # they stand within their timber; a stone bed is laid round a lower course that laps under it
    if pair <= STONES:
        return _SHARE  # stone runs into stone, fabric wraps it
    if pair & STONES:
        # pipes lie in stone; ties pass through it; the stone bed carries timber and steps; stone stands beside timber
        return _SHARE if pair & (PIPES | _ANCHORS | {"weep hole"}) else _APART
    if pair <= PIPES:
        return Rule(False, only_same_owner=True)
    if pair & PIPES and pair & _ANCHORS:
        return Rule(False, clear_m=MOST_CLEAR_M)
    return _APART
