"""All findings with their working, and all that was assumed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from math import floor, log10

from lynchet.book.blocks import Block, Heading, Para, Table, Working
from lynchet.book.parts.first_page import flag_of
from lynchet.book.parts.order_pages import raised
from lynchet.book.texts import Words
from lynchet.calculators.text import EQUATION, working_parts
from lynchet.core.findings import Finding
from lynchet.core.same import Same
from lynchet.plan.model import Plan
from lynchet.plan.of_use import assumed_of_use
from lynchet.project.keys_build import FILE
from lynchet.units.measures import System

Parts = tuple[tuple[str, tuple[str, ...]], ...]
_DECIMAL = re.compile(r"(?<![\d.])\d+\.\d+(?![\d.]|e)")
"""A number with decimals that is no part of a date, a version or a section of a text."""
_DEGREES = re.compile(r"(?<=\d) °(?![CF])")


def all_findings(plan: Plan, words: Words) -> tuple[Block, ...]:
    """Every finding, the worst first."""
    return tuple(_findings(plan, words))


def _findings(plan: Plan, words: Words) -> Iterator[Block]:
    yield Heading(words("findings.head"), 1)
    yield Para(words("findings.intro"))
    told: set[str] = set()
    for finding in plan.findings:
        yield from finding_blocks(finding, (plan.project.units, words), told)


def finding_blocks(finding: Finding, look: tuple[System, Words], told: set[str]) -> Iterator[Block]:
    """One finding with its word, and the working of the calculators it comes from.

    Args:
        finding: the finding.
        look: units and texts.
        told: calculators whose equation, limits and caution stand already over it; those of this finding are added.
    """
    units, words = look
    yield flag_of(finding, _small(finding, words))
    for name, parts in _worked(Same(finding), units):
        title = words("findings.working", what=name.replace("_", " "))
        yield Working(title, _again(parts, words) if name in told else parts)
        told.add(name)


def _again(parts: Parts, words: Words) -> Parts:
    """A working whose equation, limits and caution stand at an earlier run of its calculator."""
    own = tuple((name, lines) for name, lines in parts[:-1] if name != EQUATION)
    return (*own, ("", _once(parts[-1][1], words)))


def _once(ends: tuple[str, ...], words: Words) -> tuple[str, ...]:
    """Source alone, and where equation, limits and caution stand: they are the same for every run of a calculator."""
    return (*(line for line in ends if line.startswith("Source")), words("findings.as_above"))


@lru_cache(maxsize=1 << 9)
def _worked(finding: Same[Finding], units: System) -> tuple[tuple[str, Parts], ...]:
    """Calculators with the parts of their working; kept, as the engineer's folder prints what the book printed."""
    told = finding.thing
    found = []
    for name, given in () if told.working is None else (told.working, *told.working_also):
        parts = working_parts(name, dict(given), units)
        found.append((name, tuple((part, tuple(map(four_figures, lines))) for part, lines in parts)))
    return tuple(found)


def four_figures(text: str) -> str:
    """Numbers of more than four figures to four: what is measured by tape and spade is not known to more."""
    return _DECIMAL.sub(_four, _DEGREES.sub("°", text)).replace(" -0°", " 0°")


def _four(found: re.Match[str]) -> str:
    value = float(found[0])
    decimals = max(0, 3 - floor(log10(value))) if value else 0
    return min(found[0], f"{value:.{decimals}f}", key=len)


def _small(finding: Finding, words: Words) -> tuple[str, ...]:
    lines = []
    if finding.case:
        lines.append(words("findings.case", case=words(f"cases.{finding.case}")))
    lines += [words("findings.cure", text=cure.text) for cure in finding.cures]
    if finding.source:
        lines.append(words("findings.source", source=finding.source))
    return tuple(lines)


def assumed(plan: Plan, words: Words) -> tuple[Block, ...]:
    """Every default used, with its origin."""
    used = assumed_of_use(plan.project, plan.walls)
    if not used:
        return ()
    rows = tuple(
        (_about(d.key), raised(d.value) or words("assumed.nothing"),
         raised(f"{d.origin} ({d.note})" if d.note else d.origin), d.key)
        for d in used
    )  # fmt: skip
    return (
        Heading(words("assumed.head"), 1, flows=True),
        Para(words("assumed.intro")),
        Table(words.many("assumed.heads"), rows, shares=(3.3, 2.1, 3.0, 2.1)),
    )


def _about(key: str) -> str:
    """What a key of the file stands for, as the file's own schema says it: "drain.pipe"; empty where none is found."""
    held = FILE
    about = ""
    for name in key.split("."):
        if name.isdigit() or name not in held.keys:
            continue
        about, inner = held.keys[name].about, held.keys[name].table
        held = inner if inner is not None else held
    return about
