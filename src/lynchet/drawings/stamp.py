"""What a sheet set is stamped with: the user's firm, who drew it, date and issue, and the numbers of its sheets."""

from __future__ import annotations

from dataclasses import dataclass, field

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import printable
from lynchet.drawings.model import Fields
from lynchet.drawings.roles import Theme
from lynchet.drawings.source import Planned


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

    def number(self, sheet: str) -> int | None:
        """The number of a sheet of the set, or None where it is not in it."""
        return dict(self.numbers).get(sheet)

    def fields(self, sheet: str, title: str, scale: str, plan: Planned) -> Fields:
        """The title block of one sheet."""
        figures = Figures(plan.project.units)
        return Fields(
            firm=self.firm, job=printable(plan.project.name), title=title, scale=scale, units=zero_words(plan, figures),
            drawn=self.drawn, checked=self.checked, date=self.date, issue=self.issue, number=self.number(sheet) or 1,
            of=max((number for _, number in self.numbers), default=1),
        )  # fmt: skip


def zero_words(plan: Planned, figures: Figures) -> str:
    """Units and what levels count from: "m; house door sill = +0.12", short enough for its field."""
    unit = "ft, in" if figures.system == "us" else "m"
    setting = plan.walls.setting_out
    if setting.benchmark:
        return f"{unit}; {printable(setting.benchmark)} = {figures.level(setting.benchmark_m)}"
    return f"{unit}; zero as in the file"
