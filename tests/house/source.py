"""The package's source as the house tests read it: modules, their imports (type-only ones too), their functions."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

SOURCE = Path(__file__).parents[2] / "src" / "lynchet"


@dataclass(frozen=True)
class Module:
    """One file of the package."""

    name: str
    path: Path
    lines: int
    imports: frozenset[str]
    """Modules of this package it imports anywhere, inside functions and type-only blocks included."""
    top_imports: frozenset[str]
    """First names of every other package it imports."""
    tree: ast.Module

    @property
    def room(self) -> str:
        """First folder under the package, or empty at the top."""
        parts = self.name.split(".")
        return parts[1] if len(parts) > 1 else ""


@cache
def modules() -> dict[str, Module]:
    """Every module of the package by dotted name."""
    paths = {_dotted(path): path for path in SOURCE.rglob("*.py")}
    return {name: _read(name, path, set(paths)) for name, path in sorted(paths.items())}


def _dotted(path: Path) -> str:
    parts = ("lynchet", *path.relative_to(SOURCE).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _read(name: str, path: Path, known: set[str]) -> Module:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    targets = [target for node in ast.walk(tree) for target in _targets(node)]
    other = {target.split(".")[0] for target in targets if target.split(".")[0] != "lynchet"}
    return Module(name, path, text.count("\n"), _imported(targets, known) - {name}, frozenset(other), tree)


def imported(text: str, known: set[str]) -> frozenset[str]:
    """Modules of this package that a text imports anywhere; `known` holds their names."""
    return _imported([target for node in ast.walk(ast.parse(text)) for target in _targets(node)], known)


def _imported(targets: list[str], known: set[str]) -> frozenset[str]:
    found = set()
    for target in targets:
        if target.split(".")[0] == "lynchet":
            while target and target not in known:
                target = target.rpartition(".")[0]
            found.add(target)
    return frozenset(found - {""})


def _targets(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        assert node.level == 0, "imports are written in full"
        return [f"{node.module}.{alias.name}" for alias in node.names]
    return []
