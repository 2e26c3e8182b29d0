"""The page "How we know": how well each formula is held by published cases. Written by ``make pages``."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from lynchet.calculators.registry import Entry, find
from lynchet.calculators.text import KNOWN

_FLAW = re.compile(
    r"misprint|\bslips?\b|the print\b|is printed|\bprints? |printed (as|value|result|rounded|with|from)|round(s|ed)\b"
    r"|\bwrong\b|\btypo|corrected|should read|page says|page calls|inconsistent",
    re.IGNORECASE,
)
"""Words of a note that tells where a source is misprinted, rounded or unclear."""

Cases = Mapping[str, Sequence[dict[str, Any]]]
"""Cases by room."""


def refuses(case: dict[str, Any]) -> bool:
    """Whether a case holds input that must be refused."""
    return "refused" in case or "refused" in case.get("expect", {})


def known_page(cases: Cases, entries: Sequence[Entry]) -> list[str]:
    """The whole page."""
    every = [case for held in cases.values() for case in held]
    lines = [
        "# How we know", "",
        "Every formula names its source, and how we know what the source says. Every one is run against cases: "
        "examples a source prints, others worked out apart from the program, and input that must be refused. "
        "`lynchet verify` runs them all and prints ours against the published value. Written from the case files by "
        "`make pages`; change those, not this page.", "",
        "| word | what it means | calculators | cases |", "|---|---|---|---|",
    ]  # fmt: skip
    of_cases = Counter(case["known"] for case in every)
    of_formulas: Counter[str] = Counter(find(entry.name).known for entry in entries)
    lines += [f"| {word} | {text} | {of_formulas[word]} | {of_cases[word]} |" for word, text in KNOWN.items()]
    lines += ["", *_rooms(cases, entries), "", *_formulas(cases, entries), "", *_flaws(cases)]
    return lines


def _rooms(cases: Cases, entries: Sequence[Entry]) -> list[str]:
    head = ["## By room", "", "| room | calculators | cases | refusals | " + " | ".join(KNOWN) + " |"]
    lines = [*head, "|---" * (4 + len(KNOWN)) + "|"]
    total: Counter[str] = Counter()
    for room, held in cases.items():
        row = Counter({word: sum(case["known"] == word for case in held) for word in KNOWN})
        row += Counter(calculators=sum(e.room == room for e in entries), cases=len(held))
        row["refusals"] = sum(map(refuses, held))
        lines.append(_room_row(f"[{room}](handbook/{room}.md)", row))
        total += row
    return [*lines, _room_row("all", total), "", "Refusals are counted among the cases."]


def _room_row(name: str, row: Mapping[str, int]) -> str:
    numbers = [row[key] for key in ("calculators", "cases", "refusals", *KNOWN)]
    return f"| {name} | " + " | ".join(map(str, numbers)) + " |"


def _formulas(cases: Cases, entries: Sequence[Entry]) -> list[str]:
    lines = [
        "## By calculator", "",
        "Known tells how we know the formula; cases, how many were seen (S), recalled (M), derived (D) or are common "
        "practice (P), the refusals not counted; refusals, how many inputs that must be refused.", "",
        "| calculator | source | known | cases | refusals |", "|---|---|---|---|---|",
    ]  # fmt: skip
    for entry in entries:
        held = [case for case in cases.get(entry.room, ()) if case["calculator"] == entry.name]
        declared = find(entry.name)
        counts = Counter(case["known"][0] for case in held if not refuses(case))
        told = " ".join(f"{counts[letter]}{letter}" for letter in "SMDP" if counts[letter])
        link = f"[{entry.name}](handbook/{entry.room}.md#{entry.name})"
        source = " ".join(declared.source.split()).replace("|", "/")
        lines.append(f"| {link} | {source} | {declared.known} | {told} | {sum(map(refuses, held))} |")
    return lines


def _flaws(cases: Cases) -> list[str]:
    lines = [
        "## Where a source is misprinted, rounded or unclear", "",
        "What the case files note beside a published value, which stands as published; its tolerance allows for it.",
        "", "| case | calculator | note |", "|---|---|---|",
    ]  # fmt: skip
    for held in cases.values():
        for case in held:
            note = " ".join(str(case.get("note", "")).split()).replace("|", "/")
            if _FLAW.search(note) and case["known"] in ("SEEN", "MEMORY") and not refuses(case):
                lines.append(f"| {case['id']} | {case['calculator']} | {note} |")
    return lines
