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
    validator, plain, hints = _checker(function)
    try:
        model = validator.validate_python(dict(given))
    except ValidationError as error:
        raise InputError(*faults_of(error, function)) from None
    values = {key: getattr(model, key) for key in model.model_fields_set}
    if plain:
        return values
    return {key: _build(hints[key], value) for key, value in values.items()}


@cache
def _checker(function: Callable[..., Any]) -> tuple[Any, bool, dict[str, Any]]:
    hints = get_type_hints(function, include_extras=True)
    shapes: dict[str, Any] = {}
    for name, parameter in signature(function).parameters.items():
        default = ... if parameter.default is Parameter.empty else parameter.default
        shapes[name] = (_shape(hints[name]), default)
    model = create_model(f"{function.__name__}_arguments", __config__=_STRICT, **shapes)
    plain = not any(_holds_rows(hints[name]) for name in shapes)
    return model.__pydantic_validator__, plain, hints


def argument_schema(function: Callable[..., Any]) -> dict[str, Any]:
    """JSON schema of a calculator's arguments."""
    from pydantic import BaseModel

    hints = get_type_hints(function, include_extras=True)
    shapes: dict[str, Any] = {
        name: (_shape(hints[name]), ... if parameter.default is Parameter.empty else parameter.default)
        for name, parameter in signature(function).parameters.items()
    }
    model: type[BaseModel] = create_model(function.__name__, __config__=_STRICT, **shapes)
    return model.model_json_schema()


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


def _holds_rows(hint: Any) -> bool:
    return is_dataclass(hint) or any(_holds_rows(arg) for arg in get_args(hint))


def _build(hint: Any, value: Any) -> Any:
    """Checked plain values as the dataclasses the hint names."""
    if value is None or not _holds_rows(hint):
        return value
    if is_dataclass(hint):
        hints = get_type_hints(hint, include_extras=True)
        return hint(**{key: _build(hints[key], item) for key, item in value.items()})  # type: ignore[operator]
    origin, args = get_origin(hint), get_args(hint)
    if origin is typing.Annotated:
        return _build(args[0], value)
    if origin is list:
        return [_build(args[0], item) for item in value]
    if origin is dict:
        return {key: _build(args[1], item) for key, item in value.items()}
    fitting = [arg for arg in args if _holds_rows(arg) == isinstance(value, dict | list)]
    return _build(fitting[0], value) if fitting else value
