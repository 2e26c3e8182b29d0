"""How the stage gives a yard up: a finding carried out of the depths, caught in ``terraces.stage`` and never beyond."""

from __future__ import annotations

from lynchet.core.findings import Cure, Finding, Verdict


class Refused(Exception):  # noqa: N818 - not an error of the input, an answer about the yard
    """The yard cannot be laid out as asked."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        super().__init__(finding.text)


def refused(code: str, place: str, text: str, cure: str) -> Refused:
    """A refusal with its reason and the change that would help."""
    name = code.rsplit(".", maxsplit=1)[-1]
    return Refused(Finding(code, Verdict.STOP, text, place, cures=(Cure(name, cure),), withholds=("all",)))
