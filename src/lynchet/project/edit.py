"""Edit a project file by dotted key and keep its comments; files are replaced whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from lynchet.core.errors import Fault, InputError, NoRoomError
from lynchet.core.writable import is_there
from lynchet.project.csv_rows import read_text
from lynchet.project.keys_so_far import COUNTED
from lynchet.project.overlay import Edit, list_place


def edited_text(text: str, edits: Iterable[Edit]) -> str:
    """A TOML text with edits made; comments, order and blanks of all else stay.

    Args:
        text: the file's text, valid TOML.
        edits: dotted keys ("brief.terraces", "fixed.2.stem", list places from 1) and new values; None takes a key
            away. Missing tables are made; one past the end of a list of tables adds a table.

    Raises:
        InputError: an edit leads through a value that is no table, or to a list place that does not exist.
    """
    import tomlkit

    document = tomlkit.parse(text)
    for key, value in edits:
        _edit(document, key.split("."), value, key)
    return tomlkit.dumps(document)


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


def _edit(document: Any, parts: list[str], value: Any, key: str) -> None:
    holder = document
    for at, part in enumerate(parts[:-1]):
        holder = _into(holder, part, key, wants_list=parts[at + 1].isdigit())
    last = parts[-1]
    if isinstance(holder, list):
        place = list_place(holder, last, key)
        if value is None:
            if place < len(holder):
                del holder[place]
        elif place == len(holder):
            holder.append(_item(value))
        else:
            holder[place] = _item(value)
    elif isinstance(holder, dict):
        if value is None:
            holder.pop(last, None)
        else:
            _replace(holder, last, value)
    else:
        raise InputError(Fault(f'"{last}" lies under a plain value', "the key of a table", key))


def _replace(holder: Any, part: str, value: Any) -> None:
    """Set a key; the comment that stands behind the old value stays behind the new one."""
    item = _item(value)
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


def _on_one_line(rows: Iterable[dict[str, Any]]) -> Any:
    import tomlkit

    found = tomlkit.array()
    for row in rows:
        inline = tomlkit.inline_table()
        inline.update(row)
        found.append(inline)
    return found


def _into(holder: Any, part: str, key: str, wants_list: bool) -> Any:
    import tomlkit

    if isinstance(holder, list):
        place = list_place(holder, part, key)
        if place == len(holder):
            holder.append(tomlkit.table())
        return holder[place]
    if not isinstance(holder, dict):
        raise InputError(Fault(f'"{part}" lies under a plain value', "the key of a table", key))
    if part not in holder:
        holder[part] = tomlkit.aot() if wants_list else tomlkit.table()
    return holder[part]
