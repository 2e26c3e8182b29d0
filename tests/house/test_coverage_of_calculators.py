"""Every calculator is held by a published case, and by a law of its own or of the kernel it wraps."""

from __future__ import annotations

import ast
import inspect
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from house.source import modules
from lynchet.calculators.registry import Entry, entries, find
from lynchet.calculators.verify import read_cases, shipped

LAWS = Path(__file__).parents[1] / "laws"
ENTRIES = list(entries())

# Calculators without a law: reason. Take a name out when a law is written.
WITHOUT_LAW: dict[str, str] = {}
# Calculators whose array kernel is not named beside them in a law: reason.
KERNEL_APART = {
    "bearing_capacity": "its kernel is ultimate_of, called through a base; the laws of bearing compare the two",
}
_ARRAYS = re.compile(r"Numbers|Values|ArrayLike")
"""Annotations of kernels that work number by number over arrays."""


def _names(path: Path) -> frozenset[str]:
    """Names a file of tests uses, words in texts too (calculators found by name)."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Name):
            found.add(node.id)
        elif isinstance(node, ast.Attribute):
            found.add(node.attr)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            found.add(node.value)
    return frozenset(found)


@cache
def _law_names() -> dict[str, frozenset[str]]:
    """Of every file of laws."""
    return {path.stem: _names(path) for path in sorted(LAWS.glob("test_*.py"))}


@cache
def _cases(room: str) -> list[dict[str, Any]]:
    return read_cases(shipped() / f"{room}.toml")


def _kernels(entry: Entry) -> set[str]:
    """Array functions of formula modules of its room that the calculator's own body calls."""
    body = ast.walk(ast.parse(inspect.getsource(find(entry.name).function)))
    called = {node.id if isinstance(node, ast.Name) else node.attr for node in body
              if isinstance(node, ast.Name | ast.Attribute)}  # fmt: skip
    near = [other for other in (entry.module, *modules()[entry.module].imports) if f".{entry.room}." in other
            and not other.endswith((".kinds", ".values"))]  # fmt: skip
    return {node.name for other in near for node in modules()[other].tree.body
            if isinstance(node, ast.FunctionDef) and node.name in called and _over_arrays(node)}  # fmt: skip


def _over_arrays(node: ast.FunctionDef) -> bool:
    taken = " ".join(ast.unparse(arg.annotation) for arg in node.args.args if arg.annotation)
    given = ast.unparse(node.returns) if node.returns else ""
    return (
        not node.name.startswith("_") and bool(_ARRAYS.search(taken)) and given not in ("bool", "int", "float", "None")
    )


@pytest.mark.parametrize("entry", ENTRIES, ids=[entry.name for entry in ENTRIES])
def test_calculator_has_cases(entry):
    """At least one case with a result; what else must be refused stands in the laws."""
    cases = [case for case in _cases(entry.room) if case["calculator"] == entry.name]
    refused = [case for case in cases if "refused" in case or "refused" in case.get("expect", {})]
    assert len(cases) > len(refused)


def _held(entry: Entry) -> bool:
    return any(entry.name in names for names in _law_names().values())


def test_calculator_has_a_law():
    """Some law runs the calculator itself; exceptions are listed with their reason, and no longer than needed."""
    without = {entry.name for entry in ENTRIES if not _held(entry)}
    assert without == set(WITHOUT_LAW), sorted(without ^ set(WITHOUT_LAW))
    assert all(WITHOUT_LAW.values())


def test_kernels_meet_their_calculators():
    """Where a calculator wraps kernels that stages may call, some file of laws names the calculator and a kernel."""
    apart = {}
    for entry in ENTRIES:
        kernels = _kernels(entry)
        if kernels and not any(entry.name in names and kernels & names for names in _law_names().values()):
            apart[entry.name] = sorted(kernels)
    assert set(apart) == set(KERNEL_APART), apart
