"""A calculator's arguments from what people type: values with their own units, lists, tables, files."""

from __future__ import annotations

import csv
import json
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from lynchet.calculators.hints import Key, choices, is_union, keys, plain, row_keys, rows_of
from lynchet.core.errors import Fault, InputError
from lynchet.units.measures import System
from lynchet.units.parse import parse_for_key

_FLAGS = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}


def arguments(function: Callable[..., Any], texts: Mapping[str, Any], system: System = "metric") -> dict[str, Any]:
    """Values as the calculator takes them, in SI.

    Args:
        function: the calculator.
        texts: by key, text as typed, or a value as a file gave it (numbers in the key's own unit).
        system: which system's words a text without a clear unit is read in.

    Returns:
        Arguments ready for the check; unknown keys and odd values are left for it to refuse.

    Raises:
        InputError: a text cannot be read as its key asks, or a file cannot be read; all such faults at once.
    """
    hints = {key.name: key.hint for key in keys(function)}
    found: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, text in texts.items():
        try:
            found[name] = _value(name, hints[name], text, system) if name in hints else text
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(*faults)
    return found


def pairs(words: Iterable[str]) -> dict[str, str]:
    """``key=value`` words as a mapping.

    Raises:
        InputError: a word has no equals sign, or a key comes twice.
    """
    found: dict[str, str] = {}
    faults = []
    for word in words:
        key, sign, text = word.partition("=")
        if not sign or not key.strip():
            file = f"--from {word}" if word.endswith((".toml", ".json", ".csv")) else ""
            also = f"did you mean {file}? Else " if file else ""
            faults.append(Fault(f'"{word}"', f"{also}key=value, with quotes where the value has blanks"))
        elif key.strip() in found:
            faults.append(Fault("written twice", "each key once", key.strip()))
        else:
            found[key.strip()] = text.strip()
    if faults:
        raise InputError(*faults)
    return found


def from_file(function: Callable[..., Any], file: Path) -> dict[str, Any]:
    """Arguments that stand in a TOML, JSON or CSV file.

    TOML and JSON hold keys and values (at the top or under ``[given]``). A CSV is either one row under the
    calculator's keys, or the rows of its table when it takes one.
    """
    data = read_file(file)
    if isinstance(data, dict):
        given = data.get("given", data)
        return dict(given) if isinstance(given, dict) else {}
    names = {key.name for key in keys(function)}
    if len(data) == 1 and set(data[0]) <= names:
        return {key: text for key, text in data[0].items() if text != ""}
    tables = [key.name for key in keys(function) if rows_of(key.hint) is not None]
    fitting = [name for name in tables if _fits(data, keys(function), name)] or tables
    if len(fitting) != 1:
        accepted = "one row under the calculator's keys, or key=@file for one of: " + ", ".join(sorted(names))
        raise InputError(Fault("cannot tell which key these rows are for", accepted, file=str(file)))
    return {fitting[0]: data}


def _fits(data: list[dict[str, str]], known: list[Key], name: str) -> bool:
    row = rows_of(next(key.hint for key in known if key.name == name))
    return row is not None and bool(data) and set(data[0]) <= {key.name for key in row_keys(row)}


def read_file(file: Path) -> Any:
    """A TOML or JSON file as its mapping, a CSV as its rows of text.

    Raises:
        InputError: no such file, or it cannot be read as what its ending says.
    """
    try:
        text = file.read_text(encoding="utf-8-sig")
        if file.suffix.lower() == ".csv":
            return _csv_rows(text, file)
        return json.loads(text) if file.suffix.lower() == ".json" else tomllib.loads(text)
    except InputError:
        raise
    except OSError as error:
        raise InputError(
            Fault(error.strerror or "cannot be read", "a TOML, CSV or JSON file", file=str(file))
        ) from None
    except (ValueError, csv.Error) as error:
        raise InputError(Fault(str(error), "a TOML, CSV or JSON file in UTF-8", file=str(file))) from None


def _csv_rows(text: str, file: Path) -> list[dict[str, str]]:
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    rows = list(csv.reader(lines, skipinitialspace=True, strict=True))
    if len(rows) < 2:
        raise InputError(Fault("no rows found", "a line of keys, then lines of values", file=str(file)))
    names = [name.strip() for name in rows[0]]
    for number, row in enumerate(rows[1:], start=2):
        if len(row) != len(names):
            found = f"{len(row)} values under {len(names)} keys"
            raise InputError(Fault(found, "as many values as keys", file=str(file), line=number))
    return [dict(zip(names, (text.strip() for text in row), strict=True)) for row in rows[1:]]


def _value(key: str, hint: Any, text: Any, system: System) -> Any:
    """A value of a key as the hint asks; what is no text is taken as it stands, texts within it are read."""
    bare, _ = plain(hint)
    if is_union(bare):
        return _one_of(key, choices(bare), text, system)
    if isinstance(text, str) and _is_structure(bare):
        text = _structure(key, bare, text)
    if get_origin(bare) is list and isinstance(text, list):
        inner = get_args(bare)[0]
        items = [_of_row(item) for item in text] if rows_of(inner) is None else text
        return [_value(key, inner, item, system) for item in items]
    if get_origin(bare) is dict and isinstance(text, dict):
        inner = get_args(bare)[1]
        return {name: _value(key, inner, item, system) for name, item in text.items()}
    if isinstance(bare, type) and is_dataclass(bare) and isinstance(text, dict):
        hints = {column.name: column.hint for column in row_keys(bare)}
        filled = {name: item for name, item in text.items() if item != ""}
        return {n: _value(n, hints[n], item, system) if n in hints else item for n, item in filled.items()}
    return _single(key, bare, text, system) if isinstance(text, str) else text


def _of_row(item: Any) -> Any:
    """A CSV row in a list that holds no tables: its single value, or its values in order."""
    if not isinstance(item, dict):
        return item
    values = list(item.values())
    return values[0] if len(values) == 1 else values


def _is_structure(bare: Any) -> bool:
    return get_origin(bare) in (list, dict) or (isinstance(bare, type) and is_dataclass(bare))


def _one_of(key: str, kinds: list[Any], text: Any, system: System) -> Any:
    """A value that may be of several kinds: tables and lists by their brackets, then words, then numbers."""
    structures = [kind for kind in kinds if _is_structure(plain(kind)[0])]
    singles = [kind for kind in kinds if kind not in structures]
    looks = isinstance(text, list | dict) or (isinstance(text, str) and text.lstrip().startswith(("[", "{", "@")))
    if structures and (looks or not singles):
        if isinstance(text, str):
            text = _structure(key, plain(structures[0])[0], text)
        wanted = dict if isinstance(text, dict) else list
        fitting = [kind for kind in structures if (get_origin(plain(kind)[0]) is list) == (wanted is list)]
        return _value(key, (fitting or structures)[0], text, system)
    for kind in singles:
        bare, _ = plain(kind)
        if get_origin(bare) is Literal and text in get_args(bare):
            return text
    numbers = [kind for kind in singles if plain(kind)[0] in (float, int)]
    if not numbers:
        return text
    try:
        return _value(key, numbers[0], text, system)
    except InputError:
        if len(numbers) == len(singles):
            raise
        return text  # a word, for the check to accept or refuse


def _single(key: str, bare: Any, text: str, system: System) -> Any:
    if bare is bool:
        if text.lower() not in _FLAGS:
            raise InputError(Fault(f'"{text}"', "true or false", key))
        return _FLAGS[text.lower()]
    if get_origin(bare) is Literal:
        return next((word for word in get_args(bare) if str(word) == text), text)
    if bare is float:
        return parse_for_key(key, text, system)
    if bare is int:
        number = parse_for_key(key, text, system)
        return int(number) if number.is_integer() else number
    return text


def _structure(key: str, bare: Any, text: str) -> Any:
    """Inline JSON or TOML, ``@file``, or simple values with commas between."""
    if text.startswith("@"):
        data = read_file(Path(text[1:]))
        return data[key] if isinstance(data, dict) and key in data else data
    if text.startswith(("[", "{")):
        return _inline(key, text)
    if get_origin(bare) is list and rows_of(bare) is None:
        return [item.strip() for item in text.replace(";", ",").split(",") if item.strip()]
    meant = f"did you mean {key}=@{text}? " if Path(text).suffix.lower() in (".csv", ".toml", ".json") else ""
    raise InputError(Fault(f'"{text}"', f"{meant}a list or table in JSON or TOML, or @file (CSV, TOML, JSON)", key))


def _inline(key: str, text: str) -> Any:
    try:
        return json.loads(text)
    except ValueError:
        pass
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except ValueError as error:
        raise InputError(Fault(f'"{text}" ({error})', "a list or table in JSON or TOML", key)) from None
