"""Project files as raw tables: text, TOML, the firm's file under the job's, and the line of every key."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Any

from lynchet.core.errors import Fault, InputError
from lynchet.project.csv_rows import read_text
from lynchet.project.faults import Source, as_written
from lynchet.project.lines import KeyPath, Lines
from lynchet.project.overlay import lay_over
from lynchet.project.toml_words import toml_words
from lynchet.project.values import bare_word

OF_ONE_YARD = frozenset((
    "ground", "area", "site", "house", "path", "steps", "fixed", "lot_line", "wall_line", "load", "on_wall", "hole",
    "spring", "view", "soakaway", "scheme", "quote", "stands", "found", "moved",
))  # fmt: skip
"""Tables that mean nothing in a firm's file."""
_OFFERED = ("option", "allowance", "cost")
"""Lists of what a firm offers, and of its own costs."""
_FILES = (("firm", "logo"), ("prices", "file"), ("rain", "table"))
"""Keys of a firm's file that name files: they lie beside it."""


@dataclass(frozen=True)
class Loaded:
    """Raw tables of a project and where they stand."""

    raw: dict[str, Any]
    sources: tuple[Source, ...]
    folder: Path
    """Files named in the project lie here."""
    replaced: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Lists of the firm's offer in whose place the job has its own: the table, and the names left out."""


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
    own = raw.get("firm")
    firm = own if isinstance(own, str) else own.get("file") if isinstance(own, dict) else None
    if not isinstance(firm, str) or not firm.strip():
        return Loaded(raw, (source,), folder)
    try:
        under, firm_source = _tables(read_text(folder / firm, firm), firm)
    except InputError as error:
        line = source.lines.line(("firm",))
        missing = Fault(f'"{firm}": {error.faults[0].found}', "a firm's file beside this one", "firm", name, line)
        faults = error.faults if error.faults[0].line else (missing,)
        raise InputError(*faults) from None
    _fit_for_a_firm(raw, under, firm_source)
    over = {**raw, "firm": own if isinstance(own, dict) else {"file": firm}}
    below = {key: value for key, value in under.items() if key != "name"}
    replaced = tuple(_replaced(over, below))
    return Loaded(lay_over(_seen_from(firm, below), over), (source, firm_source), folder, replaced)


def _replaced(job: dict[str, Any], firm: dict[str, Any]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Lists of the offer that both files have: the job's is taken whole."""
    for table in _OFFERED:
        own, theirs = job.get(table), firm.get(table)
        if isinstance(own, list) and isinstance(theirs, list):
            names = [[str(row.get("name", "")) for row in rows if isinstance(row, dict)] for rows in (own, theirs)]
            left = tuple(name for name in names[1] if name and name not in names[0])
            if left:
                yield table, left


def _tables(text: str, name: str) -> tuple[dict[str, Any], Source]:
    try:
        raw = tomllib.loads(text)
    except RecursionError:
        raise _too_deep(text, name) from None
    except tomllib.TOMLDecodeError as error:
        hit = re.search(r"\(at line (\d+)", str(error))
        line = int(hit[1]) if hit else text.count("\n") + 1
        found, accepted = toml_words(str(error), text.split("\n")[line - 1 : line])
        raise InputError(Fault(found, accepted, file=name, line=line)) from None
    except ValueError:  # of all that it reads, the one thing it does not tell as its own error
        raise _too_long(text, name) from None
    if _deeper(raw):
        raise _too_deep(text, name)
    return raw, Source(name, Lines(text))


_DEEPEST = 30
"""Lists and tables within each other; a project has eight at most."""
_TOKENS = re.compile(
    r'"""(?:\\.|[^\\])*?"""|' + r"'''.*?'''" + r'|"(?:\\.|[^"\\\n])*"|' + r"'[^'\n]*'|#[^\n]*|[\[\]{}]", re.DOTALL
)


def _deeper(raw: dict[str, Any]) -> bool:
    """Whether lists and tables lie within each other deeper than any project needs; looked at level by level."""
    level: list[Any] = [raw]
    for _ in range(_DEEPEST):
        parts = [part.values() if isinstance(part, dict) else part for part in level]
        level = [part for row in parts for part in row if isinstance(part, dict | list)]
        if not level:
            return False
    return True


def _too_long(text: str, name: str) -> InputError:
    """A whole number of more digits than are ever read."""
    digits = max(re.finditer(r"[\d_]+", text), key=lambda run: len(run[0]))
    line = text.count("\n", 0, digits.start()) + 1
    return InputError(Fault(f"a number of {len(digits[0])} digits", "a number a tape can read", file=name, line=line))


def _too_deep(text: str, name: str) -> InputError:
    depth, at = 0, text.find("[")
    for token in _TOKENS.finditer(text):
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(token[0], 0)
        if depth > _DEEPEST:
            at = token.start()
            break
    found = f"lists or tables within each other, more than {_DEEPEST} deep"
    return InputError(Fault(found, "the tables of a project file", file=name, line=text.count("\n", 0, at) + 1))


def _fit_for_a_firm(job: dict[str, Any], firm: dict[str, Any], source: Source) -> None:
    """Plain numbers mean the same in both files; nothing of one yard stands in the firm's; it names no further one.

    Raises:
        InputError: all that does not fit, each on its line of the firm's file.
    """
    faults: list[tuple[str, str, KeyPath]] = []
    theirs = firm.get("units", job.get("units"))
    if bare_word(str(theirs)) != bare_word(str(job.get("units"))):
        accepted = f"the job's own units, {as_written(job.get('units'))}"
        faults.append((as_written(theirs), accepted, ("units",)))
    faults += [
        (f"[{key}] is of one yard only", "rates, stock, terms and the like; this belongs in the job's file", (key,))
        for key in firm
        if key in OF_ONE_YARD
    ]
    own = firm.get("firm")
    if isinstance(own, str) or (isinstance(own, dict) and "file" in own):
        key: KeyPath = ("firm",) if isinstance(own, str) else ("firm", "file")
        faults.append(("a firm's file under a firm's file", "[firm] with name, address, phone ...", key))
    if faults:
        lines = source.lines
        raise InputError(*(Fault(a, b, ".".join(map(str, key)), source.name, lines.line(key)) for a, b, key in faults))


def _seen_from(firm: str, tables: dict[str, Any]) -> dict[str, Any]:
    """The firm's tables with the files they name as seen from the job's folder."""
    beside = PurePath(firm).parent
    moved = dict(tables)
    for name, key in _FILES:
        table = moved.get(name)
        file = table.get(key) if isinstance(table, dict) else None
        if isinstance(table, dict) and isinstance(file, str) and file.strip() and beside != PurePath():
            moved[name] = {**table, key: (beside / file).as_posix()}
    return moved
