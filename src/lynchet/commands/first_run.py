"""The first run on a computer: formulas that are compiled for it once, so that nobody thinks the program hangs."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import as_file, files

from lynchet.core.compiled import not_ready

FIRST_RUN = (
    "the first run on this computer (or after an update) takes up to a minute longer: formulas are compiled for it, "
    "once"
)

SIGNS = ("stability/slip_compiled.py", "drawings/labels_compiled.py")
"""What every plan with a wall has compiled, and every drawing. By them alone: what one yard never asks for, the sun of
a place unknown, would make each of its runs a first one."""


def tell_first_run(note: Callable[[str], None], *, drawn: bool = False) -> None:
    """Say so where formulas are not compiled yet.

    Args:
        note: prints progress.
        drawn: what is planned is drawn too.
    """
    with as_file(files("lynchet")) as package:
        if package / SIGNS[drawn] in not_ready(package):
            note(FIRST_RUN)
