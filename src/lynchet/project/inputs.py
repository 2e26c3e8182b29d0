"""Files a project is read from: the job's file, the firm's under it, and every file either of them names."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lynchet.project.keys import Table
from lynchet.project.keys_build import FILE
from lynchet.project.load import Loaded


def inputs_of(loaded: Loaded) -> frozenset[Path]:
    """Every file a project is read from.

    Args:
        loaded: raw tables, checked already.
    """
    return frozenset((Path(loaded.sources[0].name), *(loaded.folder / name for name in _named(loaded.raw, FILE))))


def _named(raw: dict[str, Any], table: Table) -> Iterator[str]:
    """Texts under keys that name files."""
    for name, key in table.keys.items():
        value = raw.get(name)
        if key.kind == "file" and isinstance(value, str):
            yield value
        elif key.table is not None:
            rows = value if isinstance(value, list) else [] if value is None else [value]
            for row in rows:
                plain = row if isinstance(row, dict) else {key.table.short: row}
                yield from _named(plain, key.table)
