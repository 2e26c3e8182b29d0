"""``lynchet new``: a commented project file to start from."""

from __future__ import annotations

import re
from pathlib import Path

from lynchet.core.errors import Fault, InputError
from lynchet.project.edit import replace_file
from lynchet.project.starter import starter_text
from lynchet.units.measures import System


def run(name: str, system: System) -> Path:
    """Write ``NAME.toml`` in the current folder.

    Raises:
        InputError: no usable name, or the file exists already.
        NoRoomError: it cannot be written.
    """
    stem = name.removesuffix(".toml")
    if not re.fullmatch(r"[\w .-]+", Path(stem).name) or not Path(stem).name.strip(" ."):
        raise InputError(Fault(f"{name!r} found", "a name of letters, digits, blanks, dots and dashes", "NAME"))
    target = Path(f"{stem}.toml")
    if target.exists():
        raise InputError(Fault("exists already; nothing was changed", "a new name", file=str(target)))
    replace_file(target, starter_text(Path(stem).name, system))
    return target
