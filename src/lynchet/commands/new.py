"""``lynchet new``: a commented project file, or a firm's own file, to start from."""

from __future__ import annotations

from pathlib import Path

from lynchet.core.errors import Fault, InputError
from lynchet.core.writable import is_there
from lynchet.project.edit import replace_file
from lynchet.project.starter import starter_text
from lynchet.project.starter_firm import firm_text
from lynchet.units.measures import System

_NO_FILE = '<>:"/\\|?*'
"""Marks that some system refuses in the name of a file."""


def run(name: str, system: System, firm: bool = False) -> Path:
    """Write ``NAME.toml`` in the current folder.

    Args:
        name: of the yard, or of the firm.
        system: units of the file.
        firm: the file of a firm, which lies under those of its jobs.

    Raises:
        InputError: no usable name, or the file exists already.
        NoRoomError: it cannot be written.
    """
    stem = name.removesuffix(".toml")
    odd = next((mark for mark in Path(stem).name if mark in _NO_FILE or not mark.isprintable()), "")
    if odd or not Path(stem).name.strip(" ."):
        found = f'"{name}": {odd!r} cannot stand in the name of a file' if odd else f'"{name}" found'
        raise InputError(Fault(found, "letters, digits, blanks, and marks such as & ' , . - ( )", "NAME"))
    target = Path(f"{stem}.toml")
    if is_there(target):
        raise InputError(Fault("exists already; nothing was changed", "a new name", file=str(target)))
    plain = Path(stem).name
    replace_file(target, firm_text(plain, target.name, system) if firm else starter_text(plain, system))
    return target
