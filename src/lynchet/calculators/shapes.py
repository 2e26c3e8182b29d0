"""What a calculator's arguments may be, as a schema of the checking library's core, read from type hints.

Strict: a number is no text and no flag, whole numbers may stand for numbers, nothing is infinite, no key is unknown.
The core alone loads in a third of the time that the library's own models take.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from inspect import Parameter, signature
from typing import Any, Literal, get_args, get_origin, get_type_hints

from annotated_types import Ge, Gt, Interval, Le, Len, Lt
from pydantic_core import CoreConfig, core_schema

CONFIG = CoreConfig(strict=True, allow_inf_nan=False)
Schema = dict[str, Any]
_SINGLE: dict[Any, str] = {float: "float", int: "int", str: "str", bool: "bool", type(None): "none"}


def arguments_schema(function: Callable[..., Any]) -> Schema:
    """The arguments of a calculator by key."""
    hints = get_type_hints(function, include_extras=True)
    asked = signature(function).parameters.items()
    return _keys({name: (hints[name], one.default is Parameter.empty) for name, one in asked})


def is_row(hint: Any) -> bool:
    """Whether a hint is a row class; a mark like ``Ge(0)`` is a dataclass's instance and none."""
    return isinstance(hint, type) and is_dataclass(hint)


def _keys(known: Mapping[str, tuple[Any, bool]]) -> Schema:
    held = {
        name: core_schema.typed_dict_field(_shape(hint), required=required) for name, (hint, required) in known.items()
    }
    return dict(core_schema.typed_dict_schema(held, extra_behavior="forbid", config=CONFIG))


def _row(row: type) -> Schema:
    hints = get_type_hints(row, include_extras=True)
    return _keys({
        field.name: (hints[field.name], field.default is MISSING and field.default_factory is MISSING)
        for field in fields(row)
    })  # fmt: skip


def _shape(hint: Any) -> Schema:
    if hint in _SINGLE:
        return {"type": _SINGLE[hint]}
    if is_row(hint):
        return _row(hint)
    origin, args = get_origin(hint), get_args(hint)
    if origin is typing.Annotated:
        return _marked(_shape(args[0]), args[1:])
    if origin is Literal:
        return {"type": "literal", "expected": list(args)}
    if origin is list:
        return {"type": "list", "items_schema": _shape(args[0])}
    if origin is dict:
        return {"type": "dict", "keys_schema": _shape(args[0]), "values_schema": _shape(args[1])}
    if origin in (typing.Union, types.UnionType):
        return _one_of([arg for arg in args if arg is not type(None)], type(None) in args)
    raise TypeError(f"{hint} has no shape for the checker")


def _one_of(kinds: list[Any], or_none: bool) -> Schema:
    shapes = [_shape(kind) for kind in kinds]
    inner = shapes[0] if len(shapes) == 1 else {"type": "union", "choices": shapes}
    return {"type": "nullable", "schema": inner} if or_none else inner


def _marked(shape: Schema, marks: Iterable[Any]) -> Schema:
    """Ranges belong to the number or list itself, also where it may be left out."""
    if shape["type"] == "nullable":
        return {**shape, "schema": _marked(shape["schema"], marks)}
    limits: Schema = {}
    wraps = []
    for mark in marks:
        for part in mark if isinstance(mark, Interval) else (mark,):
            limits.update(_limits(part))
            if hasattr(part, "__get_pydantic_core_schema__"):
                wraps.append(part)
    if limits and "schema" in shape:  # behind a function of an inner mark
        shape = {**shape, "schema": {**shape["schema"], **limits}}
    else:
        shape = {**shape, **limits}
    for part in wraps:
        shape = part.__get_pydantic_core_schema__(shape, lambda inner: inner)
    return shape


def _limits(mark: Any) -> Schema:
    if isinstance(mark, Ge | Gt | Le | Lt):
        name = type(mark).__name__.lower()
        return {name: getattr(mark, name)}
    if isinstance(mark, Len):
        found = {"min_length": mark.min_length or None, "max_length": mark.max_length}
        return {name: length for name, length in found.items() if length is not None}
    return {}
