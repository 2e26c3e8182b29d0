"""What a project file says that is no TOML, in words for people who never heard of TOML."""

from __future__ import annotations

import re
from collections.abc import Sequence

_GENERAL = 'key = value, texts and values with a unit in "quotes", [table], lists in [ ]'
_CURLY = "\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb"


def toml_words(error: str, lines: Sequence[str]) -> tuple[str, str]:
    """What was found and what is accepted.

    Args:
        error: as the reader of the standard library says it.
        lines: the line it stopped at, if there is one.
    """
    line = lines[0].strip() if lines else ""
    shown = line if len(line) <= 60 else line[:57] + "..."
    twice = re.search(r"Cannot declare \((.*?),?\) twice", error)
    if twice:
        return (
            f"{_table(twice[1])} stands twice",
            "each [table] once, with all its keys; [[table]] for several of a kind",
        )
    if "Cannot overwrite" in error or "Cannot mutate" in error:
        return f"{line.partition('=')[0].strip()} stands twice", "each key once in its table"
    if any(mark in line for mark in _CURLY):
        return f"curly quotes in: {shown}", 'straight quotes: "20 ft"'
    if "Expected '='" in error:
        return f"no = after the key in: {shown}", "key = value, as in: terraces = 3"
    if "Unclosed array" in error:
        return "a list before here that is not closed", "a ] at its end"
    if "Unclosed inline table" in error:
        return "a { that is not closed", "a } at its end, on the same line"
    if "Illegal character '\\n'" in error or "Unterminated string" in error or 'Expected "\'"' in error:
        return f"a text that is not closed: {shown}", 'a " at its end'
    if '"' in line and "\\" in line:
        return f"a backslash between quotes: {shown}", "names of files with /, as in prices/list.csv"
    if line:
        after = line.partition("=")[2].strip()
        return f"it cannot be read: {shown}", _hint(after)
    return "it cannot be read", _GENERAL


def _hint(value: str) -> str:
    """What may be meant by a value that cannot be read."""
    if re.fullmatch(r"\d+,\d+.*", value):
        return "a point for decimals: 6.5"
    if re.match(r"\[?[\s\d,-]*\d{4}-\d\d?-\d\d?\b", value):
        return "a day of the calendar as YYYY-MM-DD, with two figures for month and day: 2027-04-05"
    if re.match(r"\d[\d.]*\s*(?:[a-z%]|['\"])", value, re.IGNORECASE):
        return 'a value with its unit in quotes: "20 ft"'
    if value.partition("#")[0].strip().lower() in ("yes", "no", "on", "off", "true", "false"):
        return "true or false, in small letters and without quotes"
    if re.fullmatch(r"[^\W\d][\w .-]*", value):
        return f'a text in quotes: "{value}"'
    if value.count('"') > 2:
        return 'inches as in, not as a mark, inside quotes: "20 ft 6 in"'
    return _GENERAL


def _table(parts: str) -> str:
    return "[" + ".".join(re.findall(r"'([^']*)'", parts)) + "]"
