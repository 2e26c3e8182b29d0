"""What an argument may be, in plain words, read from a calculator's signature."""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Iterator
from dataclasses import MISSING, dataclass, fields, is_dataclass
from inspect import Parameter, signature
from typing import Any, Literal, get_args, get_origin, get_type_hints

from annotated_types import Ge, Gt, Interval, Le, Len, Lt

from lynchet.units.endings import unit_text


@dataclass(frozen=True)
class Key:
    """One argument of a calculator, or one column of a table's rows."""

    name: str
    hint: Any
    required: bool
    default: Any
    """None where it is required or simply left out."""


def keys(function: Callable[..., Any]) -> list[Key]:
    """The arguments of a calculator in order."""
    hints = get_type_hints(function, include_extras=True)
    found = []
    for name, parameter in signature(function).parameters.items():
        required = parameter.default is Parameter.empty
        found.append(Key(name, hints[name], required, None if required else parameter.default))
    return found


def row_keys(row: type) -> list[Key]:
    """The columns of a table's rows."""
    hints = get_type_hints(row, include_extras=True)
    found = []
    for field in fields(row):
        required = field.default is MISSING and field.default_factory is MISSING
        default = field.default if field.default is not MISSING else None
        if field.default_factory is not MISSING:
            default = field.default_factory()
        found.append(Key(field.name, hints[field.name], required, default))
    return found


def result_keys(function: Callable[..., Any]) -> list[Key]:
    """The keys a calculator's result may hold."""
    result = get_type_hints(function)["return"]
    return row_keys(result) if is_dataclass(result) and isinstance(result, type) else []


def plain(hint: Any) -> tuple[Any, list[Any]]:
    """A hint without its marks and without None, and the marks."""
    marks: list[Any] = []
    while True:
        if get_origin(hint) is typing.Annotated:
            hint, *more = get_args(hint)
            marks += more
        elif is_union(hint) and len(_choices(hint)) == 1:
            hint = _choices(hint)[0]
        else:
            return hint, marks


def is_union(hint: Any) -> bool:
    """Whether a value may be of several kinds."""
    return get_origin(hint) in (typing.Union, types.UnionType)


def _choices(hint: Any) -> list[Any]:
    return [arg for arg in get_args(hint) if arg is not type(None)]


def choices(hint: Any) -> list[Any]:
    """The kinds a value may be of, None left out."""
    return _choices(hint) if is_union(hint) else [hint]


def rows_of(hint: Any) -> type | None:
    """The row class of a table: the hint itself, or that of its list; None where there is none."""
    bare, _ = plain(hint)
    if is_union(bare):
        return next((row for row in map(rows_of, choices(bare)) if row is not None), None)
    if isinstance(bare, type) and is_dataclass(bare):
        return bare
    if get_origin(bare) is list:
        return rows_of(get_args(bare)[0])
    return None


def describe(key: str, hint: Any) -> str:
    """Kind, range and unit of a value: "number above 0, m"; "dry, green or rough"."""
    text, unit = kind_text(hint), unit_text(key)
    return f"{text}, {unit}" if unit and "number" in text else text


def kind_text(hint: Any) -> str:
    """Kind and range without the unit."""
    bare, marks = plain(hint)
    if is_union(bare):
        return ", or ".join(kind_text(choice) for choice in choices(bare))
    if get_origin(bare) is Literal:
        words = [str(word) for word in get_args(bare)]
        return " or ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]
    if get_origin(bare) is list:
        return _list_text(bare, marks)
    if get_origin(bare) is dict:
        return f"table of names, each with a {kind_text(get_args(bare)[1])}"
    if isinstance(bare, type) and is_dataclass(bare):
        return "table"
    names = {float: "number", int: "whole number", bool: "true or false", str: "text"}
    name = names.get(bare, getattr(bare, "__name__", str(bare)))
    limits = ", ".join(_limits(marks))
    return f"{name} {limits}" if limits else name


def _list_text(bare: Any, marks: list[Any]) -> str:
    inner = get_args(bare)[0]
    kind = kind_text(inner)
    if kind == "table":
        text = "list of tables"
    elif kind.startswith("list"):
        text = f"list of {kind.replace('list', 'lists', 1)}"
    else:
        text = f"list of {kind.replace('number', 'numbers', 1)}"
    for mark in marks:
        if isinstance(mark, Len):
            low, high = mark.min_length, mark.max_length
            text += f", {low} or more" if high is None else f", {low} each" if low == high else f", {low} to {high}"
    return text.replace("or more, 1 or more", "or more")


def _limits(marks: list[Any]) -> Iterator[str]:
    low: Any = None
    for mark in _spread(marks):
        if isinstance(mark, Ge):
            low = mark.ge
        elif isinstance(mark, Gt):
            yield f"above {_short(mark.gt)}"
        elif isinstance(mark, Lt):
            yield f"{_short(low)} or more, below {_short(mark.lt)}" if low is not None else f"below {_short(mark.lt)}"
            low = None
        elif isinstance(mark, Le):
            yield f"{_short(low)} to {_short(mark.le)}" if low is not None else f"up to {_short(mark.le)}"
            low = None
    if low is not None:
        yield f"{_short(low)} or more"


def _spread(marks: list[Any]) -> list[Any]:
    """Marks with lower limits first; an interval taken apart."""
    single = [part for mark in marks for part in (mark if isinstance(mark, Interval) else (mark,))]
    return sorted(single, key=lambda mark: not isinstance(mark, Ge | Gt))


def _short(value: Any) -> str:
    return f"{value:g}"
