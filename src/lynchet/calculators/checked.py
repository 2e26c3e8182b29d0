"""Checked calls: a calculator's arguments are tested against its signature before the function runs.

The checker is built from the signature the first time a calculator is used (about a millisecond) and kept.
"""

from __future__ import annotations

import typing
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from pydantic_core import SchemaValidator, ValidationError

from lynchet.calculators.faults import faults_of
from lynchet.calculators.hints import describe, keys
from lynchet.calculators.shapes import CONFIG, arguments_schema, is_row
from lynchet.core.calculator import as_keys
from lynchet.core.errors import InputError


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
        values: dict[str, Any] = validator.validate_python(dict(given))
    except ValidationError as error:
        raise InputError(*faults_of(error, function)) from None
    for key, build in builders.items():
        if key in values:
            values[key] = build(values[key])
    return values


Build = Callable[[Any], Any]


@cache
def _checker(function: Callable[..., Any]) -> tuple[SchemaValidator, dict[str, Build]]:
    """The validator, and for each argument that holds rows what turns them into their dataclasses."""
    hints = get_type_hints(function, include_extras=True)
    builders = {name: _builder(hint) for name, hint in hints.items() if name != "return" and _holds_rows(hint)}
    return SchemaValidator(arguments_schema(function), CONFIG), builders


def argument_schema(function: Callable[..., Any]) -> dict[str, Any]:
    """JSON schema of a calculator's arguments, each with its kind, range and unit in words."""
    from pydantic.json_schema import GenerateJsonSchema

    schema: dict[str, Any] = GenerateJsonSchema().generate(arguments_schema(function))
    schema["title"] = function.__name__
    for key in keys(function):
        schema["properties"][key.name]["description"] = describe(key.name, key.hint)
        if key.default is not None:
            schema["properties"][key.name]["default"] = as_keys({"v": key.default})["v"]
    return schema


def _holds_rows(hint: Any) -> bool:
    return is_row(hint) or any(_holds_rows(arg) for arg in get_args(hint))


def _as_it_is(value: Any) -> Any:
    return value


def _builder(hint: Any) -> Build:
    """What turns checked plain values into the dataclasses the hint names."""
    if not _holds_rows(hint):
        return _as_it_is
    if is_row(hint):
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
