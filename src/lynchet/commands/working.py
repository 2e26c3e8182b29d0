"""The working of a plan's findings: which have one, and its text as ``lynchet calc`` prints it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches

from lynchet.calculators.text import working_text
from lynchet.commands.report import finding_lines, wrapped
from lynchet.core.errors import Fault, UnknownNameError
from lynchet.core.findings import Finding, Working
from lynchet.units.measures import System

GROUND = (
    "What the ground under the base could carry at most. The wall counts on a third of it, and on no more than {most} "
    "where nobody looked at the soil or it is clay."
)


def worked(findings: Sequence[Finding]) -> list[Finding]:
    """Findings that come from a calculator, so that their working can be opened."""
    return [finding for finding in findings if finding.working is not None]


def all_workings(finding: Finding) -> tuple[Working, ...]:
    """The calculators that give a finding's numbers, in the order they are read."""
    return () if finding.working is None else (finding.working, *finding.working_also)


def offer_lines(findings: Sequence[Finding]) -> list[str]:
    """How to open the workings there are; nothing where there are none."""
    places = list(dict.fromkeys(finding.place or "site" for finding in worked(findings)))
    if not places:
        return []
    one = "One finding can be seen" if len(worked(findings)) == 1 else f"{len(worked(findings))} findings can be seen"
    return wrapped(f"{one} worked out, with all numbers: add --working {places[0]}, or --working all.")


def working_lines(findings: Sequence[Finding], wanted: str, system: System) -> Iterator[str]:
    """Each wanted finding in its words, then its working.

    Args:
        findings: all of the plan.
        wanted: "all", a place (W2) or a code, whole or its last word (stability.wall, wall).
        system: "us" puts feet, inches and pounds first.

    Raises:
        UnknownNameError: no finding with a working has this place or code; those that have are named.
    """
    known = worked(findings)
    chosen = [finding for finding in known if wanted == "all" or wanted.lower() in _names(finding)]
    if not chosen:
        raise UnknownNameError(_unknown(findings, known, wanted))
    for number, finding in enumerate(chosen):
        if number:
            yield from ("", "-" * 40, "")
        yield from finding_lines(finding)
        for name, given in all_workings(finding):
            yield ""
            if name == "bearing_capacity":
                yield from (*wrapped(GROUND.format(most="1500 psf" if system == "us" else "72 kPa")), "")
            yield from working_text(name, dict(given), system).splitlines()


def _names(finding: Finding) -> tuple[str, ...]:
    return (finding.place or "site").lower(), finding.code, finding.code.rpartition(".")[2]


def _unknown(findings: Sequence[Finding], known: Sequence[Finding], wanted: str) -> Fault:
    if not known:
        return Fault("no finding of this plan comes from a formula", "a plan without --working", "--working")
    names = list(dict.fromkeys(finding.place or "site" for finding in known))
    if wanted != "all" and any(wanted.lower() in _names(finding) for finding in findings):
        return Fault(f"the finding {wanted!r} is no formula", "one of: all, " + ", ".join(names), "--working")
    near = get_close_matches(wanted, [*names, *(finding.code for finding in known)], n=1)
    meant = f"did you mean {near[0]}? " if near else ""
    return Fault(f"no finding is about {wanted!r}", f"{meant}one of: all, " + ", ".join(names), "--working")
