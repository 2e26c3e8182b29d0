"""The project file's form as a JSON schema, made from the declared keys."""

from __future__ import annotations

from typing import Any

from lynchet.project.keys import Key, Table
from lynchet.project.keys_build import FILE
from lynchet.project.values import quantity_text
from lynchet.units.measures import MEASURES

_NUMBER_OR_TEXT = {"type": ["number", "string"]}
_POINT = {"type": "array", "items": _NUMBER_OR_TEXT, "minItems": 2, "maxItems": 2}


def project_schema() -> dict[str, Any]:
    """JSON schema (draft 2020-12) of the project file.

    A schema sees shapes, words and whole numbers; ranges of quantities that carry units, and rules between keys, are
    tested when the file is read and stand in the descriptions.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Lynchet project file",
        "description": "One yard, its ground, what stays, and what is wanted of it. Version 1.",
        **_table(FILE),
    }


def _table(table: Table) -> dict[str, Any]:
    required = [name for name, key in table.keys.items() if key.required]
    shape: dict[str, Any] = {
        "type": "object",
        "properties": {name: {**_key(key), "description": _about(key)} for name, key in table.keys.items()},
        "additionalProperties": False,
    }
    return shape | ({"required": required} if required else {})


def _key(key: Key) -> dict[str, Any]:
    if key.table is not None:
        return _nested(key, key.table)
    if key.kind in MEASURES or key.kind in ("slope", "fraction", "fall"):
        return dict(_NUMBER_OR_TEXT)
    shapes: dict[str, dict[str, Any]] = {
        "text": {"type": "string"},
        "file": {"type": "string", "minLength": 1},
        "section": {"type": "string"},
        "word": {"type": "string", "enum": list(key.words)},
        "flag": {"type": "boolean"},
        "whole": {"type": "integer", **_range(key)},
        "number": {"type": "number", **_range(key)},
        "point": _POINT,
        "points": {"type": "array", "items": _POINT, "minItems": key.least},
        "texts": {"type": "array", "items": {"type": "string", **({"enum": list(key.words)} if key.words else {})}},
        "places": {"type": "object", "additionalProperties": _POINT},
        "prices": {"type": "object", "additionalProperties": {"type": ["number", "string"], **_range(key)}},
        "date": {"type": "string"},
        "dates": {"type": "array", "items": {"type": "string"}},
        "levels": {"anyOf": [{"enum": ["balance", "equal"]}, {"type": "array", "items": _NUMBER_OR_TEXT}]},
    }
    return shapes[key.kind]


def _nested(key: Key, table: Table) -> dict[str, Any]:
    one: dict[str, Any] = _table(table)
    if table.short:
        one = {"anyOf": [one, _key(table.keys[table.short])]}
    if key.kind == "table":
        return one
    many = {"type": "array", "items": one, "minItems": key.least}
    return {"anyOf": [many, one]}


def _range(key: Key) -> dict[str, Any]:
    low = {} if key.low is None else {"minimum": key.low}
    return low | ({} if key.high is None else {"maximum": key.high})


def _about(key: Key) -> str:
    """What the key holds, its words or range, and its default."""
    words = [key.about]
    if key.kind in MEASURES:
        kind = MEASURES[key.kind]
        plain = kind.metric if kind.metric == kind.us else f"{kind.metric} (metric) or {kind.us} (us)"
        words.append(f"{kind.name}; a plain number is {plain}; e.g. {kind.examples}")
    if key.words:
        words.append(f"one of: {', '.join(key.words)}")
    if key.kind in MEASURES or key.kind in ("slope", "fraction", "fall"):
        low = (
            "" if key.low is None else f"{'over' if key.above else 'from'} {quantity_text(key.low, key.kind, 'metric')}"
        )
        high = "" if key.high is None else f"up to {quantity_text(key.high, key.kind, 'metric')}"
        words += [f"{low} {high}".strip()] if low or high else []
    if key.most_bare_ft is not None:
        words.append(f"us: a plain number over {key.most_bare_ft:g} is asked back, write its unit")
    if key.default is not None:
        us = f" (us: {key.default_us})" if key.default_us is not None else ""
        words.append(f"default {key.default}{us}")
    elif key.rule:
        words.append(f"default: {key.rule}")
    return "; ".join(words)
