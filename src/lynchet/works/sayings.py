"""What the works stage has to say: prices that are missing or not used, hands that are too few."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.core.findings import Finding, Verdict
from lynchet.works.job import Job
from lynchet.works.model import OrderLine, Price, Programme
from lynchet.works.price_list import PriceList


def findings_of(
    job: Job, order: Sequence[OrderLine], price: Price, prices: PriceList, programme: Programme
) -> Iterator[Finding]:
    """Findings of the works stage.

    Args:
        job: the plan so far.
        order, price, prices, programme: what was worked out.
    """
    yield from _timber(order)
    yield from _money(price, prices)
    heavy = [weight for weight in job.timber.weights if weight.people > programme.crew]
    if heavy:
        yield Finding(
            "works.hands", Verdict.OK,
            f"{len(heavy)} timbers want {max(weight.people for weight in heavy)} people to lift them, and the crew is "
            f"{programme.crew}: get help on the days they are laid.",
            "site", source="Weights of the timber stage", cause="works.hands",
        )  # fmt: skip


def _timber(order: Sequence[OrderLine]) -> Iterator[Finding]:
    """Lengths of timber of which neither the stock nor the price list says what one costs."""
    lines = [line for line in order if line.group == "timber" and line.buy > 0.0]
    without = [line for line in lines if line.unit_price is None]
    if without:
        text = f"No price for {len(without)} of {len(lines)} lengths of timber: ask the yard."
        yield Finding("works.timber_price", Verdict.OK, text, "site", source="[prices] of the file")


def _money(price: Price, prices: PriceList) -> Iterator[Finding]:
    if price.missing and price.direct is not None:
        names = "; ".join(price.missing[:4]) + (" and others" if len(price.missing) > 4 else "")
        yield Finding(
            "works.prices", Verdict.OK, f"The price leaves things out: {price.words}. Not priced: {names}.", "site",
            source="[prices] of the file", cause="works.prices",
        )  # fmt: skip
    unused = [key for key in prices.unused() if key not in ("labour", "labor", "delivery", "load_away")]
    if unused:
        yield Finding(
            "works.unused_prices", Verdict.OK,
            f"Prices this plan has no line for: {', '.join(sorted(unused)[:6])}.", "site",
            source="[prices] of the file", cause="works.prices",
        )  # fmt: skip
