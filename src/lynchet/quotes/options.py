"""Options that need a plan of their own: a scheme in place of the brief, or the plan without one of its things."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from lynchet.core.errors import InputError
from lynchet.plan.model import Plan
from lynchet.project.firm import OfferOption
from lynchet.project.model import Scheme
from lynchet.quotes.making import quote_of
from lynchet.quotes.model import PricedOption, Quote

Planner = Callable[[str, tuple[tuple[str, object], ...]], Plan]
"""Plans the file with another scheme (empty: the file's own brief) and with edits; raises InputError where these
contradict what else the file says."""


def with_options(plan: Plan, quote: Quote, planner: Planner) -> Quote:
    """The quote with every option priced as the difference of two whole quotes.

    Args:
        plan: what is offered.
        quote: its quote.
        planner: plans the file otherwise, with the same effort, so that like is set beside like.
    """
    schemes = (scheme for scheme in plan.project.schemes if scheme.option)
    found = (*_schemes(quote, schemes, planner), *_left_out(quote, planner))
    return replace(quote, options=(*quote.options, *found), wishes=())


def _schemes(quote: Quote, schemes: Iterable[Scheme], planner: Planner) -> Iterator[PricedOption]:
    for scheme in schemes:
        try:
            other = quote_of(planner(scheme.name, ()))
        except InputError as error:
            why = "; ".join(f"{fault.found} (`{fault.key}`; accepted: {fault.accepted})" for fault in error.faults)
            yield PricedOption(scheme.option, "", None, why, offered=False)
        else:
            yield _difference(quote, other, (scheme.option, ""))


def _left_out(quote: Quote, planner: Planner) -> Iterator[PricedOption]:
    for wish in quote.wishes:
        edits = ((wish.leave_out, None), ("option", None))
        yield _difference(quote, quote_of(planner("", edits)), (wish.name, _words(wish)))


def _words(wish: OfferOption) -> str:
    return wish.words or f"the same without {wish.leave_out.split('.')[0].replace('_', ' ')}"


def _difference(base: Quote, other: Quote, named: tuple[str, str]) -> PricedOption:
    """What the other costs more; without a figure where either lacks prices the other does not."""
    name, words = named
    if other.held:
        return PricedOption(name, words, None, other.held[0], offered=False)
    unlike = set(base.missing.names) ^ set(other.missing.names)
    if base.missing.names or unlike:
        return PricedOption(name, words, None, f"not all prices are known: {other.missing.words or base.missing.words}")
    return PricedOption(name, words, other.sums.price - base.sums.price)
