"""Edits of a project in memory, by dotted key: what a cure or a scheme changes, before anything is checked."""

from __future__ import annotations

from collections.abc import Iterable
from copy import deepcopy
from typing import Any

from lynchet.core.errors import Fault, InputError

Edit = tuple[str, Any]
"""Dotted key ("brief.terraces", "fixed.2.stem"; list places from 1) and the new value; None takes the key away."""


def apply_edits(raw: dict[str, Any], edits: Iterable[Edit]) -> dict[str, Any]:
    """A copy of raw tables with the edits made; missing tables are made on the way.

    A list place one past the end adds a table there.

    Raises:
        InputError: an edit leads through a value that is no table, or to a list place that does not exist.
    """
    changed = deepcopy(raw)
    for key, value in edits:
        parts = key.split(".")
        holder: Any = changed
        for at, part in enumerate(parts[:-1]):
            holder = _into(holder, part, key, wants_list=parts[at + 1].isdigit())
        _set(holder, parts[-1], list(value) if isinstance(value, tuple) else value, key)
    return changed


def list_place(holder: list[Any], part: str, key: str) -> int:
    """Place from 0 of a part such as "2"; one past the end is allowed.

    Raises:
        InputError: no number, or beyond that.
    """
    if part.isdigit() and 1 <= int(part) <= len(holder) + 1:
        return int(part) - 1
    raise InputError(Fault(f'"{part}"', f"a number from 1 to {len(holder) + 1}", key))


def _into(holder: Any, part: str, key: str, wants_list: bool) -> Any:
    fresh: Any = [] if wants_list else {}
    if isinstance(holder, list):
        place = list_place(holder, part, key)
        if place == len(holder):
            holder.append(fresh)
        return holder[place]
    if not isinstance(holder, dict):
        raise InputError(Fault(f'"{part}" lies under a plain value', "the key of a table", key))
    return holder.setdefault(part, fresh)


def _set(holder: Any, part: str, value: Any, key: str) -> None:
    if isinstance(holder, list):
        place = list_place(holder, part, key)
        if value is None:
            del holder[place : place + 1]
        else:
            holder[place : place + 1] = [value]
    elif isinstance(holder, dict):
        if value is None:
            holder.pop(part, None)
        else:
            holder[part] = value
    else:
        raise InputError(Fault(f'"{part}" lies under a plain value', "the key of a table", key))


def lay_over(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    """Tables of one file over those of another: tables are merged key by key, anything else is replaced."""
    merged = deepcopy(under)
    for key, value in over.items():
        below = merged.get(key)
        both = isinstance(below, dict) and isinstance(value, dict)
        merged[key] = lay_over(below, value) if both and isinstance(below, dict) else deepcopy(value)
    return merged
