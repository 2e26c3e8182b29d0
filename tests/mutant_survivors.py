"""Planted errors that no test can notice, each with its reason: ``mutant_survivors.toml``, read and checked.

They stay in the draw and count against the share of all errors; only the second share leaves them out. An error that
can change a number which somebody is shown is no entry, however rare: there a law is missing.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Protocol

LIST = Path(__file__).with_name("mutant_survivors.toml")
KINDS = {
    "same": "the results are the same, for the reason given",
    "search": "how a search walks changes; what it ends at is proven or held by the law named",
    "below": "the effect lies under the last digit shown, by the size given",
}


@dataclass(frozen=True)
class Survivor:
    """One planted error: where, what stands there, and what comes in its place."""

    module: str
    function: str
    before: str
    after: str
    kind: str
    reason: str
    law: str = ""
    """The file of the test that holds what a search ends at, or the size of an effect."""
    within: str = ""
    """Part of the statement it stands in, where the function has more of the same."""
    places: int = 1
    """How many places of that statement read the same, each with the same reason."""

    def is_of(self, error: Error) -> bool:
        """Whether it tells this error."""
        there = (error.module, error.function, error.before, error.after)
        return there == (self.module, self.function, self.before, self.after) and self.within in error.statement


class Error(Protocol):
    """What is known of a planted error."""

    @property
    def module(self) -> str: ...
    @property
    def function(self) -> str: ...
    @property
    def before(self) -> str: ...
    @property
    def after(self) -> str: ...
    @property
    def statement(self) -> str: ...


@cache
def survivors() -> tuple[Survivor, ...]:
    """All entries."""
    return tuple(Survivor(**entry) for entry in tomllib.loads(LIST.read_text(encoding="utf-8"))["survivor"])


def listed(error: Error) -> Survivor | None:
    """The entry of an error; none where somebody could be shown another number."""
    return next((entry for entry in survivors() if entry.is_of(error)), None)
