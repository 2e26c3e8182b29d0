"""The page of all keys of the project file, written from the schema: what each says, what it may hold."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from lynchet.project.schema import project_schema

_HEAD = """# Keys of the project file

Every key a project file may hold, by table; `lynchet new` writes the most used of them with remarks. Lengths may carry
their own unit (`6 ft 3 1/2 in`, `480 cm`). Written from the code by `python -m lynchet.project.keys_page docs/keys.md`.
"""


def keys_page() -> str:
    """The page."""
    return "\n".join([_HEAD, *_table("", project_schema())]).rstrip() + "\n"


def key_paths(node: Any = None, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every key of the file as a dotted path, with its part of the schema."""
    for name, inner in _properties(project_schema() if node is None else node):
        here = f"{path}.{name}".strip(".")
        yield here, inner
        yield from key_paths(inner, here)


def _properties(node: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    if not isinstance(node, dict):
        return
    yield from node.get("properties", {}).items()
    for other in (node.get("items"), *node.get("anyOf", ()), *node.get("oneOf", ())):
        yield from _properties(other)


def _table(path: str, node: dict[str, Any]) -> Iterator[str]:
    own = dict(_properties(node))
    if path:
        about = node.get("description", "")
        yield from (f"## `{path}`", "", *((str(about), "") if about else ()))
    yield from ("| key | what it says |", "|---|---|")
    for name, inner in own.items():
        text = str(inner.get("description", "")).replace("|", "\\|").replace("\n", " ")
        yield f"| `{name}` | {text or 'a table of its own, below'} |"
    yield ""
    for name, inner in own.items():
        if any(True for _ in _properties(inner)):
            yield from _table(f"{path}.{name}".strip("."), inner)


if __name__ == "__main__":
    import sys
    from pathlib import Path

    Path(sys.argv[1]).write_text(keys_page(), encoding="utf-8")
