"""Walk a raw file along the declared keys: every value read, every fault kept, every default listed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from lynchet.core.errors import InputError
from lynchet.project.faults import Faults, as_written
from lynchet.project.keys import Key, Table
from lynchet.project.lines import KeyPath
from lynchet.project.values import leaf


@dataclass(frozen=True)
class Got:
    """A table as checked: values in SI; None for what was left out, or is wrong (then a fault was kept)."""

    path: KeyPath
    values: Mapping[str, Any]
    written: frozenset[str]
    """Keys that stand in the file."""

    def __getitem__(self, key: str) -> Any:
        return self.values[key]

    def at(self, *parts: str | int) -> KeyPath:
        """Path of a key beneath this table."""
        return (*self.path, *parts)

    def complete(self, *keys: str) -> bool:
        """Whether all these keys have a value that can be used."""
        return all(self.values.get(key) is not None for key in keys)


def check_table(raw: Any, table: Table, path: KeyPath, faults: Faults) -> Got:
    """Check one table.

    Args:
        raw: as tomllib gave it; a plain value stands for the table's ``short`` key.
        table: the declared keys.
        path: where the table stands.
        faults: keeps what is wrong and what was filled in.
    """
    if not isinstance(raw, dict):
        if table.short and raw is not None:
            raw = {table.short: raw}
        else:
            faults.add(path, f"{as_written(raw)} found", "a table of keys: " + ", ".join(table.keys))
            return Got(
                path, {name: () if key.kind == "tables" else None for name, key in table.keys.items()}, frozenset()
            )
    _unknown_keys(raw, table, path, faults)
    values = {name: _value(raw.get(name), key, (*path, name), faults) for name, key in table.keys.items()}
    return Got(path, values, frozenset(raw))


def _unknown_keys(raw: Mapping[str, Any], table: Table, path: KeyPath, faults: Faults) -> None:
    for name in raw:
        if name in table.keys:
            continue
        near = get_close_matches(name, list(table.keys), 1, 0.6)
        hint = f'did you mean "{near[0]}"?' if near else "one of " + ", ".join(table.keys)
        faults.add((*path, name), "no such key", hint)


def _value(raw: Any, key: Key, path: KeyPath, faults: Faults) -> Any:
    if key.kind == "table" and key.table is not None:
        return _one_table(raw, key, path, faults)
    if key.kind == "tables" and key.table is not None:
        return tuple(_many(raw, key, path, faults))
    if raw is None:
        return _left_out(key, path, faults)
    try:
        return leaf(key, raw, faults.system)
    except InputError as error:
        faults.take(path, error)
        return None


def _one_table(raw: Any, key: Key, path: KeyPath, faults: Faults) -> Got | None:
    assert key.table is not None
    if raw is None:
        if key.required:
            faults.add(path, "missing", key.about)
            return None
        if len(path) > 1:
            return None
        raw = {}
    return check_table(raw, key.table, path, faults)


def _many(raw: Any, key: Key, path: KeyPath, faults: Faults) -> Iterator[Got]:
    assert key.table is not None
    if raw is None:
        if key.required:
            faults.add(path, "missing", key.about)
        return
    one_plain = isinstance(raw, list) and key.table.short and raw and not isinstance(raw[0], list | dict)
    if isinstance(raw, dict) or (one_plain and key.table.keys[key.table.short].kind == "point"):
        raw = [raw]
        place: KeyPath = path
    elif isinstance(raw, list):
        place = ()
    elif key.table.short and isinstance(raw, int | float | str) and not isinstance(raw, bool):
        raw, place = [raw], path
    else:
        faults.add(path, f"{as_written(raw)} found", f"a list of tables: {key.about}")
        return
    if len(raw) < key.least:
        faults.add(path, f"{len(raw)} found", f"{key.least} or more: {key.about}")
    for number, part in enumerate(raw):
        yield check_table(part, key.table, place or (*path, number), faults)


def _left_out(key: Key, path: KeyPath, faults: Faults) -> Any:
    if key.required:
        faults.add(path, "missing", key.about)
        return None
    default = key.default_for(faults.system)
    if default is None or (faults.quiet and len(path) and path[0] == "scheme"):
        if key.rule:
            faults.default(path, key.rule_for(faults.system), key.origin)
        return None
    if key.origin and key.origin not in _SILENT:
        faults.default(path, _shown(default), key.origin)
    return leaf(key, default, faults.system)


_SILENT = {"not said", "not asked", "every wall"}
"""Origins of a default that only says "nothing was written": no value was assumed."""


def _shown(default: Any) -> str:
    if isinstance(default, bool):
        return "yes" if default else "no"
    return str(default)


def path_of_place(got: Got, place: tuple[float, float]) -> KeyPath | None:
    """The key that holds this place, as a point or as one of its points; None where none does."""
    for name, value in got.values.items():
        if isinstance(value, Got):
            rows: tuple[Got, ...] = (value,)
        else:
            rows = tuple(row for row in value if isinstance(row, Got)) if isinstance(value, tuple) else ()
            if isinstance(value, tuple) and (value == place or place in value):
                return got.at(name)
        found = next((path for row in rows if (path := path_of_place(row, place))), None)
        if found:
            return found
    return None
