"""Find a calculator by name without importing the rooms: the generated index says where each lives."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from importlib import import_module
from importlib.resources import files

from lynchet.core.calculator import Declaration
from lynchet.core.errors import Fault, UnknownNameError


@dataclass(frozen=True)
class Entry:
    """One line of the index."""

    name: str
    room: str
    module: str
    line: str
    """What it computes, in one line."""


def entries() -> Iterator[Entry]:
    """Every calculator, sorted by room and name."""
    text = files("lynchet.calculators").joinpath("index.txt").read_text(encoding="utf-8")
    for row in text.splitlines():
        if row and not row.startswith("#"):
            yield Entry(*row.split("\t"))


def names() -> list[str]:
    """All names."""
    return [entry.name for entry in entries()]


def find(name: str) -> Declaration:
    """The declaration of a calculator.

    Raises:
        UnknownNameError: no calculator has this name; the nearest is offered.
    """
    for entry in entries():
        if entry.name == name:
            function = getattr(import_module(entry.module), name)
            declared: Declaration = function.__calculator__
            return declared
    near = get_close_matches(name, names(), n=3)
    offer = "did you mean " + " or ".join(near) + "?" if near else "see `lynchet calc` for the list"
    raise UnknownNameError(Fault(f"no calculator is called {name!r}", offer, "calculator"))
