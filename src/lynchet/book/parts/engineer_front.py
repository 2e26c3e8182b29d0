"""The engineer's folder, first page: what it is, what is asked, who and where, what is kept back."""

from __future__ import annotations

from collections.abc import Iterator

from lynchet.book.blocks import Block, Bullets, Caution, Contents, Flag, Heading, Para, Table
from lynchet.book.engineer_texts import heads, said
from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.figures import Figures
from lynchet.drawings.stamp import stamp_of, zero_words
from lynchet.plan.cautions import ALWAYS
from lynchet.plan.model import Plan

_LICENSED = "engineer"


def engineer_front(plan: Plan) -> tuple[Block, ...]:
    """The first page.

    Args:
        plan: the plan.
    """
    return tuple(_blocks(plan))


def _blocks(plan: Plan) -> Iterator[Block]:
    job = plan.project.name or "Plan"
    yield Heading(f"{said('front.title')}: {job}", 1)
    yield Caution(said("front.what"))
    if "all" in plan.withheld:
        yield Caution(said("front.stopped"))
    elif plan.withheld:
        sheets = ", ".join(name.replace("-", " ") for name in plan.withheld)
        yield Caution(said("front.partly", sheets=sheets))
    yield Flag(plan.verdict.key, plan.verdict.words, f"{job}: {plan.verdict.words}")
    yield Heading(said("front.asked_head"), 2)
    asked = questions(plan)
    if not asked:
        yield Para(said("front.asked_none"))
    for finding in asked:
        yield Flag(finding.verdict.key, finding.verdict.words, finding.text, (said("front.answer"),))
    yield Heading(said("front.head_job"), 2)
    yield Table(heads("front.job_heads"), tuple(_job(plan)), shares=(1, 3))
    yield Heading(said("front.cautions_head"), 2)
    yield Bullets(ALWAYS)
    yield Contents(said("front.contents"))


def questions(plan: Plan) -> list[Finding]:
    """Findings that ask for an engineer, and every stop; one of each cause and place."""
    seen: dict[tuple[str, str], Finding] = {}
    for finding in plan.findings:
        if finding.verdict is Verdict.STOP or (finding.ask == _LICENSED and finding.verdict >= Verdict.ASK):
            seen.setdefault((finding.place, finding.cause or finding.code), finding)
    return list(seen.values())


def _job(plan: Plan) -> Iterator[tuple[str, str]]:
    project = plan.project
    sheet, firm = project.sheet, project.firm
    yield said("front.job"), project.name
    if sheet.number:
        yield said("front.number"), sheet.number
    if sheet.place:
        yield said("front.place"), sheet.place
    by = ", ".join(part for part in (sheet.drawn, firm.name, *firm.address, firm.phone) if part)
    if by:
        yield said("front.firm"), by
    yield said("front.issue"), ", ".join(part for part in (sheet.issue, sheet.date, stamp_of(plan).status) if part)
    yield said("front.units"), zero_words(plan, Figures(project.units))
    place = project.place
    yield said("front.rules"), place.name if place.known else said("front.rules_unknown")
