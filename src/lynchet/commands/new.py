"""``lynchet new``: a commented project file, or a firm's own file, to start from."""

from __future__ import annotations

import re
from pathlib import Path

from lynchet.core.errors import Fault, InputError
from lynchet.project.edit import replace_file
from lynchet.project.starter import starter_text
from lynchet.project.starter_firm import firm_text
from lynchet.units.measures import System


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
    if not re.fullmatch(r"[\w .-]+", Path(stem).name) or not Path(stem).name.strip(" ."):
        raise InputError(Fault(f"{name!r} found", "a name of letters, digits, blanks, dots and dashes", "NAME"))
    target = Path(f"{stem}.toml")
    if target.exists():
        raise InputError(Fault("exists already; nothing was changed", "a new name", file=str(target)))
    plain = Path(stem).name
    replace_file(target, firm_text(plain, target.name, system) if firm else starter_text(plain, system))
    return target
