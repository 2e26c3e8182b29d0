"""A calculator's text for people: the list, the page of one, the working of one run."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from textwrap import wrap
from typing import Any

from lynchet.calculators.hints import Key, describe, keys, result_keys, row_keys, rows_of
from lynchet.calculators.registry import Entry, find
from lynchet.calculators.value_text import item_text, value_lines, value_text
from lynchet.core.calculator import Declaration, Step, as_keys
from lynchet.units.endings import ENDINGS, in_words, unit_text
from lynchet.units.measures import System

KNOWN = {
    "SEEN": "seen in a text",
    "MEMORY": "recalled, to be confirmed before you rely on it",
    "DERIVED": "own arithmetic, checked independently",
    "PRACTICE": "common practice without a source",
}
_AS_WRITTEN: dict[str, Any] = {"break_on_hyphens": False, "break_long_words": False, "replace_whitespace": False,
                               "drop_whitespace": True}  # fmt: skip
Row = tuple[str, str | list[str]]
"""A name and what stands behind it, in one line or several."""
_FEW = 3
"""Rows of no more values stand one after the other."""
_PARTS = ("Equation:", "Symbols:", "Limits:")


@dataclass(frozen=True)
class Run:
    """One run of a calculator, ready to be shown."""

    declared: Declaration
    given: dict[str, Any]
    """Checked arguments as plain values."""
    result: dict[str, Any]
    steps: list[Step]


def run(name: str, given: Mapping[str, Any]) -> Run:
    """Check the arguments and run a calculator.

    Args:
        name: of the calculator.
        given: arguments in SI by key.

    Raises:
        UnknownNameError: no such calculator.
        InputError: the arguments are refused.
    """
    from lynchet.calculators.checked import check  # late: the list and the pages need no checker

    declared = find(name)
    checked = check(declared.function, given)
    result = declared.function(**checked)
    steps = declared.working(checked, result) if declared.working else []
    order = [key.name for key in keys(declared.function)]
    given_plain = as_keys({name: checked[name] for name in order if name in checked})
    return Run(declared, given_plain, as_keys(result), steps)


def working_text(name: str, given: Mapping[str, Any], system: System = "metric") -> str:
    """The text that ``lynchet calc`` prints for these arguments; findings open their working with it."""
    return "\n".join(run_lines(run(name, given), system))


EQUATION = "Equation"
"""Name of the part of a working that is the same for every run of its calculator."""


def working_parts(
    name: str, given: Mapping[str, Any], system: System = "metric"
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The same told for a page: parts with a name each and their lines, each as long as it is.

    What is one value stands in one running line with its like, a table in a line for each row.
    """
    done = run(name, given)
    steps = tuple(_step_line(number, step, system) for number, step in enumerate(done.steps, start=1))
    results: list[Row] = [(in_words(key), value_lines(key, value, system)) for key, value in done.result.items()]
    said = [text for text in (parts(done.declared).get("Limits"),) if text]
    ends = [*_origin_lines(done.declared), *(f"Limits: {text}" for text in said)]
    ends += [f"CAUTION: {done.declared.caution}"] if done.declared.caution else []
    known = parts(done.declared)
    told = (*((known["Equation"],) if "Equation" in known else ()),
            *(f"{name}: {known[name]}" for name in ("Symbols",) if name in known))  # fmt: skip
    found = (
        ("", (f"{summary(done.declared)} ({done.declared.name})",)),
        (EQUATION, told),
        ("Given", _running(_in_short(_given_rows(done, system, {}), done.given, system))),
        ("Working", steps),
        ("Result", _running(_in_short(results, done.result, system))),
        ("", tuple(" ".join(line.split()) for line in ends)),
    )
    return tuple(part for part in found if part[1])


def _in_short(rows: Sequence[Row], values: Mapping[str, Any], system: System) -> list[Row]:
    """Rows of tables with what is not as in the row before, so that one sees what changes from row to row."""
    tables = {in_words(key): _changes(key, value, system) for key, value in values.items() if _is_table(value)}
    return [(name, tables.get(name, texts)) for name, texts in rows]


def _is_table(value: Any) -> bool:
    return isinstance(value, list) and len(value) > 1 and all(isinstance(item, dict) for item in value)


def _changes(key: str, rows: Sequence[dict[str, Any]], system: System) -> list[str]:
    if all(len(row) <= _FEW for row in rows):
        return ["; ".join(value_text(key, row, system) for row in rows)]
    found = [value_text(key, rows[0], system)]
    for before, row in pairwise(rows):
        new = {name: value for name, value in row.items() if name not in before or before[name] != value}
        found.append(f"the same, but {value_text(key, new, system)}" if new else "the same")
    return found


def _running(rows: Sequence[Row]) -> tuple[str, ...]:
    """Single values one after the other; rows of a table each by itself, numbered."""
    lines: list[str] = []
    single: list[str] = []
    for name, texts in rows:
        held = [texts] if isinstance(texts, str) else texts
        if len(held) == 1:
            single.append(f"{name} {held[0]}".strip())
            continue
        lines += ["; ".join(single)] if single else []
        single = []
        lines += [f"{name} {number}: {text}" for number, text in enumerate(held, start=1)]
    return (*lines, "; ".join(single)) if single else tuple(lines)


def _step_line(number: int, step: Step, system: System) -> str:
    value = _step_value(step, system)
    return f"{number}. {step.what}: {step.how} = {value}" if step.how else f"{number}. {step.what}: {value}"


def run_lines(done: Run, system: System = "metric", typed: Mapping[str, Any] | None = None) -> list[str]:
    """One run: inputs as understood, the working in steps, the result, source, how known, limits, caution.

    Args:
        done: the run.
        system: "us" puts feet, inches and pounds first, the SI values of the formulas in brackets.
        typed: texts as the person wrote them, by key, shown where they differ from the value understood.
    """
    declared = done.declared
    lines = [f"{summary(declared)} ({declared.name})", "", "Given"]
    lines += _table(_given_rows(done, system, typed or {}))
    if done.steps:
        lines += ["", "Working"]
        lines += [f"  {_step_line(number, step, system)}" for number, step in enumerate(done.steps, start=1)]
    lines += ["", "Result"]
    lines += _table([(in_words(key), value_lines(key, value, system)) for key, value in done.result.items()])
    lines += ["", *_origin_lines(declared)]
    limits = parts(declared).get("Limits")
    return lines + _wrapped("Limits", limits or "") + _wrapped("CAUTION", declared.caution)


def run_data(done: Run) -> dict[str, Any]:
    """One run as plain data for JSON."""
    declared = done.declared
    return {
        "calculator": declared.name,
        "title": summary(declared),
        "given": done.given,
        "result": done.result,
        "working": [{"what": s.what, "how": s.how, "value": _json(s.value), "unit": s.unit} for s in done.steps],
        "source": declared.source,
        "known": declared.known,
        "limits": parts(declared).get("Limits", ""),
        "caution": declared.caution,
    }


def _json(value: Any) -> Any:
    return value.tolist() if hasattr(value, "tolist") else value


def list_lines(entries: Iterable[Entry]) -> list[str]:
    """Calculators by room, one line each."""
    held = list(entries)
    width = max((len(entry.name) for entry in held), default=0)
    lines: list[str] = []
    room = ""
    for entry in held:
        if entry.room != room:
            lines += ["", entry.room] if lines else [entry.room]
            room = entry.room
        lines.append(f"  {entry.name:<{width}}  {entry.line}")
    return lines


def page_lines(declared: Declaration) -> list[str]:
    """The page of one calculator: what it does, keys with kinds, ranges and defaults, results, source, example."""
    lines = [f"lynchet calc {declared.name} key=value ...", "", summary(declared) + ".", ""]
    for name, text in parts(declared).items():
        lines += _wrapped(name, text)
    lines += ["", "Keys (* must be given; values may carry their own unit: 6 ft 3 1/2 in, 480 cm, 120 pcf)"]
    lines += _table(_key_rows(keys(declared.function), ""))
    lines += ["", "Results"]
    lines += _table([(key.name, unit_text(key.name)) for key in result_keys(declared.function)])
    lines += ["", *_origin_lines(declared)]
    lines += _wrapped("CAUTION", declared.caution)
    return [*lines, "", "Example", "  " + example_line(declared)]


def example_line(declared: Declaration) -> str:
    """A command that runs, quoted for a shell."""
    words = [f"{key}={_example_value(value)}" for key, value in declared.example.items()]
    return " ".join(["lynchet calc", declared.name, *map(shlex.quote, words)])


def _example_value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def summary(declared: Declaration) -> str:
    """The one line of a calculator, without its full stop."""
    return (declared.function.__doc__ or "").strip().splitlines()[0].rstrip(".")


def parts(declared: Declaration) -> dict[str, str]:
    """Equation, symbols and limits from the docstring, each on one line."""
    found: dict[str, str] = {}
    for paragraph in (declared.function.__doc__ or "").split("\n\n"):
        text = " ".join(paragraph.split())
        for part in _PARTS:
            if text.startswith(part):
                found[part[:-1]] = text[len(part) :].strip()
    return found


def _step_value(step: Step, system: System) -> str:
    value = _json(step.value)
    if isinstance(value, str) or not step.unit or step.unit not in ENDINGS:
        return value_text("", value)
    return value_text(f"_{step.unit}", value, system)


def _given_rows(done: Run, system: System, typed: Mapping[str, Any]) -> list[Row]:
    rows: list[Row] = []
    for key in keys(done.declared.function):
        if key.name in done.given:
            held = done.given[key.name]
            texts = value_lines(key.name, held, system)
            wrote = typed.get(key.name)
            if (
                isinstance(wrote, str)
                and wrote[:1] not in ("[", "{")
                and wrote not in (texts[0], str(held), number_or_text(done, key.name))
            ):
                texts[-1] += f'   from "{wrote}"'
        elif key.default is not None:
            texts = [value_text(key.name, as_keys({"v": key.default}).get("v"), system) + "   (not given, taken so)"]
        else:
            continue
        rows.append((in_words(key.name), texts))
    return rows


def number_or_text(done: Run, key: str) -> str:
    """A given value as bare text, to compare with what was typed."""
    return item_text(done.given[key])


def _key_rows(known: list[Key], indent: str) -> list[Row]:
    rows: list[Row] = []
    for key in known:
        text = describe(key.name, key.hint) + default_text(key)
        rows.append((f"{indent}{key.name}{' *' if key.required else ''}", text))
        row = rows_of(key.hint)
        if row is not None:
            rows += _key_rows(row_keys(row), indent + "    ")
    return rows


def default_text(key: Key) -> str:
    """What is taken where a key is not given, in brackets after its kind; empty where it must be given."""
    if key.required:
        return ""
    if key.default is None:
        return " (may be left out)"
    return f" (default {value_text(key.name, as_keys({'v': key.default})['v'])})"


def _origin_lines(declared: Declaration) -> list[str]:
    return [f"Source: {declared.source}", f"How known: {declared.known}, {KNOWN[declared.known]}"]


def _wrapped(name: str, text: str) -> list[str]:
    """A paragraph in lines of up to 100 letters, its second line on set in; none for an empty text."""
    return (
        wrap(f"{name}: {text}", 100, subsequent_indent="  ", break_on_hyphens=False, break_long_words=False)
        if text
        else []
    )


def _table(rows: Sequence[Row]) -> list[str]:
    width = max((len(name) for name, _ in rows), default=0)
    lines = []
    for name, texts in rows:
        first, rest = f"  {name:<{width}}  ", " " * (width + 4)
        for text in [texts] if isinstance(texts, str) else texts:
            lines += wrap(first + text, 110, subsequent_indent=rest, **_AS_WRITTEN) or [first.rstrip()]
            first = rest
    return [line.rstrip() for line in lines]
