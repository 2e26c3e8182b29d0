"""The declaration of a calculator: a plain function that computes one published or well-defined thing.

A formula module holds kernels (array functions without checks, used by the stages) and calculators (keyword-only,
SI, unit in the name) that wrap them. The decorator only records the declaration on the function; nothing is checked
or built until ``calculators`` is asked for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, Literal, TypeVar

from lynchet.core.errors import Fault, InputError

Known = Literal["SEEN", "MEMORY", "DERIVED", "PRACTICE"]
"""SEEN in a text; MEMORY, recalled and to be confirmed; DERIVED, own arithmetic checked apart; common PRACTICE."""


@dataclass(frozen=True)
class Step:
    """One line of a working: what it is, the formula with its numbers put in, the value."""

    what: str
    """In plain words, e.g. "active coefficient Ka"."""
    how: str
    """The formula, with the numbers of this case in it where that helps."""
    value: float | str
    unit: str = ""
    """Unit ending as in a key, without the underscore ("kn_per_m"), or empty for a pure number."""


Working = Callable[[Mapping[str, Any], Any], list[Step]]
"""Given the checked arguments and the result, the steps in order."""


@dataclass(frozen=True)
class Declaration:
    """What the registry knows of a calculator."""

    name: str
    function: Callable[..., Any]
    source: str
    """Author or body, work, edition, section or equation."""
    known: Known
    example: Mapping[str, Any]
    """Arguments that run."""
    working: Working | None
    caution: str
    """Shown with every result where the number can hurt someone; empty otherwise."""


F = TypeVar("F", bound=Callable[..., Any])


def calculator(
    *,
    source: str,
    known: Known,
    example: Mapping[str, Any],
    working: Working | None = None,
    caution: str = "",
) -> Callable[[F], F]:
    """Declare the function below as a calculator. The function itself is returned unchanged."""

    def declare(function: F) -> F:
        declared = Declaration(function.__name__, function, source, known, example, working, caution)
        function.__calculator__ = declared  # type: ignore[attr-defined]
        return function

    return declare


def refuse(key: str, found: str, accepted: str = "") -> InputError:
    """An error for one key, to be raised by a calculator: ``raise refuse("backslope", "35 found", "up to ...")``."""
    return InputError(Fault(found=found, accepted=accepted, key=key))


def refuse_if(wrong: bool, key: str, found: str, accepted: str = "") -> None:
    """Raise the error for this key when the condition holds (rules that tie several arguments together)."""
    if wrong:
        raise refuse(key, found, accepted)


def as_keys(result: Any) -> dict[str, Any]:
    """A frozen result as plain keys and values; what is None is left out, arrays become lists.

    Args:
        result: a dataclass instance, or a mapping.

    Returns:
        Keys to plain Python values (float, int, bool, str, list, dict).
    """
    if is_dataclass(result):
        pairs = [(field.name, getattr(result, field.name)) for field in fields(result)]
    else:
        pairs = list(result.items())
    return {key: _plain(value) for key, value in pairs if value is not None}


def _plain(value: Any) -> Any:
    if is_dataclass(value) or isinstance(value, Mapping):
        return as_keys(value)
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if hasattr(value, "tolist"):  # a NumPy array or scalar, without importing NumPy here
        return value.tolist()
    return value
