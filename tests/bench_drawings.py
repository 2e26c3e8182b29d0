"""Sheets, books and what the office gets: CPU seconds and sizes, and how they grow with walls and courses."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

from lynchet.book.make import build_book
from lynchet.book.pdf import to_pdf
from lynchet.book.phone import to_phone
from lynchet.drawings.sheets import Drawn, drawn_sheets, sheets_of
from lynchet.exports.office_files import engineer_files, permit_files
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project

GRID = ((1, 2), (2, 2), (4, 4), (6, 6))
"""Walls and courses."""


def _timed(job: Callable[[], Any]) -> tuple[float, Any]:
    start = time.process_time()
    done = job()
    return time.process_time() - start, done


def of_the_demo() -> None:
    """All of it for the garden, drawn for the first time by a program that has drawn another yard."""
    with as_file(files("lynchet.demos")) as folder:
        drawn_sheets(plan_project(read_project(Path(folder) / "side_yard.toml"), effort=LIVE))
        plan = plan_project(read_project(Path(folder) / "l_garden.toml"), effort=LIVE)
    seconds, _ = _timed(lambda: sum(range(1_000_000)))
    print(f"Drawings and books of the demo, CPU seconds once warm; a sum of a million: {1000.0 * seconds:.0f} ms")
    seconds, drawn = _timed(lambda: drawn_sheets(plan))
    print(f"  {len(drawn):3} sheets drawn            {seconds:6.2f} s   goal under 1 s")
    by_kind = _by_kind(replace(plan))
    for kind, (count, spent) in sorted(by_kind.items(), key=lambda item: -item[1][1])[:4]:
        print(f"      of it {count:3} {kind:16} {spent:6.2f} s")
    seconds, book = _timed(lambda: build_book(plan, drawn))
    print(f"  book put together           {seconds:6.2f} s")
    seconds, pdf = _timed(lambda: to_pdf(book))
    print(f"  book as PDF                 {seconds:6.2f} s   goal under 3 s   {len(pdf) / 1e6:.2f} MB")
    seconds, phone = _timed(lambda: to_phone(book))
    print(f"  book for a phone            {seconds:6.2f} s   {len(phone.encode()) / 1e6:.2f} MB   goal under 3 MB")
    seconds, _ = _timed(lambda: permit_files(plan, drawn))
    print(f"  permit sheets as PDF        {seconds:6.2f} s")
    seconds, _ = _timed(lambda: engineer_files(plan, drawn))
    print(f"  engineer's PDF and DXF      {seconds:6.2f} s")


def _by_kind(plan: Plan) -> dict[str, tuple[int, float]]:
    """Sheets and seconds of each kind, made and lowered one by one."""
    from lynchet.drawings.lower import lower

    found: dict[str, tuple[int, float]] = {}
    for sheet in sheets_of(plan).values():
        spent, _ = _timed(lambda sheet=sheet: lower(sheet))
        count, before = found.get(sheet.kind, (0, 0.0))
        found[sheet.kind] = count + 1, before + spent
    return found


def growth() -> None:
    """Walls and courses against seconds and sizes."""
    sys.path.insert(0, str(Path(__file__).parent))  # the tests' own modules import each other so
    from stacked_yards import stacked

    print("Growth of the drawings with walls and courses, CPU seconds")
    for walls, courses in GRID:
        plan = stacked(walls, courses)
        seconds, drawn = _timed(lambda plan=plan: drawn_sheets(plan))
        made, pdf = _timed(lambda plan=plan, drawn=drawn: _pdf(plan, drawn))
        print(f"  {walls} walls of {courses}: {len(plan.pieces):4} pieces {len(drawn):3} sheets {seconds:6.2f} s   "
              f"PDF {made:5.2f} s {len(pdf) / 1e6:5.2f} MB")  # fmt: skip


def _pdf(plan: Plan, drawn: tuple[Drawn, ...]) -> bytes:
    return to_pdf(build_book(plan, drawn))


def main() -> None:
    """Both."""
    of_the_demo()
    growth()


if __name__ == "__main__":
    main()
