"""From the checker's structured errors to plain faults: key, what was found, what is accepted."""

from __future__ import annotations

import re
import typing
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from difflib import get_close_matches
from inspect import signature
from typing import Any, NamedTuple, get_args, get_origin, get_type_hints

from pydantic_core import ValidationError

from lynchet.calculators.hints import describe
from lynchet.core.errors import Fault
from lynchet.core.kinds import Words
from lynchet.units.endings import in_words

_KINDS = {
    "float_type": "a number", "int_type": "a whole number", "bool_type": "true or false", "string_type": "text",
    "list_type": "a list", "dict_type": "a table", "finite_number": "a finite number",
    "int_from_float": "a whole number", "typed_dict_type": "a table",
}  # fmt: skip
_ALIKE = 0.75
"""How much alike a word must be to a key to be taken for it, of 1."""
_LIMITS = {
    "greater_than": ("gt", "above {}"), "greater_than_equal": ("ge", "{} or more"),
    "less_than": ("lt", "below {}"), "less_than_equal": ("le", "up to {}"),
}  # fmt: skip


def faults_of(error: ValidationError, function: Callable[..., Any]) -> list[Fault]:
    """Every fault the checker found in a call of this calculator."""
    words = _own_words(function)
    faults = []
    details = error.errors(include_url=False)
    missing = [detail["loc"] for detail in details if detail["type"] == "missing"]
    for detail in details:
        where = [part for part in detail["loc"] if isinstance(part, int) or _is_key(part)]
        wanted = [str(loc[-1]) for loc in missing if loc[:-1] == detail["loc"][:-1]]
        faults.append(_fault(detail, where, _Known(_keys_there(function, where), wanted), words, function))
    return _once_a_table(faults)


def _once_a_table(faults: list[Fault]) -> list[Fault]:
    """What is wrong in the same way in many rows of a table, said once with the number of rows."""
    groups: dict[tuple[str, str, str], list[Fault]] = {}
    for fault in faults:
        groups.setdefault((re.sub(r"\[\d+\]", "[]", fault.key), fault.found, fault.accepted), []).append(fault)
    return [first if len(group) == 1 else replace(first, found=f"{first.found} (so in {len(group)} rows)")
            for group in groups.values() for first in group[:1]]  # fmt: skip


class _Known(NamedTuple):
    """Keys that a place takes, and those of them that are missing there."""

    names: list[str]
    missing: list[str]

    def nearest(self, word: str) -> str:
        """The key most likely meant, or nothing: a missing one that holds the word, any that does, one spelt alike."""
        parts = set(word.lower().split("_")) - {""}
        held = [name for name in (*self.missing, *self.names) if parts and parts <= set(name.split("_"))]
        alike = get_close_matches(word.lower(), self.missing, 1, _ALIKE) or get_close_matches(
            word.lower(), self.names, 1, _ALIKE
        )
        return (held or alike or [""])[0]


def _keys_there(function: Callable[..., Any], where: list[int | str]) -> list[str]:
    """Keys of the call, or of the rows of the table that the place stands in."""
    if len(where) < 2:
        return list(signature(function).parameters)
    rows = _rows(get_type_hints(function, include_extras=True).get(str(where[0]), None))
    return list(dict.fromkeys(field.name for row in rows for field in fields(row)))


def _is_key(part: str) -> bool:
    """False for the tags that the checker adds where a value may be of several kinds."""
    return part == part.lower() and part not in ("str", "int", "float", "bool") and "[" not in part and "-" not in part


def _fault(
    detail: Any, where: list[int | str], known: _Known, words: dict[str, str], function: Callable[..., Any]
) -> Fault:
    last = next((part for part in reversed(where) if isinstance(part, str)), "")
    key = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in where).lstrip(".")
    first = where[0] if where else ""
    spoken = words.get(f"{first}.{last}" if len(where) > 1 else last, in_words(last))
    label = key if spoken == key else f"{key} ({spoken})"
    kind, value, context = detail["type"], detail["input"], detail.get("ctx", {})
    if kind == "missing":
        hint = get_type_hints(function, include_extras=True).get(key)
        return Fault("missing", f"it must be given: {describe(key, hint)}" if hint else "it must be given", label)
    if kind == "extra_forbidden":
        near = known.nearest(last)
        hint = f"did you mean {near}?" if near else "one of: " + ", ".join(known.names) if known.names else ""
        return Fault("unknown key", hint, label)
    found = f"{_plain(value)} found"
    if kind in _LIMITS:
        name, text = _LIMITS[kind]
        return Fault(found, text.format(_short(context[name])), label)
    if kind in ("too_short", "too_long"):
        bound = f"{context['min_length']} or more" if kind == "too_short" else f"at most {context['max_length']}"
        return Fault(f"{context['actual_length']} entries found", bound, label)
    if kind in ("literal_error", "enum"):
        accepted = str(context["expected"]).replace("'", "")
        like = get_close_matches(str(value).lower(), re.split(r", | or ", accepted), 1, _ALIKE)
        return Fault(found, f"did you mean {like[0]}? one of: {accepted}" if like else accepted, label)
    return Fault(found, _KINDS.get(kind, str(detail["msg"]).lower()), label)


def _plain(value: object) -> str:
    """A value as it was given; digits that only a change of unit made are left off."""
    told = repr(value)
    return f"{value:.6g}" if isinstance(value, float) and len(told) > 12 else told


def _short(value: float) -> str:
    return f"{value:g}"


def _own_words(function: Callable[..., Any]) -> dict[str, str]:
    """Keys for which the signature, or the row class of a table, gives words of its own.

    The words of a row's key stand under "table.key", those of an argument under the key alone.
    """
    found: dict[str, str] = {}
    hints = get_type_hints(function, include_extras=True)
    for name, hint in hints.items():
        found.update((name, mark.text) for mark in _marks(hint))
        for row in _rows(hint):
            for key, row_hint in get_type_hints(row, include_extras=True).items():
                found.update((f"{name}.{key}", mark.text) for mark in _marks(row_hint))
    return found


def _marks(hint: Any) -> list[Words]:
    if get_origin(hint) is typing.Annotated:
        return [mark for mark in get_args(hint)[1:] if isinstance(mark, Words)] + _marks(get_args(hint)[0])
    return []


def _rows(hint: Any) -> list[type]:
    """The row classes in a hint, those in rows of rows left out."""
    if isinstance(hint, type) and is_dataclass(hint):
        return [hint]
    return [row for arg in get_args(hint) for row in _rows(arg)]
