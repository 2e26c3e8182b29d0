"""Sheets, books and what the office gets: CPU seconds and sizes; how they grow is told by ``bench_growth``."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import as_file, files
from pathlib import Path

from tests.bench_clock import timed

from lynchet.book.make import build_book
from lynchet.book.pdf import to_pdf
from lynchet.book.phone import to_phone
from lynchet.drawings.sheets import drawn_sheets, sheets_of
from lynchet.exports.office_files import engineer_files, permit_files
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project


def of_the_demo() -> None:
    """All of it for the garden, drawn for the first time by a program that has drawn another yard."""
    with as_file(files("lynchet.demos")) as folder:
        drawn_sheets(plan_project(read_project(Path(folder) / "side_yard.toml"), effort=LIVE))
        plan = plan_project(read_project(Path(folder) / "l_garden.toml"), effort=LIVE)
    base = min(timed(lambda: sum(number & 3 for number in range(1_000_000)))[0] for _ in range(3))

    def say(name: str, seconds: float, more: str = "") -> None:
        print(f"  {name:26} {seconds:6.2f} s   {seconds / base:5.1f} x   {more}".rstrip())

    print(f"Drawings and books of the demo, CPU seconds once warm, and times a loop of a million ({base:.3f} s)")
    seconds, drawn = timed(lambda: drawn_sheets(plan))
    say(f"{len(drawn)} sheets drawn", seconds, "goal under 1 s")
    by_kind = _by_kind(replace(plan))
    for kind, (count, spent) in sorted(by_kind.items(), key=lambda item: -item[1][1])[:4]:
        say(f"    of it {count} {kind}", spent)
    seconds, book = timed(lambda: build_book(plan, drawn))
    say("book put together", seconds)
    seconds, pdf = timed(lambda: to_pdf(book))
    say("book as PDF", seconds, f"goal under 3 s   {len(pdf) / 1e6:.2f} MB")
    seconds, phone = timed(lambda: to_phone(book))
    say("book for a phone", seconds, f"{len(phone.encode()) / 1e6:.2f} MB   goal under 3 MB")
    seconds, _ = timed(lambda: permit_files(plan, drawn))
    say("permit sheets as PDF", seconds)
    seconds, _ = timed(lambda: engineer_files(plan, drawn))
    say("engineer's PDF and DXF", seconds)


def _by_kind(plan: Plan) -> dict[str, tuple[int, float]]:
    """Sheets and seconds of each kind, made and lowered one by one."""
    from lynchet.drawings.lower import lower

    found: dict[str, tuple[int, float]] = {}
    for sheet in sheets_of(plan).values():
        spent, _ = timed(lambda sheet=sheet: lower(sheet))
        count, before = found.get(sheet.kind, (0, 0.0))
        found[sheet.kind] = count + 1, before + spent
    return found


def main() -> None:
    """All of it."""
    of_the_demo()


if __name__ == "__main__":
    main()
