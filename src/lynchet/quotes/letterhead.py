"""The head of both copies: the firm on the left, the quote on the right."""

from __future__ import annotations

from base64 import b64encode
from itertools import zip_longest

from lynchet.book.blocks import Block, Picture, Table
from lynchet.plan.model import Plan
from lynchet.project.firm import Firm, Logo
from lynchet.quotes.model import Quote
from lynchet.quotes.words import day_words

_BLANK = "____________________"
"""To be written in by hand."""
_LOGO_MM = (40.0, 10.0)
"""Most width and height of a logo."""


def letterhead(plan: Plan, quote: Quote) -> tuple[Block, ...]:
    """Logo, firm, client, place, dates."""
    project = plan.project
    head, sheet, terms = project.offer.head, project.sheet, project.offer.terms
    until = day_words(quote.valid_until) if quote.valid_until else (
        f"{terms.valid_days} days from its date" if terms.valid_days else "to be said"
    )  # fmt: skip
    right = [
        f"For: {head.client or _BLANK}",
        f"Yard: {project.name}" + (f", {sheet.place}" if sheet.place else ""),
        f"Date: {day_words(quote.date) if quote.date else _BLANK}, issue {sheet.issue or 'A'}",
        f"Good until: {until}",
    ]
    rows = tuple(zip_longest(_firm_lines(project.firm), right, fillvalue=" "))
    picture = () if project.firm.logo is None else (_picture(project.firm.logo),)
    return (*picture, Table(("", ""), rows, "ll", (1, 1)))


def _firm_lines(firm: Firm) -> list[str]:
    reach = ", ".join(text for text in (firm.phone, firm.mail) if text)
    lines = [text for text in (firm.name, ", ".join(firm.address), reach, firm.licence) if text]
    return lines if firm.name else [f"From: {_BLANK}", *lines]


def _picture(logo: Logo) -> Picture:
    """The logo as an SVG of its own, whatever kind it is, so that every writer can take it."""
    scale = min(_LOGO_MM[0] / logo.width, _LOGO_MM[1] / logo.height)
    wide, high = logo.width * scale, logo.height * scale
    kind = {"png": "image/png", "jpeg": "image/jpeg", "svg": "image/svg+xml"}[logo.kind]
    data = b64encode(logo.data).decode("ascii")
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{high:.3f}mm" '
        f'viewBox="0 0 {wide:.3f} {high:.3f}"><image href="data:{kind};base64,{data}" width="{wide:.3f}" '
        f'height="{high:.3f}"/></svg>'
    )
    return Picture("logo", svg, "Logo", "logo of the firm", wide, high, left=True)
