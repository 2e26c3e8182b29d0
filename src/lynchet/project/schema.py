"""The project file's form as a JSON schema, made from the declared keys."""

from __future__ import annotations

from collections.abc import Callable
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


_FORMS = {
    "point": "`[x, y]`", "points": "a list of places: `[[x, y], [x, y]]`", "texts": 'a list: `["one", "two"]`',
    "flag": "true or false", "date": "YYYY-MM-DD", "dates": "a list of days: `[2027-03-26]`",
    "whole": "a whole number", "slope": "such as `12 %`, `1 in 8` or `1.2 m in 8 m`", "fraction": "such as `15 %`",
    "fall": "such as `12 %`, `1 in 8` or `1.2 m in 8 m`", "section": "height x width as laid: `5 1/2 in x 5 1/2 in`",
}  # fmt: skip
"""How a value is written that is no measure and no word."""


def _about(key: Key) -> str:
    """What the key holds, how it is written, its words or range, whether it must be given, and its default."""
    words = [key.about]
    if key.kind in MEASURES:
        kind = MEASURES[key.kind]
        plain = kind.metric if kind.metric == kind.us else f"{kind.metric} (metric) or {kind.us} (us)"
        words.append(f"{kind.name}; a plain number is {plain}; e.g. {kind.examples}")
    form = _FORMS.get(key.kind, "")
    if form and form.strip("`") not in key.about:
        words.append(form)
    if key.words:
        words.append(f"{'of these' if key.kind == 'texts' else 'one of'}: {', '.join(key.words)}")
    words += _reach(key)
    if key.most_bare_ft is not None:
        words.append(f"us: a plain number over {key.most_bare_ft:g} is asked back, write its unit")
    if key.required:
        words.append("must be given")
    if key.default not in (None, ""):
        us = f" (us: {key.default_us})" if key.default_us is not None else ""
        words.append(f"default {str(key.default).lower() if isinstance(key.default, bool) else key.default}{us}")
    elif key.rule:
        words.append(f"default: {key.rule}")
    return "; ".join(words)


def _reach(key: Key) -> list[str]:
    """From which value up to which, in both systems where they differ."""
    if key.low is None and key.high is None:
        return []
    if key.kind in MEASURES or key.kind in ("slope", "fraction", "fall"):
        metric = _from_to(key, lambda value: quantity_text(value, key.kind, "metric"))
        us = _from_to(key, lambda value: quantity_text(value, key.kind, "us"))
        return [metric if metric == us or "e+" in us else f"{metric} (us: {us})"]
    return (
        [_from_to(key, lambda value: f"{value:,.0f}" if value >= 1e4 else f"{value:g}")]
        if key.kind in ("whole", "number")
        else []
    )


def _from_to(key: Key, said: Callable[[float], str]) -> str:
    low = "" if key.low is None else f"{'over' if key.above else 'from'} {said(key.low)}"
    return f"{low} {'' if key.high is None else f'up to {said(key.high)}'}".strip()
