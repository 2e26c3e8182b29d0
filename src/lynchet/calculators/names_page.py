"""The page "Names and units": what the end of a key says, from the calculators' keys. Written by ``make pages``."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from lynchet.calculators.hints import Key, keys, kind_text, result_keys, row_keys, rows_of
from lynchet.calculators.registry import Entry, find
from lynchet.units.endings import ENDINGS, ending

_SHOWN = 6


def every_key(entry: Entry) -> Iterator[Key]:
    """Arguments, columns of tables and results of a calculator."""
    function = find(entry.name).function
    for key in (*keys(function), *result_keys(function)):
        yield key
        row = rows_of(key.hint)
        if row is not None:
            yield from row_keys(row)


def holds_numbers(key: Key) -> bool:
    """Whether a key holds numbers, whole ones and lists of them too."""
    return "number" in kind_text(key.hint)


def _is_count(key: Key) -> bool:
    return "number" not in kind_text(key.hint).replace("whole number", "")


def names_page(entries: Sequence[Entry]) -> list[str]:
    """The whole page."""
    with_unit: dict[str, dict[str, None]] = defaultdict(dict)
    pure: dict[str, list[str]] = defaultdict(list)
    for entry in entries:
        for key in every_key(entry):
            if holds_numbers(key) and ending(key.name):
                with_unit[ending(key.name)][key.name] = None
            elif holds_numbers(key) and not _is_count(key) and entry.name not in pure[key.name]:
                pure[key.name].append(entry.name)
    lines = [
        "# Names and units", "",
        "Everything is in SI inside; the end of a name says the unit. A name without such an end is a pure number, a "
        "count, a text, a flag or a table. At the edge a value may carry its own unit (`6 ft 3 1/2 in`, `480 cm`, "
        "`120 pcf`, `1 in 6`). Written from the code by `make pages`.", "",
        "## Ends of names", "", "| end | unit | keys | for example |", "|---|---|---|---|",
    ]  # fmt: skip
    for end in sorted(with_unit):
        names = sorted(with_unit[end])
        lines.append(f"| `_{end}` | {ENDINGS[end]} | {len(names)} | {_some(names)} |")
    lines += ["", "Money is in the currency of the prices given.", ""]
    lines += ["## Pure numbers", "", "| key | calculators |", "|---|---|"]
    lines += [f"| `{name}` | {_some(sorted(pure[name]))} |" for name in sorted(pure)]
    return lines


def _some(names: Sequence[str]) -> str:
    shown = ", ".join(f"`{name}`" for name in names[:_SHOWN])
    return f"{shown} and {len(names) - _SHOWN} more" if len(names) > _SHOWN else shown
