"""How the ground is dug, and where soil may be spread: a part of the project."""

from __future__ import annotations

from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True)
class Spread:
    """Ground that may be raised with soil left over."""

    name: str
    outline_m: tuple[Point, ...]
    most_m: float
    """By how much at most."""


@dataclass(frozen=True)
class Digging:
    """Settings of the digging."""

    topsoil_m: float = 0.15
    """Depth of topsoil stripped and kept; 0 where there is none worth keeping."""
    work_room_m: float = 0.10
    """Trenches are dug this much wider than what lies in them, on every side. PRACTICE."""
    heap_slope: float = 1.0 / 1.5
    """Rise over run of the sides of a heap."""
    spread: tuple[Spread, ...] = ()
