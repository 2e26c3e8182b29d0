"""Edit a project file by dotted key and keep its comments; files are replaced whole or not at all."""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from lynchet.core.errors import Fault, InputError, NoRoomError
from lynchet.core.writable import is_there
from lynchet.project.csv_rows import read_text
from lynchet.project.keys_so_far import COUNTED
from lynchet.project.overlay import Edit, apply_edits, list_place


def edited_text(text: str, edits: Iterable[Edit]) -> str:
    """A TOML text with edits made; comments, order and blanks of all else stay.

    Args:
        text: the file's text, valid TOML.
        edits: dotted keys ("brief.terraces", "fixed.2.stem", list places from 1) and new values; None takes a key
            away. Missing tables are made; one past the end of a list of tables adds a table.

    Raises:
        InputError: an edit leads through a value that is no table, or to a list place that does not exist; or the
            tables of the text are written so that nothing can be added to them.
    """
    edits = tuple(edits)
    for inline in (False, True):  # a list of tables of its own would swallow all keys written with dots after it
        found = _edited(text, edits, inline)
        if _reads_as(found, text, edits):
            return found
    keys = ", ".join(dict.fromkeys(key for key, _ in edits))
    raise InputError(Fault("the file's tables are written so that no program can add to them", "written by hand", keys))


def _edited(text: str, edits: Iterable[Edit], inline: bool) -> str:
    """The text with edits made; what is new on one line, or as tables of its own."""
    import tomlkit

    document = tomlkit.parse(text)
    for key, value in edits:
        _edit(document, key, value, inline)
    return tomlkit.dumps(document)


def _reads_as(found: str, text: str, edits: Iterable[Edit]) -> bool:
    """Whether a text holds what it held before and the edits, and nothing else."""
    try:
        return bool(_filled(tomllib.loads(found)) == _filled(apply_edits(tomllib.loads(text), edits)))
    except tomllib.TOMLDecodeError:
        return False


def _filled(value: Any) -> Any:
    """A value without tables and lists that hold nothing."""
    if isinstance(value, dict):
        parts = {key: _filled(part) for key, part in value.items()}
        return {key: part for key, part in parts.items() if part not in ({}, [])}
    return [_filled(part) for part in value] if isinstance(value, list | tuple) else value


def edit_file(path: str | Path, edits: Iterable[Edit]) -> None:
    """Edit a project file in place.

    Raises:
        InputError: as ``edited_text``; or the file cannot be read.
        NoRoomError: the file cannot be written; it is as it was.
    """
    target = Path(path)
    text = edited_text(read_text(target, str(path)), edits)
    replace_file(target, text, "\r\n" if b"\r\n" in target.read_bytes() else "\n")


def refuse_to_overwrite(target: Path | None, key: str) -> None:
    """Say before anything is worked out that a file which is asked for is there already.

    Args:
        target: the file; None where none is asked for.
        key: the option that names it.

    Raises:
        InputError: it is there.
    """
    if target is not None and is_there(target):
        raise InputError(Fault("exists already; nothing was changed", "a new name", f"{key} {target}"))


def replace_file(target: Path, content: str | bytes, ends: str = "\n") -> None:
    """Write a file whole: beside it first, then put in its place; where it is a link, what it leads to is written.

    Args:
        target: the file.
        content: a text, lines parted by "\\n", or bytes.
        ends: what parts lines in the file.

    Raises:
        NoRoomError: it cannot be written; whatever stood there stands as it was.
    """
    handle, beside = -1, ""
    data = content if isinstance(content, bytes) else content.replace("\n", ends).encode("utf-8")
    try:
        target = target.resolve() if target.is_symlink() else target
        handle, beside = tempfile.mkstemp(dir=target.parent or Path(), prefix=f".{target.name}.")
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        mode = target.stat().st_mode & 0o777 if target.exists() else 0o644
        Path(beside).chmod(mode)
        Path(beside).replace(target)
    except OSError as error:
        if beside:
            Path(beside).unlink(missing_ok=True)
        raise NoRoomError(f"{target} cannot be written: {error.strerror}; nothing was changed") from None


def _edit(document: Any, key: str, value: Any, inline: bool) -> None:
    holder, parts, item = document, key.split("."), _on_one_line if inline else _item
    for at, part in enumerate(parts[:-1]):
        wanted = "list" if parts[at + 1].isdigit() else "table"
        holder = _into(holder, part, key, f"inline {wanted}" if inline else wanted)
    last = parts[-1]
    if isinstance(holder, list):
        place = list_place(holder, last, key)
        if value is None:
            if place < len(holder):
                del holder[place]
        elif place == len(holder):
            holder.append(item(value))
        else:
            holder[place] = item(value)
    elif isinstance(holder, dict):
        if value is None:
            holder.pop(last, None)
        else:
            _replace(holder, last, item(value))
    else:
        raise InputError(Fault(f'"{last}" lies under a plain value', "the key of a table", key))


def _replace(holder: Any, part: str, item: Any) -> None:
    """Set a key; the comment that stands behind the old value stays behind the new one."""
    old = holder.get(part)
    if old is not None and hasattr(old, "trivia") and hasattr(item, "trivia"):
        item.trivia.comment, item.trivia.comment_ws = old.trivia.comment, old.trivia.comment_ws
        item.trivia.trail = old.trivia.trail
    holder[part] = item


def _item(value: Any) -> Any:
    import tomlkit

    stands = isinstance(value, dict) and "cuts" in value
    if stands and value.get("notches"):  # on one line, as a person would add one
        value = {**value, "notches": _on_one_line(value["notches"])}
    item = tomlkit.item(list(value) if isinstance(value, tuple) else value)
    if stands:  # what its distances are counted from
        about = next((key for key in ("line", "course") if key in value), "cuts")
        item[about].comment(COUNTED)
    return item


def _on_one_line(value: Any) -> Any:
    """A value whose tables and lists stand on one line."""
    import tomlkit

    found: Any
    if isinstance(value, dict):
        found = tomlkit.inline_table()
        found.update({key: _on_one_line(part) for key, part in value.items()})
    elif isinstance(value, list | tuple):
        found = tomlkit.array()
        found.extend(_on_one_line(part) for part in value)
    else:
        found = tomlkit.item(value)
    return found


def _into(holder: Any, part: str, key: str, wanted: str) -> Any:
    """What a key holds; made where it is missing: a "list" or a "table", as its own or "inline"."""
    import tomlkit
    from tomlkit.items import AoT

    if isinstance(holder, list):
        place = list_place(holder, part, key)
        if place == len(holder):
            holder.append(tomlkit.table() if isinstance(holder, AoT) else tomlkit.inline_table())
        return holder[place]
    if not isinstance(holder, dict):
        raise InputError(Fault(f'"{part}" lies under a plain value', "the key of a table", key))
    if part not in holder:
        made: dict[str, Callable[[], Any]] = {
            "list": tomlkit.aot, "table": tomlkit.table, "inline list": tomlkit.array,
            "inline table": tomlkit.inline_table,
        }  # fmt: skip
        holder[part] = made[wanted]()
    return holder[part]
