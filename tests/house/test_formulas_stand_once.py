"""No formula stands in two places: expressions of the same shape with the same numbers in them, names left aside."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterator

from house.source import modules

ROOMS = ("ground", "water", "stability", "earth", "timber", "planting", "works")
PLAIN = {0.0, 0.5, 1.0, 2.0, 60.0, 100.0, 1000.0, 3600.0}
"""Numbers that stand in every kind of arithmetic or only change a unit; a formula is known by others: 3, 9.81, 384."""
SLACK = 1e-5
"""Smaller numbers are slacks."""
LEAST = 3
"""Operations and calls that make a formula."""
WRITTEN = {"Step", "deny", "refuse", "refuse_if"}
SAME = {"maximum": "max", "minimum": "min", "square": "square"}


def _shape(node: ast.expr, names: dict[str, int]) -> str:
    """The expression with its names numbered in the order they come."""
    if isinstance(node, ast.Constant):
        return repr(float(node.value)) if isinstance(node.value, int | float) else "text"
    if isinstance(node, ast.BinOp):
        return f"({_shape(node.left, names)} {type(node.op).__name__} {_shape(node.right, names)})"
    if isinstance(node, ast.UnaryOp):
        return f"{type(node.op).__name__}({_shape(node.operand, names)})"
    if isinstance(node, ast.Call) and node.args:
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func)
        if name in ("float", "asarray"):
            return _shape(node.args[0], names)
        return f"{SAME.get(name, name)}({', '.join(_shape(part, names) for part in node.args)})"
    return f"v{names.setdefault(_plain(node), len(names))}"


def _plain(node: ast.expr) -> str:
    """The expression as it is written; plain names without the help of the parser, which is slow."""
    if isinstance(node, ast.Name):
        return node.id
    return f"{_plain(node.value)}.{node.attr}" if isinstance(node, ast.Attribute) else ast.unparse(node)


def _is_formula(shape: str) -> bool:
    """A shape of some operations with a number of its own; one of a single name has two such numbers."""
    numbers = {float(text) for text in re.findall(r"(?<![\w.])\d[\d.e+-]*", shape)}
    operations = len(re.findall(r"\b(?:Add|Sub|Mult|Div|Pow)\b|\w\(", shape))
    own = sum(n > SLACK for n in numbers - PLAIN)
    return (operations >= LEAST and own > 0) if "v1" in shape else ("v0" in shape and operations >= 2 and own >= 2)


def _formulas(node: ast.AST, function: str) -> Iterator[tuple[str, ast.BinOp]]:
    """Expressions with a number of their own, each with the function it stands in; no texts and refusals."""
    if isinstance(node, ast.FunctionDef):
        function = node.name
    if isinstance(node, ast.JoinedStr | ast.Raise):
        return
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in WRITTEN:
        return
    if isinstance(node, ast.BinOp) and _is_formula(_shape(node, {})):
        yield function, node
    for child in ast.iter_child_nodes(node):
        yield from _formulas(child, function)


def doubles() -> dict[str, list[str]]:
    """Formulas that stand in more than one function, by the places they stand in."""
    found: dict[str, dict[str, str]] = defaultdict(dict)
    for module in modules().values():
        if module.room in ROOMS:
            for function, node in _formulas(module.tree, ""):
                found[_shape(node, {})][f"{module.name}.{function}"] = ast.unparse(node)
    return {shape: [f"{place}: {text}" for place, text in places.items()]
            for shape, places in found.items() if len(places) > 1}  # fmt: skip


ALLOWED = {
    "(((v0 Add v1) Add v2) Div 3.0)": "the mean of three",
}
"""Shapes that are alike by chance, with what they are."""


def test_no_formula_stands_twice():
    """A formula with numbers of its own is written in one function; stages and calculators both call it."""
    twice = {shape: places for shape, places in doubles().items() if shape not in ALLOWED}
    assert twice == {}, "\n".join(f"{shape}\n  " + "\n  ".join(places) for shape, places in twice.items())


def test_the_search_finds_a_planted_double():
    """Two functions that compute a cone's volume under other names are seen as one formula."""
    one = ast.parse("def a(h, t):\n    return pi * h**3 / (3.0 * t**2)\n")
    other = ast.parse("def b(x, s):\n    return np.asarray(pi * x.high ** 3 / (3 * s ** 2)) + 1.0\n")
    shapes = [{_shape(node, {}) for _, node in _formulas(tree, "")} for tree in (one, other)]
    assert shapes[0] & shapes[1]
