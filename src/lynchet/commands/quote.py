"""``lynchet quote``: what a job is offered for, as the client's copy, the own copy and a spreadsheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from lynchet.book.pdf import to_pdf
from lynchet.commands.first_run import tell_first_run
from lynchet.commands.report import wrapped
from lynchet.core.writable import refuse_folder
from lynchet.drawings.sheets import sheets_of
from lynchet.exports.into import Into
from lynchet.exports.quote_xlsx import quote_xlsx
from lynchet.exports.write_files import write_files
from lynchet.plan.effort import effort_named
from lynchet.plan.model import Plan
from lynchet.plan.on_walls import refuse_unknown_walls
from lynchet.plan.pipeline import plan_project
from lynchet.project.inputs import inputs_of
from lynchet.project.load import Loaded, load
from lynchet.project.read import checked
from lynchet.quotes.client_copy import Drawing, client_copy
from lynchet.quotes.data_json import quote_json
from lynchet.quotes.making import quote_of
from lynchet.quotes.model import Quote
from lynchet.quotes.options import with_options
from lynchet.quotes.own_copy import left_words, own_copy, sum_rows
from lynchet.quotes.words import money
from lynchet.schemes.compare import own_schemes
from lynchet.works.dates import read_day

Say = Callable[[str], None]
CLIENT, OWN, SHEET = "quote-client.pdf", "quote-own.pdf", "quote.xlsx"


@dataclass(frozen=True)
class QuoteOptions:
    """What the user asked of the command."""

    file: Path
    out: Path | None = None
    as_json: bool = False
    effort: str = "full"
    date: str = ""
    """YYYY-MM-DD; empty for the file's own."""


def run(options: QuoteOptions, say: Say, note: Say) -> None:
    """Plan the file and price it.

    Raises:
        InputError: what is wrong with the file.
        NoRoomError: the folder cannot be written.
    """
    refuse_folder(options.out)
    loaded = load(options.file)
    if options.date:
        read_day(options.date, "--date")
    dated: tuple[tuple[str, object], ...] = (("sheet.date", options.date),) if options.date else ()
    tell_first_run(note)
    plan = _planned(loaded, options, dated)
    refuse_unknown_walls(plan, loaded.sources)
    quote = quote_of(plan)
    if quote.wishes or any(scheme.option for scheme in plan.project.schemes):
        note("planning the options ...")
    quote = with_options(plan, quote, lambda scheme, edits: _planned(loaded, options, (*dated, *edits), scheme))
    quote = _with_dropped(quote, loaded)
    if options.as_json:
        say(quote_json(plan, quote).rstrip("\n"))
    else:
        for line in lines_of(plan, quote):
            say(line)
    if options.out is not None:
        into = Into(options.out, inputs_of(loaded), note)
        for path in write_files(_files(plan, quote), into, lambda name: bool(quote.held) and name == CLIENT):
            note(f"wrote {path}")
    elif not options.as_json:
        say("Add --out FOLDER for the client's copy and your own as PDF, and the spreadsheet.")


def _planned(
    loaded: Loaded, options: QuoteOptions, edits: tuple[tuple[str, object], ...], scheme: str = ""
) -> Plan:  # fmt: skip
    brief = own_schemes(loaded.raw)[scheme] if scheme else ()
    return plan_project(checked(loaded, (*edits, *brief)), effort=effort_named(options.effort))


def lines_of(plan: Plan, quote: Quote) -> Iterator[str]:
    """The own copy in short, for the screen."""
    yield f"{plan.project.name}: {plan.verdict.words}"
    for text in quote.held:
        yield from wrapped(f"NO CLIENT'S COPY. {text}", "")
    if not quote.complete:
        yield f"NOT TO BE SENT: {quote.missing.words}."
    yield ""
    for name, how, sum_text in sum_rows(plan, quote):
        yield f"{name:<34}{sum_text:>18}   {how}".rstrip()
    over = quote.over
    yield ""
    yield f"If it runs {100 * over.share:g} % over: {left_words(quote)}."
    for payment in quote.payments if quote.complete else ():
        yield f"{payment.name:<34}{money(payment.cents, quote.currency):>18}   {100 * payment.share:g} %"
    for option in quote.options:
        said = "no price" if option.cents is None else money(option.cents, quote.currency)
        yield from wrapped(f"Option {option.name}: {said}", "", "    ")
        yield from wrapped(option.why, "    ")
    if quote.before:
        yield ""
        yield "Before it is sent:"
        for text in quote.before:
            yield from wrapped(text, "  - ", "    ")


def _drawings(plan: Plan) -> tuple[Drawing, ...]:
    """Sheets that a client can read: the whole, sections, walls, planting; not cut sheets or rods.

    Several of a kind follow upon each other and are one entry: all sections and all walls, or none.
    """
    kinds = {"site": "", "terraces": "", "water": "", "section": "Sections", "wall": "Walls", "planting": ""}
    found: dict[str, list[Drawing]] = {}
    for name, sheet in sheets_of(plan).items():
        kind = next((kind for kind in kinds if name.startswith(kind)), None)
        if kind is not None:
            found.setdefault(kind, []).append((sheet.fields.number, sheet.fields.title))
    return tuple(
        (f"{rows[0][0]} to {rows[-1][0]}", kinds[kind]) if len(rows) > 1 and kinds[kind] else row
        for kind, rows in found.items()
        for row in (rows[:1] if kinds[kind] else rows)
    )


def _with_dropped(quote: Quote, loaded: Loaded) -> Quote:
    """The quote with what of the firm's lists the job's own list stands in place of: told, so that none is missed."""
    told = tuple(
        f"The job's own [[{table}]] stands in place of the firm's; not offered: {', '.join(names)}. Write those wanted "
        "into the job's file too."
        for table, names in loaded.replaced
    )
    return replace(quote, before=(*quote.before, *told)) if told else quote


def _files(plan: Plan, quote: Quote) -> dict[str, bytes]:
    """What is written; a quote that is held back has no client's copy."""
    own = {OWN: to_pdf(own_copy(plan, quote)), SHEET: quote_xlsx(plan, quote)}
    return own if quote.held else {CLIENT: to_pdf(client_copy(plan, quote, _drawings(plan))), **own}
