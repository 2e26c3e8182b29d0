"""``lynchet compare``: schemes of one yard side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from lynchet.commands.first_run import tell_first_run
from lynchet.core.writable import refuse_folder
from lynchet.exports.into import Into
from lynchet.exports.write_files import write_files
from lynchet.project.inputs import inputs_of
from lynchet.project.load import load
from lynchet.project.model import Project
from lynchet.project.read import checked
from lynchet.schemes.compare import compare
from lynchet.schemes.data import comparison_json
from lynchet.schemes.model import Comparison
from lynchet.schemes.table import heading, table_lines, word_lines

Say = Callable[[str], None]


@dataclass(frozen=True)
class CompareOptions:
    """What the user asked of the command."""

    file: Path
    schemes: Sequence[str] = ()
    """Names; empty for all."""
    out: Path | None = None
    as_json: bool = False


def run(options: CompareOptions, say: Say, note: Say) -> None:
    """Look for the schemes at live effort, plan those shown whole, and set them side by side.

    Raises:
        InputError: what is wrong with the file, or a name that no scheme has.
        NoRoomError: the folder cannot be written.
    """
    refuse_folder(options.out)
    loaded = load(options.file)
    project = checked(loaded)
    tell_first_run(note)
    found = compare(loaded.raw, lambda edits: checked(loaded, edits), options.schemes, note)
    data = comparison_json(found, project.name, project.units, project.prices.currency)
    lines = list(comparison_lines(found, project))
    if options.as_json:
        say(data.rstrip("\n"))
    else:
        for line in lines:
            say(line)
    if options.out is not None:
        files = {"compare.txt": "\n".join(lines) + "\n", "compare.json": data}
        for path in write_files(files, Into(options.out, inputs_of(loaded), note)):
            note(f"wrote {path}")


def comparison_lines(found: Comparison, project: Project) -> Iterator[str]:
    """The whole comparison as text."""
    yield f"{project.name or 'Yard'}: {heading(found)}"
    yield ""
    yield from table_lines(found, project.units, project.prices.currency)
    yield ""
    yield from word_lines(found, project.units)
    yield ""
    yield "Each column is planned as `lynchet plan` plans it. One with its drawings:"
    yield "  lynchet plan FILE --scheme NAME --out FOLDER    (--write keeps it in the file)"
    yield "Local codes and licensed engineers come before every one of these schemes."
