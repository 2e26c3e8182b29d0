"""What the works stage has to say: prices that are missing or not used, soil that costs, hands that are too few."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.core.findings import Finding, Verdict
from lynchet.units.format import volume
from lynchet.works.job import Job
from lynchet.works.model import OrderLine, Price, Programme
from lynchet.works.price_list import PriceList

BALANCED = 0.1
"""Cut and fill that differ by less than this share of the cut count as balanced."""


def findings_of(
    job: Job, order: Sequence[OrderLine], price: Price, prices: PriceList, programme: Programme
) -> Iterator[Finding]:
    """Findings of the works stage.

    Args:
        job: the plan so far.
        order, price, prices, programme: what was worked out.
    """
    yield from _money(price, prices)
    yield from _haul(job, order, price)
    heavy = [weight for weight in job.timber.weights if weight.people > programme.crew]
    if heavy:
        yield Finding(
            "works.hands", Verdict.WATCH,
            f"{len(heavy)} timbers want {max(weight.people for weight in heavy)} people to lift them, and the crew is "
            f"{programme.crew}: get help on the days they are laid.",
            "site", source="Weights of the timber stage", cause="works.hands",
        )  # fmt: skip


def _money(price: Price, prices: PriceList) -> Iterator[Finding]:
    if price.missing and price.direct is not None:
        names = ", ".join(price.missing[:4]) + (" and others" if len(price.missing) > 4 else "")
        yield Finding(
            "works.prices", Verdict.OK, f"The price leaves things out: {price.words} ({names}).", "site",
            source="[prices] of the file", cause="works.prices",
        )  # fmt: skip
    unused = [key for key in prices.unused() if key not in ("labour", "labor", "delivery", "load_away")]
    if unused:
        yield Finding(
            "works.unused_prices", Verdict.OK,
            f"Prices this plan has no line for: {', '.join(sorted(unused)[:6])}.", "site",
            source="[prices] of the file", cause="works.prices",
        )  # fmt: skip


def _haul(job: Job, order: Sequence[OrderLine], price: Price) -> Iterator[Finding]:
    """Cut that equals fill is not a job without soil to cart: what is brought in pushes soil out."""
    account = job.earth.account
    cut = account.bench_cut_m3
    balanced = abs(account.plain_away_bank_m3) <= BALANCED * max(cut, 1e-9) if account.pushed else False
    line = next((line for line in order if line.key == "load_away"), None)
    if line is None or not balanced or cut <= 0:
        return
    units = job.project.units
    loads = f"{line.buy:.0f} load{'' if round(line.buy) == 1 else 's'}"
    if line.money is not None:
        share = f", {100 * line.money / price.direct.likely:.0f} % of all that is priced" if price.direct else ""
        cost = f"It costs {line.money:,.0f}{' ' + price.currency if price.currency else ''}{share}."
    else:
        cost = "It has no price yet: ask for one before you quote."
    yield Finding(
        "works.haul_off", Verdict.WATCH,
        f"Cut equals fill, and still {volume(account.away_loose_m3, units)} of loose soil must go ({loads}): stone, "
        f"timber and bed soil take its place. {cost}",
        "site", demand=line.money, unit="money", source="Soil account: what is pushed out by what comes in",
        cause="works.haul_off",
    )  # fmt: skip
