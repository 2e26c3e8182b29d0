"""What a sheet set is stamped with: the user's firm, who drew it, date and issue, and the numbers of its sheets."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from lynchet.core.findings import Verdict
from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Fields
from lynchet.drawings.plan_stays import benchmark_words
from lynchet.drawings.roles import Theme
from lynchet.drawings.source import Planned
from lynchet.plan.model import Plan
from lynchet.project.firm import Logo
from lynchet.project.model import Project

STOPPED = "DO NOT BUILD"
"""Of a site that is stopped: nothing is written to build from."""
NOT_AS_DRAWN = "STOP: not to be built as drawn"
"""Of a plan with a stop at a wall, a crossing or elsewhere: its sheets are to look at, not to build from."""
MOST_BYTES = 300_000
"""A larger logo stands on the quote alone: every sheet carries its own copy."""


@dataclass(frozen=True)
class Stamp:
    """Given by whoever prints; nothing here is worked out from the clock."""

    firm: str = ""
    drawn: str = ""
    checked: str = "not yet"
    date: str = ""
    issue: str = "A"
    theme: Theme = "print"
    numbers: tuple[tuple[str, int], ...] = field(default=())
    """Sheet id and number of every sheet of the set."""
    status: str = ""
    address: str = ""
    phone: str = ""
    """Of the firm, as its address."""
    logo: Logo | None = None
    job_number: str = ""
    place: str = ""

    def number(self, sheet: str) -> int | None:
        """The number of a sheet of the set, or None where it is not in it."""
        return dict(self.numbers).get(sheet)

    def numbered(self, ids: tuple[str, ...]) -> Stamp:
        """The same for a set of its own, its sheets numbered from 1."""
        return replace(self, numbers=tuple((name, number) for number, name in enumerate(ids, start=1)))

    def fields(self, sheet: str, title: str, scale: str, plan: Planned) -> Fields:
        """The title block of one sheet."""
        figures = Figures(plan.project.units)
        return Fields(
            firm=self.firm, job=printable(plan.project.name), title=title, scale=scale, units=zero_words(plan, figures),
            drawn=self.drawn, checked=self.checked, date=self.date, issue=self.issue, number=self.number(sheet) or 1,
            of=max((number for _, number in self.numbers), default=1), status=self.status, address=self.address,
            phone=self.phone, logo=self.logo, job_number=self.job_number, place=self.place,
        )  # fmt: skip


def stamp_of(plan: Plan, theme: Theme = "print") -> Stamp:
    """What the file says of the firm and the title block; a stop says so on every sheet."""
    plain = plain_stamp(plan.project, theme)
    return replace(plain, status=stop_words(plan) or plain.status)


def plain_stamp(project: Project, theme: Theme = "print") -> Stamp:
    """What the file says of the firm and the title block, whatever the plan comes to."""
    said, firm = project.sheet, project.firm
    logo = firm.logo if firm.logo and len(firm.logo.data) <= MOST_BYTES else None
    return Stamp(
        firm=firm.name, drawn=said.drawn, checked=said.checked or "not yet", date=said.date, issue=said.issue,
        theme=theme, status=said.status, logo=logo,
        address=" · ".join(part for part in firm.address if part), phone=firm.phone, job_number=said.number,
        place=said.place,
    )  # fmt: skip


def stop_words(plan: Plan) -> str:
    """What every sheet and every file one might build from says of a plan with a stop; empty without one."""
    if "all" in plan.withheld:
        return STOPPED
    return NOT_AS_DRAWN if plan.verdict is Verdict.STOP else ""


def zero_words(plan: Planned, figures: Figures) -> str:
    """Units and what levels count from: "m; house door sill = +0.12", short enough for its field."""
    unit = "ft, in" if figures.system == "us" else "m"
    return f"{unit}; {benchmark_words(plan, figures) or 'zero as in the file'}"
