"""The client's copy: what was seen, what is built, what it costs and on which terms; nothing of the firm's own cost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.book.blocks import Block, Book, Bullets, Caution, Flag, Heading, Para, Table
from lynchet.book.parts.order_pages import raised
from lynchet.drawings.paper import paper_of
from lynchet.plan.cautions import ALWAYS
from lynchet.plan.model import Plan
from lynchet.project.firm import Firm
from lynchet.quotes.letterhead import letterhead
from lynchet.quotes.model import Quote
from lynchet.quotes.words import CARE, MET, SLIPS, built, duties, money, order_of_work, seen, waits_for

Drawing = tuple[int | str, str]
"""Number and title of a sheet; "4 to 6" where several are named together."""


def client_copy(plan: Plan, quote: Quote, drawings: Sequence[Drawing]) -> Book:
    """The quote as the client gets it.

    Args:
        plan: what is offered.
        quote: its price; one that is held back has no client's copy.
        drawings: sheets that belong to the offer.

    Raises:
        ValueError: the quote is held back.
    """
    if quote.held:
        raise ValueError("a quote that is held back has no client's copy")
    paper = paper_of(plan.project, carried=True)
    title = "Quote" + (f" {plan.project.offer.head.number}" if plan.project.offer.head.number else "")
    head = f"{title}: {plan.project.name}" if plan.project.name else title
    blocks = (Heading(head, 1), *letterhead(plan, quote), *_body(plan, quote, drawings))
    return Book(title, plan.project.name, "en", (paper.width_mm, paper.height_mm), blocks, _foot(plan, title))


def _foot(plan: Plan, title: str) -> str:
    firm = plan.project.firm
    return f"{firm.name or plan.project.name}: {title}, issue {plan.project.sheet.issue or 'A'}"


def _body(plan: Plan, quote: Quote, drawings: Sequence[Drawing]) -> Iterator[Block]:
    number = 0
    if not quote.complete:
        yield Flag("stop", "not to be sent", f"Not complete: {quote.missing.words}. No sum on it is a price.")
    for head, blocks in (
        ("What we saw", (Para(" ".join(seen(plan))),)),
        ("What we build", _built(plan, drawings)),
        ("Price", tuple(_price(quote))),
        ("What may be met in the ground", tuple(_allowances(quote))),
        ("What you may add or leave out", tuple(_options(quote))),
        ("Not in this price", _not_in(plan)),
        ("What you do", (Bullets((*plan.project.offer.terms.duties, *duties(plan))),)),
        ("How the work goes", (Para(" ".join(order_of_work(plan))),)),
        ("What must be settled first", _waits(plan)),
        ("Payment", tuple(_payment(quote))),
        ("Care and warranty", _care(plan)),
    ):
        if blocks:
            number += 1
            yield Heading(f"{number}  {head}", 2)
            yield from blocks
    yield from _signed(quote, plan.project.firm)


def _built(plan: Plan, drawings: Sequence[Drawing]) -> tuple[Block, ...]:
    named = ", ".join(f"{number} {title}" for number, title in drawings)
    issue = plan.project.sheet.issue or "A"
    said = (Para(f"As drawn on issue {issue}, sheets: {named}.", "note"),) if named else ()
    return (Bullets(tuple(built(plan))), *said)


def _price(quote: Quote) -> Iterator[Block]:
    currency, sums = quote.currency, quote.sums
    rows = [(part.name, money(part.cents, currency)) for part in quote.parts]
    whole = "Price" if quote.complete else "So far, NOT COMPLETE"
    rows.append((whole if not sums.tax else f"{whole}, before tax", money(sums.price, currency)))
    if sums.tax:
        rows += [("Tax", money(sums.tax, currency)), (f"{whole}, with tax", money(sums.total, currency))]
    yield Table(("Part of the work", "Money"), tuple(rows), "lr", (4, 1), strong_last=True, together=True)


def _allowances(quote: Quote) -> Iterator[Block]:
    if quote.allowances:
        rows = tuple(
            (one.name, raised(one.unit),
             "to be agreed in writing" if one.price_cents is None
             else money(one.price_cents, quote.currency))
            for one in quote.allowances
        )  # fmt: skip
        yield Table(("If we meet", "For each", "Agreed price before tax"), rows, "llr", (3, 1, 2), together=True)
        yield Para(MET, "note")


def _options(quote: Quote) -> Iterator[Block]:
    rows = tuple(
        (f"{one.name}: {one.words}" if one.words else one.name, _signed_money(one.cents, quote.currency))
        for one in quote.options
        if one.offered
    )
    if rows:
        yield Table(("Option", "Added to the price, before tax"), rows, "lr", (4, 2), together=True)


def _signed_money(cents: int | None, currency: str) -> str:
    if cents is None:
        return "on request"
    return f"+ {money(cents, currency)}" if cents >= 0 else money(cents, currency)


def _not_in(plan: Plan) -> tuple[Block, ...]:
    exclusions = plan.project.offer.terms.exclusions
    return (Para("; ".join(exclusions) + "."),) if exclusions else ()


def _waits(plan: Plan) -> tuple[Block, ...]:
    """Questions to others, and the two cautions that hold for every wall."""
    waiting = waits_for(plan)
    said = "The offer stands under these questions; the work does not begin before they are answered."
    asked = (Para(said), Bullets(waiting)) if waiting else ()
    return (*asked, Caution(f"{ALWAYS[1]} {ALWAYS[2]}"))


def _payment(quote: Quote) -> Iterator[Block]:
    """Shares alone where the sum is not complete: they must not pass for money."""
    if quote.payments:
        rows = [(one.name, f"{100 * one.share:g} %", _if_complete(quote, one.cents)) for one in quote.payments]
        rows.append(("together", "100 %", _if_complete(quote, quote.sums.total)))
        yield Table(("When", "Share", "Money"), tuple(rows), "lrr", (4, 1, 2), strong_last=True, together=True)
    else:
        yield Para("Payments are agreed when the quote is signed.")
    yield Para(SLIPS, "note")


def _if_complete(quote: Quote, cents: int) -> str:
    return money(cents, quote.currency) if quote.complete else "–"


def _care(plan: Plan) -> tuple[Block, ...]:
    warranty = plan.project.offer.terms.warranty
    said = (Para(f"Warranty: {warranty.rstrip('.')}."),) if warranty else ()
    return (Para(" ".join(CARE)), *said)


def _signed(quote: Quote, firm: Firm) -> Iterator[Block]:
    if quote.complete:
        yield Heading("Signed", 2)
        ours = firm.name or "for the firm"
        rows = ((ours, "for the client"), ("", ""), ("date, name", "date, name"))
        yield Table(("", ""), rows, "ll", (1, 1), together=True)
