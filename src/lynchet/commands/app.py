"""The command ``lynchet``. Each command lives in a module of its own and is imported only when it runs."""

from __future__ import annotations

import errno
import gc
import os
import sys
from contextlib import suppress
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from lynchet.core.errors import LynchetError

app = typer.Typer(
    name="lynchet",
    help="From a few rough measurements of a sloping yard to a checked, buildable plan for level beds held by walls of "
    "treated timber.",
    epilog="Begin with: lynchet look. It asks for a few numbers; --save FILE keeps them for: lynchet plan FILE.",
    rich_markup_mode=None,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)


def _folder(text: str) -> Path:
    """A folder as named; no name at all, as of a variable that is not set, is no wish for the folder one stands in."""
    if not text.strip():
        raise typer.BadParameter("no name found; accepted: the name of a folder, or . for this one")
    return Path(text)


class Effort(StrEnum):
    """How much work the slow parts may cost."""

    LIVE = "live"
    FULL = "full"


class SchemaOf(StrEnum):
    """Files with a published schema."""

    PROJECT = "project"
    PLAN = "plan"


class Language(StrEnum):
    """Languages of the day sheets and the cautions."""

    EN = "en"
    ES = "es"


class OnPaper(StrEnum):
    """Paper of plans, sections and walls."""

    A3 = "A3"
    A4 = "A4"
    TABLOID = "Tabloid"
    LETTER = "Letter"


class Units(StrEnum):
    """Which units results are shown in."""

    METRIC = "metric"
    US = "us"


def _version(wanted: bool) -> None:
    """Say which version this is, and end."""
    if wanted:
        from importlib.metadata import version

        typer.echo(f"lynchet {version('lynchet')}")
        raise typer.Exit()


@app.callback()
def _every(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say which version this is.")
    ] = False,
) -> None:
    """From a few rough measurements of a sloping yard to a checked, buildable plan for level beds held by walls of
    treated timber."""


@app.command(
    "calc",
    add_help_option=False,
    context_settings={"ignore_unknown_options": True, "allow_extra_args": True},
    short_help="List, explain and run the published formulas.",
)
def _calc(context: typer.Context) -> None:
    """List, explain and run the published formulas."""
    _calculate(context.args)


def _calculate(words: list[str]) -> None:
    from lynchet.commands.calc import asked, lines

    for line in lines(asked(words)):
        typer.echo(line)


@app.command("verify", short_help="Run published cases: do the formulas agree?")
def _verify(
    places: Annotated[list[Path] | None, typer.Argument(metavar="[FILES or FOLDERS]")] = None,
    room: Annotated[str, typer.Option(help="Only the cases of this room.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="All cases as data.")] = False,
) -> None:
    """Run published cases and say, case by case, whether the calculators agree.

    Without FILES it runs the cases that ship with the package. Exit status 1 when a case failed or is missing.
    """
    from lynchet.commands.verify import run

    raise typer.Exit(run(places or [], room, as_json, typer.echo))


@app.command("look", short_help="A first look from three to six rough numbers.")
def _look(
    side_to_side: Annotated[str, typer.Option(metavar="LENGTH", help="Width of the slope along its low edge.")] = "",
    up_the_slope: Annotated[str, typer.Option(metavar="LENGTH", help="From the low edge to the high one.")] = "",
    drop: Annotated[str, typer.Option(metavar="HEIGHT", help="How much it drops, or its slope.")] = "",
    held: Annotated[str, typer.Option(metavar="HOW", help="How the tape was held: level, ground, unknown.")] = "",
    top: Annotated[
        str, typer.Option(metavar="WHAT", help="At the top: house, fence, lawn, path, drive, unknown.")
    ] = "",
    soil: Annotated[str, typer.Option(metavar="HOW", help="By feel: gritty, silky, sticky, unknown.")] = "",
    units: Annotated[
        Units | None, typer.Option(help="Unit of plain numbers, and of the answer; left out: as you answer, else us.")
    ] = None,
    save: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the project file this look used.")] = None,
    prices: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Price list, CSV or XLSX: item, price, per.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print data instead of a screen.")] = False,
    sheet: Annotated[Path | None, typer.Option(metavar="FILE", help="Write it as one page too: .pdf or .svg.")] = None,
) -> None:
    """A first look: three to six rough numbers give go, ask or stop, walls, sticks, soil, days and money.

    What is not given as an option is asked for; only the first three are needed.
    """
    from lynchet.commands.look import LookOptions, asked, refuse_files, run

    options = LookOptions(save, prices, as_json, sheet)
    refuse_files(options)
    given = {"side_to_side": side_to_side, "up_the_slope": up_the_slope, "drop": drop}
    given |= {"held": held, "top": top, "soil": soil}
    enough = bool(side_to_side and up_the_slope and drop)
    silent = enough or not sys.stdin.isatty()
    rough, system = asked(given, None if silent else input, units.value if units else None, typer.echo)
    run(rough, system, options, typer.echo)


@app.command("new", short_help="Write a commented project file, or a firm's own.")
def _new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name of the project; NAME.toml is written.")],
    units: Annotated[Units, typer.Option(help="Units of the file.")] = Units.US,
    firm: Annotated[
        bool, typer.Option("--firm", help="A firm's own file: name, prices, crew, terms, for all its jobs.")
    ] = False,
) -> None:
    """Write a commented project file to start from; with --firm a firm's own file that lies under its jobs."""
    from lynchet.commands.new import run
    from lynchet.commands.typed import typed

    path = run(name, units.value, firm)
    said = f'then name it in every job: firm = "{path.name}"' if firm else f"then: lynchet plan {typed(path)}"
    typer.echo(f"wrote {path}; fill it in, {said}")


@app.command("plan", short_help="Plan a project file: walls, drains, checks, drawings.")
def _plan(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Project file (TOML).")],
    out: Annotated[
        Path | None, typer.Option(metavar="FOLDER", parser=_folder, help="Folder for plan.json, findings and drawings.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print plan.json instead of words.")] = False,
    effort: Annotated[Effort, typer.Option(help="How much work the slow parts may cost.")] = Effort.FULL,
    strict: Annotated[bool, typer.Option(help="Exit status 3 where the plan has a stop.")] = False,
    cure: Annotated[
        list[str] | None, typer.Option("--with", metavar="CURE", help="Apply a cure by its name; may be given again.")
    ] = None,
    without: Annotated[
        list[str] | None, typer.Option(metavar="HELP", help="Leave a help out: ties, pins, returns ...")
    ] = None,
    write: Annotated[bool, typer.Option(help="Keep --scheme, --with, --without, --built in the file.")] = False,
    scheme: Annotated[str, typer.Option(metavar="NAME", help="Plan this scheme of the file (see compare).")] = "",
    working: Annotated[
        str, typer.Option(metavar="WHICH", help="Show how findings are worked out: a place (W2), a code or all.")
    ] = "",
    built: Annotated[list[str] | None, typer.Option(metavar="WALL:COURSES", help="A wall that stands: W2:3.")] = None,
    language: Annotated[
        Language,
        typer.Option(
            "--lang",
            "--language",
            help="Language of day sheets and cautions; all else, names of schemes too, stays English.",
        ),
    ] = Language.EN,
    paper: Annotated[
        OnPaper | None, typer.Option(help="Paper of plans, sections and walls, for this run instead of the file's.")
    ] = None,
) -> None:
    """Plan a project file: terraces, walls, drains, checks, drawings."""
    from lynchet.commands.plan import PlanOptions, run

    asked = PlanOptions(file, out, as_json, effort.value, strict, cure or (), without or (), write, scheme, working,
                        built or (), language.value, paper.value if paper else "")  # fmt: skip
    raise typer.Exit(run(asked, typer.echo, lambda text: typer.echo(text, err=True)))


@app.command("book", short_help="Write the build book, or the office's sheets.")
def _book(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Project file (TOML).")],
    out: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", parser=_folder, help="Where to write; FILE-book in this folder where left out."),
    ] = None,
    engineer: Annotated[bool, typer.Option("--engineer", help="The engineer's folder: PDF and DXF.")] = False,
    permit: Annotated[bool, typer.Option("--permit", help="The permit sheets: one PDF, three SVG.")] = False,
    language: Annotated[
        Language,
        typer.Option(
            "--lang",
            "--language",
            help="Language of day sheets and cautions; all else, names of schemes too, stays English.",
        ),
    ] = Language.EN,
    effort: Annotated[Effort, typer.Option(help="How much work the slow parts may cost.")] = Effort.FULL,
    strict: Annotated[bool, typer.Option(help="Exit status 3 where the plan has a stop.")] = False,
    paper: Annotated[
        OnPaper | None, typer.Option(help="Paper of plans, sections and walls, for this run instead of the file's.")
    ] = None,
) -> None:
    """Write the build book of a project file, as PDF and for a phone; or what the office or the engineer gets."""
    from lynchet.commands.book import BookOptions, run

    folder = out or Path(f"{file.stem}-book")
    on = paper.value if paper else ""
    asked = BookOptions(file, folder, engineer, permit, language.value, effort.value, strict, on)
    raise typer.Exit(run(asked, typer.echo, partial(typer.echo, err=True)))


@app.command("compare", short_help="Set schemes side by side, or two versions of a job.")
def _compare(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Project file (TOML).")],
    schemes: Annotated[str, typer.Option(metavar="NAMES", help="Names, with commas between; all where left out.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print the comparison as data.")] = False,
    out: Annotated[
        Path | None, typer.Option(metavar="FOLDER", parser=_folder, help="Folder for the comparison as files.")
    ] = None,
    before: Annotated[
        Path | None, typer.Option(metavar="OTHER", help="An earlier version of the file: what changed since.")
    ] = None,
    effort: Annotated[Effort, typer.Option(help="With --before: how much work the slow parts may cost.")] = Effort.FULL,
) -> None:
    """Set schemes side by side: your own, the lowest walls, the least soil, no wall ...

    Says what each gains and loses against the file as written. With --before the Changes sheet between two versions
    of a job: what went, what it saves, what gets worse.
    """

    def note(text: str) -> None:
        typer.echo(text, err=True)

    if before is not None:
        from lynchet.commands import changes

        changes.run(changes.ChangesOptions(file, before, out, as_json, effort.value), typer.echo, note)
        return
    from lynchet.commands.compare import CompareOptions, run

    run(CompareOptions(file, schemes.split(","), out, as_json), typer.echo, note)


@app.command("quote", short_help="Price a job for a client.")
def _quote(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Project file (TOML), with a firm's file under it.")],
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER", parser=_folder, help="Folder for the client's copy, your own copy, a spreadsheet."
        ),
    ] = None,
    date: Annotated[str, typer.Option(metavar="DAY", help="Day of the quote, YYYY-MM-DD.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print the quote as data.")] = False,
    effort: Annotated[Effort, typer.Option(help="How much work the slow parts may cost.")] = Effort.FULL,
) -> None:
    """Price a job: a copy for the client, one for yourself, and a spreadsheet whose rates you can change.

    What has no price is counted and said; where a haul-off has none, the client gets no copy.
    """
    from lynchet.commands.quote import QuoteOptions, run

    run(QuoteOptions(file, out, as_json, effort.value, date), typer.echo, lambda text: typer.echo(text, err=True))


@app.command("schema", short_help="Print the JSON schema of the files.")
def _schema(
    what: Annotated[SchemaOf, typer.Argument(help="The project file, or plan.json.")] = SchemaOf.PROJECT,
) -> None:
    """Print the JSON schema of the project file or of plan.json."""
    import json

    from lynchet.exports.plan_json import plan_schema
    from lynchet.project.schema import project_schema

    typer.echo(json.dumps(plan_schema() if what is SchemaOf.PLAN else project_schema(), indent=1))


# Further commands follow the same pattern: a thin function here, the work in lynchet/commands/<name>.py.


_NO_ROOM = [getattr(errno, name) for name in ("ENOSPC", "EDQUOT", "EFBIG", "EIO") if hasattr(errno, name)]
"""What stops an output that goes into a file: no room left, and the like."""


def main() -> None:
    """Entry of the command; bad input ends with its message and status 2."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: small matrices are slower with more threads
    gc.set_threshold(200_000, 50, 50)  # a command lives for seconds and makes few cycles: look for them seldom
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        if sys.argv[1:2] == ["calc"]:
            _calculate(sys.argv[2:])  # reads its own words; the checks typer loads first would double the wait
        else:
            app()
    except LynchetError as error:
        typer.echo(str(error), err=True)
        sys.exit(2)
    except BrokenPipeError:  # whoever read along has read enough: nothing more is said, not at the end either
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except OSError as error:
        if error.errno not in _NO_ROOM:
            raise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # else it is tried once more at the end
        with suppress(OSError):
            typer.echo(f"the output cannot be written: {error.strerror}", err=True)
        sys.exit(2)


if __name__ == "__main__":
    main()
