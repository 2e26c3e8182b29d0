"""Rows of a list that come in kinds, each kind with keys of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lynchet.core.calculator import refuse
from lynchet.units.endings import in_words


def refuse_other_keys(rows: Sequence[Any], key: str, needed: Mapping[str, Sequence[str]], by: str = "kind") -> None:
    """Refuse a row that lacks a key of its kind, or holds a key of another kind.

    Args:
        rows: row dataclasses, each with the field ``by``; keys left out are None.
        key: key of the list, for the error.
        needed: keys of every kind, all required there.
        by: field that tells the kind.

    Raises:
        InputError: naming row, key and kind.
    """
    every = {name for names in needed.values() for name in names}
    for place, row in enumerate(rows):
        kind = getattr(row, by)
        for name in needed[kind]:
            if getattr(row, name) is None:
                raise refuse(f"{key}[{place}].{name} ({in_words(name)})", "missing", f"required where {by} is {kind}")
        for name in sorted(every - set(needed[kind])):
            if getattr(row, name) is not None:
                accepted = f"where {by} is {kind}: " + ", ".join(needed[kind])
                raise refuse(f"{key}[{place}].{name} ({in_words(name)})", "unknown key", accepted)
