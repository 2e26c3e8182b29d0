"""Checked calls: a calculator's arguments are tested against its signature before the function runs.

The checker is built from the signature the first time a calculator is used (about a millisecond) and kept.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Callable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from inspect import Parameter, signature
from typing import Any, NotRequired, get_args, get_origin, get_type_hints

from pydantic import ConfigDict, ValidationError, create_model
from typing_extensions import TypedDict

from lynchet.calculators.faults import faults_of
from lynchet.calculators.hints import describe, keys
from lynchet.core.errors import InputError

_STRICT = ConfigDict(strict=True, extra="forbid", allow_inf_nan=False, arbitrary_types_allowed=True)


def call(function: Callable[..., Any], given: Mapping[str, Any]) -> Any:
    """Check the arguments and run the calculator.

    Args:
        function: the calculator.
        given: arguments by key, SI; rows of tables as mappings.

    Returns:
        The calculator's own frozen result.

    Raises:
        InputError: an argument is unknown, missing, of the wrong kind or out of its range, or a rule of the
            calculator refuses the set.
    """
    return function(**check(function, given))


def check(function: Callable[..., Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments checked and turned into the kinds the function takes (rows become their dataclasses)."""
    validator, builders = _checker(function)
    try:
        model = validator.validate_python(dict(given))
    except ValidationError as error:
        raise InputError(*faults_of(error, function)) from None
    held = model.__dict__
    values = {key: held[key] for key in model.model_fields_set}
    for key, build in builders.items():
        if key in values:
            values[key] = build(values[key])
    return values


Build = Callable[[Any], Any]


@cache
def _checker(function: Callable[..., Any]) -> tuple[Any, dict[str, Build]]:
    """The validator, and for each argument that holds rows what turns them into their dataclasses."""
    model = _arguments_model(function)
    hints = get_type_hints(function, include_extras=True)
    builders = {name: _builder(hints[name]) for name in signature(function).parameters if _holds_rows(hints[name])}
    return model.__pydantic_validator__, builders


def _arguments_model(function: Callable[..., Any]) -> Any:
    hints = get_type_hints(function, include_extras=True)
    shapes: dict[str, Any] = {}
    for name, parameter in signature(function).parameters.items():
        default = ... if parameter.default is Parameter.empty else parameter.default
        shapes[name] = (_shape(hints[name]), default)
    return create_model(f"{function.__name__}_arguments", __config__=_STRICT, **shapes)


def argument_schema(function: Callable[..., Any]) -> dict[str, Any]:
    """JSON schema of a calculator's arguments, each with its kind, range and unit in words."""
    schema: dict[str, Any] = _arguments_model(function).model_json_schema()
    schema["title"] = function.__name__
    for key in keys(function):
        schema["properties"][key.name]["description"] = describe(key.name, key.hint)
    return schema


def _shape(hint: Any) -> Any:
    """The hint with every row dataclass replaced by a strict typed dictionary."""
    if isinstance(hint, type) and is_dataclass(hint):
        return _row_shape(hint)
    origin, args = get_origin(hint), get_args(hint)
    if origin is typing.Annotated:
        return typing.Annotated[(_shape(args[0]), *args[1:])]
    if origin in (typing.Union, types.UnionType):
        return typing.Union[tuple(_shape(arg) for arg in args)]  # noqa: UP007
    if origin is list:
        return list.__class_getitem__(_shape(args[0]))
    if origin is dict:
        return dict.__class_getitem__((args[0], _shape(args[1])))
    return hint


@cache
def _row_shape(row: type) -> Any:
    hints = get_type_hints(row, include_extras=True)
    shapes: dict[str, Any] = {}
    for field in fields(row):
        optional = field.default is not MISSING or field.default_factory is not MISSING
        shape = _shape(hints[field.name])
        shapes[field.name] = NotRequired[shape] if optional else shape
    make: Any = TypedDict
    typed = make(row.__name__, shapes)
    typed.__pydantic_config__ = _STRICT
    return typed


def _is_row(hint: Any) -> bool:
    return isinstance(hint, type) and is_dataclass(hint)  # a mark like Ge(0) is a dataclass's instance


def _holds_rows(hint: Any) -> bool:
    return _is_row(hint) or any(_holds_rows(arg) for arg in get_args(hint))


def _as_it_is(value: Any) -> Any:
    return value


def _builder(hint: Any) -> Build:
    """What turns checked plain values into the dataclasses the hint names."""
    if not _holds_rows(hint):
        return _as_it_is
    if _is_row(hint):
        return _row_builder(hint)
    origin, args = get_origin(hint), get_args(hint)
    if origin is typing.Annotated:
        return _builder(args[0])
    if origin is list:
        item = _builder(args[0])
        return lambda value: [item(part) for part in value]
    if origin is dict:
        of_name = _builder(args[1])
        return lambda value: {name: of_name(part) for name, part in value.items()}
    structures = [_builder(arg) for arg in args if _holds_rows(arg)]
    return lambda value: structures[0](value) if isinstance(value, dict | list) else value


@cache
def _row_builder(row: type) -> Build:
    hints = get_type_hints(row, include_extras=True)
    inner = {key: _builder(hint) for key, hint in hints.items() if _holds_rows(hint)}
    if not inner:
        return lambda value: row(**value)
    return lambda value: row(**{key: inner[key](part) if key in inner else part for key, part in value.items()})
