"""Every plan place of a project moved at once: the tape's correction, then the own frame."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from lynchet.core.plane import Point

T = TypeVar("T")
PLACES = frozenset(
    {"outline_m", "line_m", "point_m", "downspouts_m", "outlets_m", "truck_stop_m", "heap_m", "gate_at_m", "toward_m",
     "drawn_m"}
)  # fmt: skip
"""Fields that hold a plan place or several."""


def moved(value: T, mapping: Callable[[Point], Point]) -> T:
    """A copy of a frozen value with every plan place in it mapped; what holds none is returned as it is."""
    if isinstance(value, tuple):
        parts = tuple(moved(part, mapping) for part in value)
        same = all(a is b for a, b in zip(parts, value, strict=True))
        return value if same else parts  # type: ignore[return-value]
    if not is_dataclass(value) or isinstance(value, type):
        return value
    changes: dict[str, Any] = {}
    for field in fields(value):
        before = getattr(value, field.name)
        after = _places(before, mapping) if field.name in PLACES else moved(before, mapping)
        if after is not before:
            changes[field.name] = after
    return replace(value, **changes) if changes else value


def places_of(value: Any) -> list[Point]:
    """Every plan place in a frozen value."""
    found: list[Point] = []

    def keep(point: Point) -> Point:
        found.append(point)
        return point

    moved(value, keep)
    return found


def _places(value: Any, mapping: Callable[[Point], Point]) -> Any:
    if value is None or value == ():
        return value
    return mapping(value) if isinstance(value[0], float) else tuple(mapping(point) for point in value)
