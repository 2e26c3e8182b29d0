"""``lynchet compare FILE --before OTHER``: the Changes sheet between two versions of a job."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from lynchet.book.pdf import to_pdf
from lynchet.book.phone import to_phone
from lynchet.commands.first_run import tell_first_run
from lynchet.commands.report import wrapped
from lynchet.core.writable import refuse_folder
from lynchet.exports.into import Into
from lynchet.exports.write_files import write_files
from lynchet.plan.effort import effort_named
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.inputs import inputs_of
from lynchet.project.load import load
from lynchet.project.read import checked
from lynchet.schemes.changes import Changes, changes
from lynchet.schemes.changes_json import changes_json
from lynchet.schemes.changes_page import changes_book
from lynchet.schemes.changes_words import better, figure_rows, file_lines, gained_and_lost, headline, went, worse
from lynchet.schemes.two_yards import two_yards_text

Say = Callable[[str], None]


@dataclass(frozen=True)
class ChangesOptions:
    """What the user asked of the command."""

    file: Path
    before: Path
    out: Path | None = None
    as_json: bool = False
    effort: str = "full"


def run(options: ChangesOptions, say: Say, note: Say) -> None:
    """Plan both versions alike and say what differs.

    Raises:
        InputError: what is wrong with either file.
        NoRoomError: the folder cannot be written.
    """
    refuse_folder(options.out)
    files = load(options.before), load(options.file)
    projects = [checked(one) for one in files]
    tell_first_run(note)
    note(f"planning: {options.before}")
    old = plan_project(projects[0], effort=effort_named(options.effort))
    note(f"planning: {options.file}")
    new = plan_project(projects[1], effort=effort_named(options.effort))
    found = changes(old, new, (files[0].raw, files[1].raw))
    names = options.before.name, options.file.name
    data, lines = changes_json(found, names), list(lines_of(new, found, names))
    for line in [data.rstrip("\n")] if options.as_json else lines:
        say(line)
    if options.out is not None:
        book = changes_book(new, found, names)
        made = {"changes.txt": "\n".join(lines) + "\n", "changes.json": data, "changes.html": to_phone(book)}
        pages = {name: text.encode("utf-8") for name, text in made.items()} | {"changes.pdf": to_pdf(book)}
        inputs = inputs_of(files[0]) | inputs_of(files[1])
        for path in write_files(pages, Into(options.out, inputs, note)):
            note(f"wrote {path}")


def lines_of(after: Plan, found: Changes, names: tuple[str, str]) -> Iterator[str]:
    """The sheet as text."""
    units = after.project.units
    yield f"{after.project.name}: {names[1]} against {names[0]}"
    if found.other_yard:
        yield from wrapped(two_yards_text(found.other_yard))
    yield headline(found)
    yield from _listed("In the file:", tuple(file_lines(found)))
    if found.none:
        return
    yield ""
    yield from _table(tuple(figure_rows(found, units)))
    gains, losses = gained_and_lost(found, units)
    yield from _listed("What is gained:", tuple(gains))
    yield from _listed("What is lost:", tuple(losses))
    yield from _listed("What gets worse:", tuple(worse(found)))
    yield from _listed("What gets better:", tuple(better(found)))
    yield from _listed("What went, came, grew or shrank (cost, before overhead and profit):", tuple(went(found, units)))
    yield ""
    yield "Local codes and licensed engineers come before either version."


def _table(rows: tuple[tuple[str, str, str], ...]) -> Iterator[str]:
    """Three columns; a cell too long for its column stands on a line of its own."""
    for what, before, after in (("", "before", "now"), *rows):
        if max(len(before), len(after)) < 28:
            yield f"{what:<22}{before:<29}{after}".rstrip()
        else:
            yield what
            yield from wrapped(f"before: {before}", "  ", "          ")
            yield from wrapped(f"now:    {after}", "  ", "          ")


def _listed(head: str, texts: tuple[str, ...]) -> Iterator[str]:
    if texts:
        yield ""
        yield head
        for text in texts:
            yield from wrapped(text, "  - ", "    ")
