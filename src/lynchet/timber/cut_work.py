"""How long a cutting is looked for, counted in work done and not in time: the same sticks on every machine."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Work:
    """What one search may cost at most."""

    entries: int
    """Nodes looked at times entries of the matrix, of one search for whole sticks."""

    def part(self, share: float) -> Work:
        """A share of it."""
        return Work(int(share * self.entries))

    def nodes(self, entries: int) -> int:
        """Nodes of a search whose matrix has so many entries, its first included."""
        return max(1, self.entries // max(1, entries))

    def rounds(self, lengths: int) -> int:
        """Rounds of pricing patterns of so many lengths: each costs about as much as a node for every length."""
        return max(_LEAST_ROUNDS, self.entries // (_ROUND_ENTRIES * max(1, lengths)))

    @property
    def arcs(self) -> int:
        """Steps along a stick in a flow of cuts; with more it is not looked at."""
        return self.entries // _ARC_NODES


_LEAST_ROUNDS = 20
_ROUND_ENTRIES = 48
_ARC_NODES = 200
"""Nodes a flow is worth starting for."""
