"""The first run on a computer: formulas that are compiled for it once, so that nobody thinks the program hangs."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import as_file, files

from lynchet.core.compiled import not_ready

FIRST_RUN = (
    "the first run on this computer (or after an update) takes up to a minute longer: formulas are compiled for it, "
    "once"
)

_NOT_IN_A_PLAN = ("sun_grid_compiled.py",)
"""Compiled where a formula is asked for by itself: no plan has it compiled."""


def tell_first_run(note: Callable[[str], None]) -> None:
    """Say so where formulas are not compiled yet.

    Args:
        note: prints progress.
    """
    with as_file(files("lynchet")) as package:
        if any(source.name not in _NOT_IN_A_PLAN for source in not_ready(package)):
            note(FIRST_RUN)
