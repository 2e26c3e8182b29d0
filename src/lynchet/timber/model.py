"""Sticks to buy and how each is cut: what the timber stage gives."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Stick:
    """One bought stick and what is cut from it, in order."""

    stock_m: float
    pieces: tuple[str, ...]
    """Ids of pieces, ties ("{tie id}") and cross-pieces ("{tie id}/cross")."""
    lengths_m: tuple[float, ...]

    @property
    def left_m(self) -> float:
        """What is left over, saw cuts not taken off."""
        return self.stock_m - sum(self.lengths_m)


@dataclass(frozen=True)
class Timber:
    """What the timber stage gives."""

    sticks: tuple[Stick, ...]
    bought_m: float
    used_m: float
    method: str
    """How the cuts were found, in words."""
    least_sticks: int
    """No cutting can do with fewer of the longest stock."""
    price: float | None
    """None where a stock length has no price."""

    @property
    def count(self) -> int:
        """Number of sticks."""
        return len(self.sticks)
