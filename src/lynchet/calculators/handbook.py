"""The handbook as pages in Markdown: an entry for each calculator, by room. Written by ``make pages``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from lynchet.calculators.hints import Key, describe, keys, result_keys, row_keys, rows_of
from lynchet.calculators.registry import Entry, find
from lynchet.calculators.text import KNOWN, Run, default_text, example_line, parts, run, summary
from lynchet.calculators.value_text import value_text
from lynchet.core.calculator import Declaration
from lynchet.units.endings import in_words, unit_text

ROOM_WORDS = {
    "ground": "measuring, levels, areas, volumes, digging by hand",
    "water": "rain, runoff, pipes, drains, filters, watering",
    "stability": "soil pressure, walls, joints, ties, bearing, slopes",
    "timber": "pieces, courses, strength, fasteners, cutting and laying",
    "planting": "sun, plants, bed soil, mulch",
    "works": "hours, order of work, prices, deliveries, readings of what stands",
}
_LONGEST = 300


def handbook_page(room: str, entries: Iterable[Entry]) -> list[str]:
    """The page of one room: its calculators in order of name."""
    held = [find(entry.name) for entry in entries if entry.room == room]
    lines = [
        f"# Handbook: {room}", "",
        f"Formulas for {ROOM_WORDS[room]}. Written from the code by `make pages`; change the code, not this page.", "",
        "Values are in SI, with the unit at the end of the key; on the command line a value may carry its own unit "
        "(`6 ft 3 1/2 in`, `480 cm`, `120 pcf`). Keys with a star must be given.", "",
    ]  # fmt: skip
    lines += [f"- [{declared.name}](#{declared.name}): {summary(declared)}" for declared in held]
    for declared in held:
        lines += ["", *entry_lines(declared)]
    return lines


def entry_lines(declared: Declaration) -> list[str]:
    """One calculator: what it computes, equation, keys, results, source, caution, an example with its result."""
    lines = [f"## {declared.name}", "", f"{summary(declared)}.", ""]
    for name, text in parts(declared).items():
        lines += [f"**{name}.** {_plain(text)}", ""]
    lines += ["| key | what it may be |", "|---|---|", *_key_rows(keys(declared.function)), ""]
    lines += ["| result | unit |", "|---|---|", *_result_rows(result_keys(declared.function)), ""]
    lines += [f"Source: {_plain(declared.source)}.".replace("..", "."), ""]
    lines += [f"How known: {declared.known}, {KNOWN[declared.known]}.", ""]
    if declared.caution:
        lines += [f"**Caution.** {_plain(declared.caution)}", ""]
    lines += ["Example", "", f"    {example_line(declared)}", "", *_result_lines(run(declared.name, declared.example))]
    return lines


def _key_rows(known: list[Key], table: str = "") -> list[str]:
    rows = []
    for key in known:
        text = describe(key.name, key.hint) + default_text(key)
        star = " \\*" if key.required else ""
        rows.append(f"| `{table}{key.name}`{star} | {_plain(text)} |")
        row = rows_of(key.hint)
        if row is not None:
            rows += _key_rows(row_keys(row), f"{table}{key.name}.")
    return rows


def _result_rows(known: list[Key], table: str = "") -> list[str]:
    rows = []
    for key in known:
        rows.append(f"| `{table}{key.name}` | {unit_text(key.name)} |")
        row = rows_of(key.hint)
        if row is not None:
            rows += _result_rows(row_keys(row), f"{table}{key.name}.")
    return rows


def _result_lines(done: Run) -> list[str]:
    """The results as the command prints them, long lists cut short."""
    return [f"    {in_words(key)}  {_cut(value_text(key, value))}" for key, value in done.result.items()]


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST else text[:_LONGEST].rstrip() + " ..."


def _plain(text: Any) -> str:
    """A text that Markdown leaves as it is: no stars, bars, brackets or line ends that mean something."""
    plain = " ".join(str(text).split())
    for mark in ("\\", "*", "|", "<"):
        plain = plain.replace(mark, f"\\{mark}")
    return plain
