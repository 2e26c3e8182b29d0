"""Words of the engineer's folder, kept apart from the code. English only."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def _table() -> dict[str, Any]:
    source = files("lynchet.book").joinpath("data", "engineer_en.toml")
    return tomllib.loads(source.read_text(encoding="utf-8"))


def said(name: str, **values: object) -> str:
    """A text by its dotted name, with its blanks filled.

    Raises:
        KeyError: no such text, or a blank without a value.
    """
    room, _, key = name.partition(".")
    return str(_table()[room][key]).format(**values)


def heads(name: str) -> tuple[str, ...]:
    """The heads of a table by its dotted name."""
    room, _, key = name.partition(".")
    return tuple(str(one) for one in _table()[room][key])
