"""How a key of the project file is declared: what it holds, its range, its default and where that comes from.

One declaration serves checking, the list of defaults and the published schema.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from lynchet.units.measures import System


@dataclass(frozen=True)
class Key:
    """One key of a table."""

    kind: str
    """A measure of ``units.measures``, or "slope", "fraction", "fall", "section", "text", "file", "word", "flag",
    "whole", "number", "point", "points", "texts", "table", "tables", "places", "prices", "date", "dates", "levels"."""
    about: str
    required: bool = False
    low: float | None = None
    """Least value in SI; a value equal to it is accepted unless ``above``."""
    high: float | None = None
    above: bool = False
    default: Any = None
    """As it might be written; read like a written value, and listed."""
    default_us: Any = None
    """The same for a US file where it is not the metric one."""
    origin: str = ""
    """Where the default comes from."""
    rule: str = ""
    """Said instead of a value where the default is chosen later by a rule."""
    rule_us: str = ""
    """The same for a US file where it is told otherwise."""
    words: tuple[str, ...] = ()
    said: str = ""
    """What an error says is accepted, where the words or the range say too little."""
    table: Table | None = None
    least: int = 1
    """Fewest members of a list."""
    most_bare_ft: float | None = None
    """A plain number of a US file over this is asked back: it was most likely meant in inches. None for no limit."""

    def default_for(self, system: System) -> Any:
        """The default as it might be written in a file of this system; None for none."""
        return self.default_us if system == "us" and self.default_us is not None else self.default

    def rule_for(self, system: System) -> str:
        """What is said of the rule in a file of this system; empty for none."""
        return self.rule_us if system == "us" and self.rule_us else self.rule


@dataclass(frozen=True)
class Table:
    """The keys of one table of the file."""

    keys: dict[str, Key]
    short: str = ""
    """The key that a plain value in place of the table stands for."""


def table(about: str, keys: dict[str, Key], short: str = "") -> Key:
    """A key that holds one table."""
    return Key("table", about, table=Table(keys, short))


def tables(about: str, keys: dict[str, Key], short: str = "", least: int = 0) -> Key:
    """A key that holds a list of tables."""
    return Key("tables", about, table=Table(keys, short), least=least)


def word(about: str, *words: str, default: str | None = None, origin: str = "", said: str = "") -> Key:
    """A key that takes one of a few words."""
    return Key("word", about, words=words, default=default, origin=origin, said=said)


def need(key: Key) -> Key:
    """The same key, required."""
    from dataclasses import replace

    return replace(key, required=True)
