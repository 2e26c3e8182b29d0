"""``lynchet book``: only the printed matter of a plan: build book, permit sheets, engineer's folder."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from lynchet.commands.first_run import tell_first_run
from lynchet.commands.report import top_lines, withheld_lines
from lynchet.core.beside import beside
from lynchet.core.findings import Verdict
from lynchet.core.writable import refuse_folder
from lynchet.plan.effort import effort_named
from lynchet.plan.on_walls import refuse_unknown_walls
from lynchet.plan.pipeline import plan_project
from lynchet.project.inputs import inputs_of
from lynchet.project.load import load
from lynchet.project.read import checked

Say = Callable[[str], None]


@dataclass(frozen=True)
class BookOptions:
    """What the user asked of the command."""

    file: Path
    out: Path
    engineer: bool = False
    permit: bool = False
    lang: str = "en"
    effort: str = "full"
    strict: bool = False
    paper: str = ""
    """Of plans, sections and walls; empty: as the file says."""


def run(options: BookOptions, say: Say, note: Say) -> int:
    """Plan the file and write what was asked for: the build book where neither of the others is.

    Args:
        options: what was asked.
        say: prints to the reader (standard output).
        note: prints progress (standard error).

    Returns:
        Exit status: 0, or 3 where the plan has a stop and ``--strict`` was given.

    Raises:
        InputError: the file cannot be read, or a sheet does not fit its paper.
        NoRoomError: the folder cannot be written.
    """
    from lynchet.book.make import build_book
    from lynchet.book.pdf import to_pdf
    from lynchet.book.phone import to_phone
    from lynchet.drawings.sheets import drawn_sheets
    from lynchet.exports.into import Into
    from lynchet.exports.office_files import engineer_files, permit_files
    from lynchet.exports.write_files import write_files

    edits = [("sheet.paper", options.paper)] if options.paper else []
    refuse_folder(options.out)
    loaded = load(options.file)
    project = checked(loaded, edits)
    tell_first_run(note, drawn=True)
    plan = plan_project(project, effort=effort_named(options.effort))
    refuse_unknown_walls(plan, loaded.sources)
    sheets = drawn_sheets(plan, options.lang)
    files: dict[str, str | bytes] = {}
    if options.permit:
        files |= permit_files(plan, sheets)
    if options.engineer:
        files |= engineer_files(plan, sheets)
    if not (options.permit or options.engineer):
        book = build_book(plan, sheets, options.lang)
        with beside(lambda: to_phone(book)) as phone:
            files |= {"build-book.pdf": to_pdf(book), "build-book.html": phone()}
    for line in (*top_lines(plan), *withheld_lines(plan)):
        say(line)
    if options.permit and "permit.pdf" not in files:
        why = "no wall stands" if not plan.walls.runs else "they are kept back; --engineer prints the engineer's folder"
        say(f"No permit sheets: {why}.")
    for path in write_files(files, Into(options.out, inputs_of(loaded), note)) if files else ():
        say(f"wrote {path}")
    return 3 if options.strict and plan.verdict is Verdict.STOP else 0
