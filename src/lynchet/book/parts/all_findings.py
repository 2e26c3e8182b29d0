"""All findings with their working, and all that was assumed."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from lynchet.book.blocks import Block, Heading, Para, Table, Working
from lynchet.book.parts.first_page import flag_of
from lynchet.book.texts import Words
from lynchet.calculators.text import working_text
from lynchet.core.findings import Finding
from lynchet.core.same import Same
from lynchet.plan.model import Plan
from lynchet.units.measures import System


def all_findings(plan: Plan, words: Words) -> tuple[Block, ...]:
    """Every finding, the worst first."""
    return tuple(_findings(plan, words))


def _findings(plan: Plan, words: Words) -> Iterator[Block]:
    yield Heading(words("findings.head"), 1)
    yield Para(words("findings.intro"))
    for finding in plan.findings:
        yield from finding_blocks(finding, plan.project.units, words)


def finding_blocks(finding: Finding, units: System, words: Words) -> Iterator[Block]:
    """One finding with its word, and the working of the calculators it comes from."""
    yield flag_of(finding, _small(finding, words))
    for name, shown in _worked(Same(finding), units):
        yield Working(words("findings.working", what=name.replace("_", " ")), shown)


@lru_cache(maxsize=1 << 9)
def _worked(finding: Same[Finding], units: System) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Calculators with the lines of their working; kept, as the engineer's folder prints what the book printed."""
    told = finding.thing
    found = []
    for name, given in () if told.working is None else (told.working, *told.working_also):
        lines = (line.rstrip() for line in working_text(name, dict(given), units).splitlines())
        found.append((name, tuple(line for line in lines if line)))
    return tuple(found)


def _small(finding: Finding, words: Words) -> tuple[str, ...]:
    lines = []
    if finding.case:
        lines.append(words("findings.case", case=words(f"cases.{finding.case}")))
    lines += [f"{cure.text}" for cure in finding.cures]
    if finding.source:
        lines.append(words("findings.source", source=finding.source))
    return tuple(lines)


def assumed(plan: Plan, words: Words) -> tuple[Block, ...]:
    """Every default used, with its origin."""
    used = plan.project.defaults
    if not used:
        return ()
    rows = tuple((d.key, d.value, f"{d.origin} ({d.note})" if d.note else d.origin) for d in used)
    return (
        Heading(words("assumed.head"), 1),
        Para(words("assumed.intro")),
        Table(words.many("assumed.heads"), rows, shares=(2, 1.6, 4)),
    )
