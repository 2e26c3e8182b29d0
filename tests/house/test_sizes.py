"""The size limits of functions and files."""

from __future__ import annotations

import ast

from house.source import modules

MOST_LINES = 400
MOST_CODE_LINES = 40
MOST_PARAMETERS = 6

# Name: reason. A rule that is switched off for good is deleted, not listed here.
EXCEPTIONS: dict[str, str] = {
    "lynchet.commands.app._book": "the options of a command are its parameters: Typer reads them from the signature",
    "lynchet.commands.app._look": "the options of a command are its parameters: Typer reads them from the signature",
    "lynchet.commands.app._plan": "the options of a command are its parameters: Typer reads them from the signature",
}


def _functions(tree: ast.Module) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


def _code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    first = function.body[0]
    start = (first.end_lineno or first.lineno) if ast.get_docstring(function) else first.lineno - 1
    return (function.end_lineno or 0) - start


def _is_calculator(function: ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    names = [d.func for d in function.decorator_list if isinstance(d, ast.Call)]
    return any(isinstance(name, ast.Name) and name.id == "calculator" for name in names)


def test_files_are_short() -> None:
    """No file is longer than about 400 lines."""
    long = {name: m.lines for name, m in modules().items() if m.lines > MOST_LINES and name not in EXCEPTIONS}
    assert long == {}


def test_functions_are_short() -> None:
    """No function has more than about 40 lines of code, its docstring not counted."""
    long = {}
    for name, module in modules().items():
        for function in _functions(module.tree):
            key, size = f"{name}.{function.name}", _code_lines(function)
            if size > MOST_CODE_LINES and key not in EXCEPTIONS:
                long[key] = size
    assert long == {}


def test_functions_take_few_parameters() -> None:
    """At most six parameters; a calculator's contract signature is exempt."""
    many = {}
    for name, module in modules().items():
        for function in _functions(module.tree):
            arguments = function.args
            names = [a.arg for a in (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs)]
            count = len([a for a in names if a not in ("self", "cls")])
            key = f"{name}.{function.name}"
            if count > MOST_PARAMETERS and not _is_calculator(function) and key not in EXCEPTIONS:
                many[key] = count
    assert many == {}


def test_exceptions_are_still_needed() -> None:
    """Every listed exception names a thing that exists and says why."""
    known = set(modules()) | {f"{n}.{f.name}" for n, m in modules().items() for f in _functions(m.tree)}
    assert all(key in known and reason for key, reason in EXCEPTIONS.items())
