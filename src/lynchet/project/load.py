"""Project files as raw tables: text, TOML, the firm's file under the job's, and the line of every key."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lynchet.core.errors import Fault, InputError
from lynchet.project.csv_rows import read_text
from lynchet.project.faults import Source, as_written
from lynchet.project.lines import Lines
from lynchet.project.overlay import lay_over


@dataclass(frozen=True)
class Loaded:
    """Raw tables of a project and where they stand."""

    raw: dict[str, Any]
    sources: tuple[Source, ...]
    folder: Path
    """Files named in the project lie here."""


def load(path: Path) -> Loaded:
    """Read a project file, and the firm's file it names.

    Raises:
        InputError: missing, not UTF-8, not TOML; with file and line.
    """
    return load_text(read_text(path, str(path)), str(path), path.parent)


def load_text(text: str, name: str, folder: Path) -> Loaded:
    """The same for a text that is not (yet) a file.

    Args:
        text: TOML.
        name: what errors call it.
        folder: where files it names are looked for.
    """
    raw, source = _tables(text, name)
    sources = [source]
    firm = raw.get("firm")
    if isinstance(firm, str) and firm.strip():
        try:
            under, firm_source = _tables(read_text(folder / firm, firm), firm)
        except InputError as error:
            line = source.lines.line(("firm",))
            missing = Fault(f'"{firm}": {error.faults[0].found}', "a firm's file beside this one", "firm", name, line)
            faults = error.faults if error.faults[0].line else (missing,)
            raise InputError(*faults) from None
        _same_units(raw, under, firm_source)
        raw = lay_over({key: value for key, value in under.items() if key != "name"}, raw)
        sources.append(firm_source)
    return Loaded(raw, tuple(sources), folder)


def _tables(text: str, name: str) -> tuple[dict[str, Any], Source]:
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        hit = re.search(r"\(at line (\d+)", str(error))
        line = int(hit[1]) if hit else text.count("\n") + 1
        words = re.sub(r" \(at .*\)$", "", str(error))
        accepted = 'TOML: key = value, texts in "quotes", [table], lists in [ ]'
        raise InputError(Fault(f"it cannot be read: {words}", accepted, file=name, line=line)) from None
    return raw, Source(name, Lines(text))


def _same_units(job: dict[str, Any], firm: dict[str, Any], source: Source) -> None:
    """Plain numbers must mean the same in both files."""
    theirs = firm.get("units", job.get("units"))
    if theirs != job.get("units"):
        line = source.lines.line(("units",))
        accepted = f"the job's own units, {as_written(job.get('units'))}"
        raise InputError(Fault(as_written(theirs), accepted, "units", source.name, line))
