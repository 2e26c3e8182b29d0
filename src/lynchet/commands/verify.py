"""``lynchet verify``: run published cases and say whether the calculators agree."""

from __future__ import annotations

import json
from collections.abc import Callable
from difflib import get_close_matches
from pathlib import Path

from lynchet.calculators.case_text import case_data, case_line, counts, summary_line
from lynchet.calculators.verify import Checked, case_files, read_cases, shipped, verify
from lynchet.core.errors import Fault, InputError, UnknownNameError


def run(places: list[Path], room: str, as_json: bool, say: Callable[[str], None]) -> int:
    """Run the cases and say the lines as they come.

    Args:
        places: files and folders; none for the cases that ship with the package.
        room: only this room's cases; empty for all.
        as_json: one JSON text at the end instead of lines.
        say: prints one text.

    Returns:
        Exit status: 0 when no case failed and none is missing, else 1.

    Raises:
        InputError: a place cannot be read, or holds no case of the room.
    """
    found = case_files(places or [shipped()])
    rooms = {file: file.parent.name if file.stem == "public" else file.stem for file in found}
    empty = [file for file in found if file in places and not read_cases(file)]
    if empty:
        raise InputError(*(Fault("no case in this file", "[[case]] entries", file=str(file)) for file in empty))
    if room:
        known = sorted(set(rooms.values()))
        if room not in known:
            near = get_close_matches(room, known, n=1)
            accepted = f"did you mean {near[0]}?" if near else "one of: " + ", ".join(known)
            raise UnknownNameError(Fault(f"no cases of a room called {room!r} here", accepted, "room"))
        found = [file for file in found if rooms[file] == room]
    done: list[Checked] = []
    for checked in verify(found):
        done.append(checked)
        if not as_json:
            say(case_line(checked))
    if not done:
        raise InputError(Fault("no case here", "TOML files with [[case]] entries", file=str(found[0].parent)))
    outcomes = counts(done)
    if as_json:
        data = {"cases": [case_data(checked) for checked in done], "summary": dict(outcomes)}
        say(json.dumps(data, ensure_ascii=False, indent=2, default=str))
    else:
        say(summary_line(outcomes))
    return 0 if outcomes["failed"] == outcomes["missing"] == 0 else 1
