"""Standpoints from which the finished garden is drawn as one would see it."""

from __future__ import annotations

from dataclasses import dataclass

Point = tuple[float, float]
EYE_M = 1.6
"""Height of the eyes of a person who stands. PRACTICE."""


@dataclass(frozen=True)
class EyeView:
    """One standpoint."""

    name: str
    point_m: Point
    eye_m: float = EYE_M
    """Height of the eye over the ground there."""
    toward_m: Point | None = None
    """A place looked at; None: the middle of the area."""
