"""One-line errors that can be planted in the kernels: where they may stand and what each puts in its place.

Left out, because no formula stands there: docstrings and texts, workings (they print numbers), ranges in types and
refusals (the published cases hold those), declarations and defaults of keys (the pages' test compares them), numbers in
brackets behind a name, fallbacks behind ``or``, fillers of ``where``, and where and how long a search looks (starts,
rounds, samples, grids, chunks, numbers under a hundred thousandth); and what ``mutant_steering`` lists, place by place,
each with its reason.
"""

from __future__ import annotations

import ast
import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from mutant_steering import puts_back, steered

SMALLEST = 1e-5
_OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult,
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
_TURNED = {ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE}
_CALLS = {"sin": "cos", "cos": "sin", "tan": "sin", "min": "max", "max": "min", "minimum": "maximum",
          "maximum": "minimum", "floor": "ceil", "ceil": "floor", "sqrt": "abs", "arctan": "arcsin", "any": "all",
          "all": "any", "log": "exp", "exp": "log", "radians": "degrees", "degrees": "radians", "argmin": "argmax",
          "argmax": "argmin", "cumsum": "asarray", "hypot": "subtract"}  # fmt: skip
_SLACK = re.compile(r"SLACK|TOLERANCE|EPS|SETTLED|_NOTHING|_CLOSED|\b1e-\d")
"""A comparison with some slack has no edge that could be moved by an equals sign."""
_SLACK_FACTOR = re.compile(
    r".* [+-] _?(SLACK|TOUCH|NEAR|SAME)\w*( \* \w+)?|.* [*/+-] \(?(1(\.0)? [+-] )?1e-\d+\)?|1(\.0)? [+-] 1e-\d+"
)
"""Nor does a factor of one and a trillionth, or a trillionth more, tell from its opposite."""
_EFFORT = re.compile(
    r"_?(SAMPLES|GRID|HALVINGS|ROUNDS|CHUNK|MOST|WORTH|LEVELS|GROW|SHRINK|STARTS|FULL|LIVE|SETTLED|STATES|NODES|WIDTH)"
)
"""Names of constants that say how long a search looks."""
_REFUSING = re.compile(r"_?(refuse|deny)|_check|_?starts")
"""Functions that only refuse, or only say where a search starts."""
_REFUSALS = {"refuse", "refuse_if", "deny", "Fault", "Step", "InputError", "Caution", "Words", "TypeVar", "njit"}


@dataclass(frozen=True)
class Mutant:
    """One planted error."""

    path: Path
    module: str
    function: str
    """Function or class at the module's top level that it stands in; empty between them."""
    statement: str
    """The innermost statement it stands in, without the lines beneath it."""
    line: int
    node: int
    """Number of the node in the walk of the module's tree."""
    before: str
    after: str
    new: ast.AST

    def source(self) -> str:
        """The module's text with the error in it."""
        tree = ast.parse(self.path.read_text(encoding="utf-8"))
        wanted = list(ast.walk(tree))[self.node]
        return ast.unparse(ast.fix_missing_locations(_Swap(wanted, self.new).visit(tree)))


class _Swap(ast.NodeTransformer):
    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return copy.deepcopy(self.new) if node is self.old else super().generic_visit(node)


def sites(path: Path, module: str) -> Iterator[list[Mutant]]:
    """For every place of a module where an error can stand, the errors that can stand there."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    numbers = {id(node): number for number, node in enumerate(ast.walk(tree))}
    statements = dict(_statements(tree, ""))
    skipped = _workings(tree)
    alike = set(puts_back(tree))
    left_out = {id(node) for node in steered(tree, module)}
    for node in _formula_nodes(tree, skipped):
        if id(node) in left_out:
            continue
        found = [
            Mutant(
                path,
                module,
                _outer(tree, node),
                statements[id(node)],
                node.lineno,
                numbers[id(node)],
                ast.unparse(node),
                ast.unparse(new),
                new,
            )
            for new in _variants(node)
            if (ast.unparse(node), ast.unparse(new)) not in alike
        ]
        if found:
            yield found


def _statements(node: ast.AST, text: str) -> Iterator[tuple[int, str]]:
    """Every node with the first line of the innermost statement that it stands in."""
    if isinstance(node, ast.stmt):
        text = ast.unparse(node).partition("\n")[0]
    yield id(node), text
    for child in ast.iter_child_nodes(node):
        yield from _statements(child, text)


def _outer(tree: ast.Module, node: ast.expr) -> str:
    for top in tree.body:
        if isinstance(top, ast.FunctionDef | ast.ClassDef) and top.lineno <= node.lineno <= (top.end_lineno or 0):
            return top.name
    return ""


def _workings(tree: ast.Module) -> set[str]:
    """Names of functions that write a working."""
    named = {k.value.id for n in ast.walk(tree) if isinstance(n, ast.Call)
             for k in n.keywords if k.arg == "working" and isinstance(k.value, ast.Name)}  # fmt: skip
    told = {n.name for n in ast.walk(tree) if isinstance(n, ast.FunctionDef) and n.returns is not None
            and "Step" in ast.unparse(n.returns)}  # fmt: skip
    return named | told


def _formula_nodes(node: ast.AST, skipped: set[str]) -> Iterator[ast.expr]:
    if isinstance(node, ast.FunctionDef):
        if node.name in skipped or _REFUSING.match(node.name):
            return
        children: list[ast.AST] = [*([] if _is_declared(node) else node.args.defaults), *node.body]
        children += [] if _is_declared(node) else [default for default in node.args.kw_defaults if default]
    elif isinstance(node, ast.JoinedStr | ast.Raise | ast.Assert) or _is_text_choice(node):
        return
    elif isinstance(node, ast.For) and ast.unparse(node.target) == "_":
        children = list(node.body)  # so many rounds
    elif isinstance(node, ast.Subscript):
        children = [] if ast.unparse(node.value) in ("Annotated", "Literal") else [node.value]
    elif isinstance(node, ast.If) and len(node.body) == 1 and isinstance(node.body[0], ast.Raise):
        children = list(node.orelse)
    elif isinstance(node, ast.AnnAssign):
        children = [node.value] if node.value else []
    elif isinstance(node, ast.ClassDef):
        children = [child for child in node.body if not isinstance(child, ast.AnnAssign)]
    elif isinstance(node, ast.Assign) and _EFFORT.match(ast.unparse(node.targets[0])):
        return
    elif isinstance(node, ast.BoolOp) and isinstance(node.op, ast.Or) and isinstance(node.values[-1], ast.Constant):
        children = list(node.values[:-1])
    elif isinstance(node, ast.Call) and _called(node) in _REFUSALS:
        return
    elif isinstance(node, ast.Call) and _fills(node):
        children = node.args[:2]
    else:
        children = list(ast.iter_child_nodes(node))
    if isinstance(node, ast.expr) and not _SLACK_FACTOR.fullmatch(ast.unparse(node)):
        yield node
    for child in children:
        yield from _formula_nodes(child, skipped)


def _fills(call: ast.Call) -> bool:
    """A choice whose last value only keeps a division or root from failing where the answer is taken elsewhere."""
    return (
        _called(call) == "where" and len(call.args) == 3 and not isinstance(call.args[1], ast.Constant)
        and isinstance(call.args[2], ast.Constant) and call.args[2].value in (0, 1)
    )  # fmt: skip


def _is_text_choice(node: ast.AST) -> bool:
    return isinstance(node, ast.IfExp) and all(
        isinstance(part, ast.JoinedStr) or (isinstance(part, ast.Constant) and isinstance(part.value, str))
        for part in (node.body, node.orelse)
    ) and " " in ast.unparse(node.body)  # fmt: skip


def _is_declared(node: ast.FunctionDef) -> bool:
    return any(isinstance(mark, ast.Call) and _called(mark) == "calculator" for mark in node.decorator_list)


def _called(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


def _variants(node: ast.expr) -> Iterator[ast.expr]:
    if isinstance(node, ast.BinOp):
        yield from _of_operation(node)
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(_OPERATORS[type(node.op)](), node.values)  # type: ignore[arg-type]
    elif isinstance(node, ast.Compare) and len(node.ops) == 1:
        for table in (_TURNED,) if _SLACK.search(ast.unparse(node)) else (_OPERATORS, _TURNED):
            if type(node.ops[0]) in table:
                yield ast.Compare(node.left, [table[type(node.ops[0])]()], node.comparators)  # type: ignore[index, list-item]
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        yield node.operand
    elif isinstance(node, ast.Call) and _called(node) in _CALLS:
        yield _renamed(node, _CALLS[_called(node)])
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool):
        yield from _of_number(node.value)


def _of_operation(node: ast.BinOp) -> Iterator[ast.expr]:
    if isinstance(node.left, ast.Constant) and isinstance(node.left.value, str):
        return
    if type(node.op) in _OPERATORS:
        yield ast.BinOp(node.left, _OPERATORS[type(node.op)](), node.right)  # type: ignore[arg-type]
        yield node.left
    if isinstance(node.op, ast.Add | ast.Mult):
        yield node.right


def _of_number(value: float) -> Iterator[ast.expr]:
    if isinstance(value, int):
        yield ast.Constant(value + 1)
    elif abs(value) >= SMALLEST:
        yield ast.Constant(round(value * 1.1, 12))
        yield ast.Constant(round(value * 0.9, 12))
    elif value == 0:
        yield ast.Constant(0.1)


def _renamed(node: ast.Call, name: str) -> ast.Call:
    func = ast.Name(name, ast.Load()) if isinstance(node.func, ast.Name) else copy.copy(node.func)
    if isinstance(func, ast.Attribute):
        func.attr = name
    return ast.Call(func, node.args, node.keywords)
