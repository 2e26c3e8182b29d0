"""What is looked at and done again in the years after, with first dates where the end of the work has one."""

from __future__ import annotations

from datetime import date

from lynchet.core.tables import read_table
from lynchet.works.dates import add_months, on_day, read_date
from lynchet.works.job import Job
from lynchet.works.model import Upkeep


def upkeep_of(job: Job, finish: str) -> tuple[Upkeep, ...]:
    """The care of this job.

    Args:
        job: for what it has (pipes, beds) and on which half of the earth it lies (autumn; north where not said).
        finish: date of the last working day; empty where no start is given.
    """
    table = read_table("works", "upkeep")
    drained = bool(job.water.outlets or job.water.drains)
    south = (job.project.site.latitude_deg or 0.0) < 0
    end = read_date(finish, "finish") if finish else None
    found = []
    for row in table.rows:
        if not drained and ("outlet" in row["what"] or "grates" in row["what"] or "pipes" in row["what"]):
            continue
        if "weep" in row["what"] and not job.stability.weeps:
            continue
        found.append(
            Upkeep(
                row["what"], row["when"], int(row["every"]), _first(row, end, south), row["why"],
                row["after_storm"] == "yes", table.known,
            )
        )  # fmt: skip
    return tuple(found)


def _first(row: dict[str, str], end: date | None, south: bool) -> str:
    """First date: the next such day of the year after the end, or months after it."""
    if end is None:
        return ""
    if row["on"]:
        north_day, south_day = row["on"].split("|")
        month, day = (int(part) for part in (south_day if south else north_day).split("-"))
        this_year = on_day(end.year, month, day)
        return (this_year if this_year > end else on_day(end.year + 1, month, day)).isoformat()
    months = int(row["months"])
    return add_months(end, months).isoformat() if months else ""
