"""Sheets, books and what the office gets: CPU seconds, seconds by the wall and sizes; ``bench_growth`` has growth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from tests.bench_clock import clocked, on_one_core, timed

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

    def say(name: str, seconds: tuple[float, float], more: str = "") -> None:
        told = "   ".join(f"{one:6.2f} s {one / base:5.1f} x" for one in seconds)
        print(f"  {name:26} {told}   {more}".rstrip())

    def done(name: str, job: Callable[[], Any], more: Callable[[Any], str] = lambda _: "") -> Any:
        spent, wall, found = clocked(job)
        say(name, (spent, wall), more(found))
        return found

    print("Drawings and books of the demo once warm: the processor's time, and time by the wall, each in seconds and")
    print(f"times a loop of a million ({base:.3f} s)")
    say("sheets on one core", on_one_core(lambda: drawn_sheets(plan)))
    drawn = done("sheets on all cores", lambda: drawn_sheets(plan), lambda all_: f"{len(all_)} of them; goal under 1 s")
    for kind, (count, spent) in sorted(_by_kind(replace(plan)).items(), key=lambda item: -item[1][1])[:4]:
        print(f"      of it {count:2} {kind:16} {spent:6.2f} s {spent / base:5.1f} x")
    book = done("book put together", lambda: build_book(plan, drawn))
    done("book as PDF", lambda: to_pdf(book), lambda pdf: f"{len(pdf) / 1e6:.2f} MB; goal under 3 s")
    done("book for a phone", lambda: to_phone(book), lambda text: f"{len(text.encode()) / 1e6:.2f} MB; goal under 3 MB")
    done("permit sheets as PDF", lambda: permit_files(plan, drawn))
    done("engineer's PDF and DXF", lambda: engineer_files(plan, drawn))


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
