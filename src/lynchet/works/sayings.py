"""What the works stage has to say: prices that are missing or not used, hands that are too few."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.core.findings import Finding, Verdict
from lynchet.project.model import Timber
from lynchet.units.format import mass
from lynchet.works.deliveries import truck_of
from lynchet.works.job import Job
from lynchet.works.model import OrderLine, Price, Programme
from lynchet.works.price_list import PriceList
from lynchet.works.stick_names import SAME_M, stick_named


def findings_of(
    job: Job, order: Sequence[OrderLine], price: Price, prices: PriceList, programme: Programme
) -> Iterator[Finding]:
    """Findings of the works stage.

    Args:
        job: the plan so far.
        order, price, prices, programme: what was worked out.
    """
    yield from _timber(order)
    yield from _too_heavy(job, order)
    yield from _money(price, prices, job.project.timber)
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


def _too_heavy(job: Job, order: Sequence[OrderLine]) -> Iterator[Finding]:
    """Sticks that alone weigh more than the truck may carry; loads are counted as if another truck brought them."""
    sticks = (line for line in order if line.group == "timber" and line.measure == "each" and line.buy > 0.0)
    heaviest, may = max((line.kg / line.buy for line in sticks), default=0.0), truck_of(job).kg
    if heaviest > may + 1e-9:
        units = job.project.units
        yield Finding(
            "works.payload", Verdict.WATCH,
            f"The heaviest stick weighs {mass(heaviest, units)}, and the truck may carry {mass(may, units)} (`payload` "
            "under [access]): the loads of timber are counted for a truck that carries it; ask the yard for one.",
            "site", demand=heaviest, capacity=may, unit="kg", source="Weights of the timber stage",
        )  # fmt: skip


def _money(price: Price, prices: PriceList, timber: Timber) -> Iterator[Finding]:
    if price.missing and price.direct is not None:
        names = "; ".join(price.missing[:4]) + (" and others" if len(price.missing) > 4 else "")
        yield Finding(
            "works.prices", Verdict.OK, f"The price leaves things out: {price.words}. Not priced: {names}.", "site",
            source="[prices] of the file", cause="works.prices",
        )  # fmt: skip
    others = prices.prices.left_out
    if others:
        names = ", ".join(others[:4]) + (" and others" if len(others) > 4 else "")
        rows = f"{len(others)} rows of the price list are" if len(others) > 1 else "One row of the price list is"
        yield Finding(
            "works.price_rows", Verdict.OK,
            f"{rows} of nothing that is ordered here, and left out: {names}. Where one is meant for an item of the "
            "order list, give it the item's name.", "site", source="[prices] of the file", cause="works.prices",
        )  # fmt: skip
    unused = [key for key in prices.unused() if key not in ("labour", "labor", "delivery", "load_away")]
    weighed = [key for key in unused if _of_stock(key, timber)]
    if weighed:
        yield Finding(
            "works.weighed_prices", Verdict.OK,
            f"Lengths of timber whose price was weighed against the others, and of which none is bought: "
            f"{', '.join(sorted(weighed)[:6])}.", "site", source="[prices] of the file", cause="works.prices",
        )  # fmt: skip
    unused = [key for key in unused if key not in weighed]
    if unused:
        yield Finding(
            "works.unused_prices", Verdict.OK,
            f"Prices this plan has no line for: {', '.join(sorted(unused)[:6])}.", "site",
            source="[prices] of the file", cause="works.prices",
        )  # fmt: skip


def _of_stock(key: str, timber: Timber) -> bool:
    """Whether a price names a length of the stock, whose own price it then is where none stands beside the length."""
    stick = stick_named(key)
    if stick is None or not stick.is_of((timber.course_m, timber.thickness_m)):
        return False
    return any(abs(stick.length_m - row.length_m) < SAME_M and row.price is None for row in timber.stock)
