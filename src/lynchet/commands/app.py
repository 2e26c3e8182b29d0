"""The command ``lynchet``. Each command lives in a module of its own and is imported only when it runs."""

from __future__ import annotations

import os
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from lynchet.core.errors import LynchetError

app = typer.Typer(
    name="lynchet",
    help="From a few rough measurements of a sloping yard to a checked, buildable plan for level beds held by walls of "
    "treated timber.",
    rich_markup_mode=None,
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
)


class Units(StrEnum):
    """Which units results are shown in."""

    METRIC = "metric"
    US = "us"


@app.command(
    "calc",
    add_help_option=False,
    context_settings={"ignore_unknown_options": True},
    short_help="List, explain and run the published formulas.",
)
def _calc(
    words: Annotated[list[str] | None, typer.Argument(metavar="[NAME key=value ...]")] = None,
    find: Annotated[str, typer.Option(help="Only calculators with this word.")] = "",
    room: Annotated[str, typer.Option(help="Only calculators of this room.")] = "",
    from_file: Annotated[Path | None, typer.Option("--from", help="TOML, JSON or CSV file with the keys.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="The run as data.")] = False,
    units: Annotated[Units, typer.Option(help="us adds feet, inches and pounds.")] = Units.METRIC,
) -> None:
    """List, explain and run the published formulas."""
    from lynchet.commands.calc import Asked, lines

    for line in lines(Asked(words or [], find, room, from_file, as_json, units.value)):
        typer.echo(line)


@app.command("verify")
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


# Further commands follow the same pattern: a thin function here, the work in lynchet/commands/<name>.py.


def main() -> None:
    """Entry of the command; bad input ends with its message and status 2."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: small matrices are slower with more threads
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        app()
    except LynchetError as error:
        typer.echo(str(error), err=True)
        sys.exit(2)


if __name__ == "__main__":
    main()
