"""The own copy: what the job costs, how the price came about, what is missing, what is left if it runs over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lynchet.book.blocks import Block, Book, Flag, Heading, Para, Table
from lynchet.book.parts.order_pages import raised
from lynchet.drawings.paper import paper_of
from lynchet.plan.model import Plan
from lynchet.project.money import OwnRate
from lynchet.quotes.cents import cents
from lynchet.quotes.costs import MADE_UP
from lynchet.quotes.letterhead import letterhead
from lynchet.quotes.model import CostKind, CostLine, HourLine, Quote
from lynchet.quotes.words import money
from lynchet.works.price import missing_words

KINDS: tuple[tuple[CostKind, str], ...] = (
    ("material", "Material"), ("soil away", "Soil taken away"), ("delivery", "Deliveries"), ("labour", "Work"),
    ("travel", "Travel"), ("own cost", "Costs of your own"),
)  # fmt: skip


def own_copy(plan: Plan, quote: Quote) -> Book:
    """The firm's own copy."""
    paper = paper_of(plan.project, carried=True)
    number = plan.project.offer.head.number
    title = "Own copy of quote" + (f" {number}" if number else "")
    blocks = (Heading(title, 1), *letterhead(plan, quote), *_body(plan, quote))
    foot = f"{title}: not for the client"
    return Book(title, plan.project.name, "en", (paper.width_mm, paper.height_mm), blocks, foot)


def _body(plan: Plan, quote: Quote) -> Iterator[Block]:
    yield from _flags(quote)
    yield Heading("From cost to price", 2)
    yield Table(("What", "How", "Money"), tuple(sum_rows(plan, quote)), "llr", (3, 3, 1.6), strong_last=True)
    yield from _band(plan, quote)
    yield from _over(quote)
    yield from _work(plan, quote)
    yield from _parts(quote)
    yield from _offered(quote)
    yield from _lines(quote)
    yield from _hours(plan, quote)


def _flags(quote: Quote) -> Iterator[Block]:
    for text in quote.held:
        yield Flag("stop", "held back", text, ("No client's copy is made.",))
    if quote.missing.names:
        yield Flag("stop", "not to be sent", f"{_cap(quote.missing.words)}: {'; '.join(quote.missing.names)}.")
    for text in quote.before:
        if not (quote.missing.names and text.startswith(_cap(quote.missing.words))):
            yield Flag("watch", "settle first", text)


def _cap(text: str) -> str:
    return text[:1].upper() + text[1:]


def sum_rows(plan: Plan, quote: Quote) -> Iterator[tuple[str, str, str]]:
    """From the kinds of cost to the total, each the sum of what stands above it."""
    currency, sums, prices = quote.currency, quote.sums, plan.project.prices
    for kind, name in KINDS:
        lines = [line for line in quote.lines if line.kind == kind]
        if lines:
            unpriced = sum(line.cents is None for line in lines)
            said = _how(kind, lines)
            gap = missing_words(unpriced, len(lines))
            how = said if not gap else gap if kind == "material" else f"{_gap(kind, unpriced, lines)}; {said}"
            known = money(sum(line.cents or 0 for line in lines), currency)
            yield name, how, "NO PRICE" if unpriced == len(lines) else known
    so_far = "" if quote.complete else ", NOT COMPLETE"
    yield f"Direct cost{so_far}", "all of these", money(sums.direct, currency)
    yield "Overhead", f"{100 * prices.overhead:g} % of the direct cost", money(sums.overhead, currency)
    minimum = ", raised to your smallest job" if sums.minimum_applied else ""
    stepped = ", price in whole steps" if sums.rounded else ""
    yield "Profit", f"{_percent(sums.profit, sums.price)} of the price{minimum}{stepped}", money(sums.profit, currency)
    yield f"Price before tax{so_far}", "", money(sums.price, currency)
    yield "Tax", f"{100 * prices.tax:g} % of the price", money(sums.tax, currency)
    yield f"Total{so_far}", "", money(sums.total, currency)


def _gap(kind: CostKind, unpriced: int, lines: list[CostLine]) -> str:
    """What stands together as one line of the plan is not counted as several."""
    what = {"delivery": "kinds of delivery", "soil away": "loads"}.get(kind, "parts")
    return "no price" if unpriced == len(lines) else f"no price for {unpriced} of {len(lines)} {what}"


def _how(kind: CostKind, lines: list[CostLine]) -> str:
    rate = lines[0].rate
    if kind == "labour":
        hours = sum(line.quantity for line in lines)
        if rate is None:
            return f"{hours:.1f} hours"
        worth = sum(line.cents or 0 for line in lines)
        finer = (f"{hours:.{digits}f}" for digits in (1, 2))
        exact = next((text for text in finer if cents(float(text) * rate) == worth), "")
        # The parts are whole hundredths: their sum may lie a hundredth or two beside hours times rate.
        return f"{exact} hours at {rate:g}" if exact else f"{hours:.2f} hours at {rate:g}, each task rounded"
    if kind in ("soil away", "delivery"):
        loads = sum(line.quantity for line in lines)
        return f"{loads:g} load{'' if loads == 1 else 's'}" + (f" at {rate:g}" if rate is not None else "")
    return f"{len(lines)} line{'' if len(lines) == 1 else 's'}"


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "0 %"


def _band(plan: Plan, quote: Quote) -> Iterator[Block]:
    total = plan.works.price.total
    if total is not None and quote.complete:
        low, high = round(100 * total.low), round(100 * total.high)
        yield Para(
            "The plan's own band of material, loads and work, with your overhead and profit: "
            f"{money(low, quote.currency)} to {money(high, quote.currency)}; one such job in ten costs less, one "
            "in ten more. Travel, your own costs, whole days and steps are not in the band.", "note"
        )  # fmt: skip


def left_words(quote: Quote) -> str:
    """What is left of the profit where the job runs over."""
    left = money(abs(quote.over.profit), quote.currency)
    return f"a loss of {left}" if quote.over.profit < 0 else f"{left} of profit"


def _over(quote: Quote) -> Iterator[Block]:
    over, currency = quote.over, quote.currency
    yield Heading("If it runs over" if quote.complete else "If it runs over (sums are not complete)", 2)
    rows = [(f"{100 * over.share:g} % more direct cost", f"{money(over.more, currency)} more", left_words(quote))]
    if over.even is not None:
        rows.append(("nothing is left at", f"{100 * over.even:.1f} % more direct cost", money(0, currency)))
    if over.away:
        share = _percent(over.away, quote.sums.profit) if quote.sums.profit > 0 else "more than all"
        rows.append(
            ("soil away, loads and loading", money(over.away, currency), f"forgotten, it takes {share} of the profit")
        )
    yield Table(("What if", "Costs", "Leaves"), tuple(rows), "lll", (2.4, 2.4, 2.6))


def _parts(quote: Quote) -> Iterator[Block]:
    rows = [
        (part.name, money(sum(line.cents or 0 for line in quote.lines if line.part == part.part), quote.currency),
         money(part.cents, quote.currency))
        for part in quote.parts
    ]  # fmt: skip
    if rows:
        rows.append(("together", money(quote.sums.direct, quote.currency), money(quote.sums.price, quote.currency)))
        yield Heading("What each part costs you, and what the client reads", 2)
        yield Table(
            ("Part", "Direct cost", "On the client's copy"), tuple(rows), "lrr", (3, 1.4, 1.4), strong_last=True
        )


def _offered(quote: Quote) -> Iterator[Block]:
    rows = [
        (one.name, raised(one.unit), "–" if one.cost_money is None else f"{one.cost_money:,.2f}",
         "no price agreed" if one.price_cents is None else money(one.price_cents, quote.currency))
        for one in quote.allowances
    ]  # fmt: skip
    if rows:
        yield Heading("Agreed unit prices", 2)
        yield Table(("If met", "For each", "Costs you", "Client pays"), tuple(rows), "llrr", (3, 1, 1.2, 1.6))
    if quote.options:
        yield Heading("Options", 2)
        told = tuple(
            (one.name, "no price" if one.cents is None else money(one.cents, quote.currency),
             one.why or ("" if one.offered else "not offered"))
            for one in quote.options
        )  # fmt: skip
        yield Table(("Option", "Changes the price by", "Remark"), told, "lrl", (2, 1.4, 3))


def _lines(quote: Quote) -> Iterator[Block]:
    yield Heading("Line by line", 2)
    for kind, name in KINDS:
        lines = [line for line in quote.lines if line.kind == kind and kind != "labour"]
        if lines:
            yield Heading(name, 3)
            yield Table(("What", "Amount", "Sold by", "Each", "Money"), tuple(_row(line) for line in lines), "lrlrr",
                        (4.6, 1, 1.3, 1, 1.3))  # fmt: skip


def _row(line: CostLine) -> tuple[str, str, str, str, str]:
    amount = f"{line.quantity:,.2f}".rstrip("0").rstrip(".")
    if line.rate is None or line.cents is None:
        return line.name, amount, raised(line.unit), "–", "NO PRICE"
    return line.name, amount, raised(line.unit), f"{line.rate:,.2f}", f"{line.cents / 100:,.2f}"


def _hours(plan: Plan, quote: Quote) -> Iterator[Block]:
    yield Heading("Hours of one person, by task", 2)
    rows = [
        (row.name, f"{row.quantity:.3g} {raised(row.measure)}", *_four((row,)))
        for row in quote.hours
    ]  # fmt: skip
    rows.append(("all tasks", "", *_four(quote.hours)))
    yield Table(("Task", "Amount", "Low", "Expected", "High", "Charged"), tuple(rows), "lrrrrr",
                (4.4, 1.3, 0.8, 1.1, 0.8, 1.1), strong_last=True)  # fmt: skip


def _work(plan: Plan, quote: Quote) -> Iterator[Block]:
    """Hours by kind of work, as a builder thinks of them."""
    rate = plan.works.price.hour_money
    yield Heading("Hours of one person, by kind of work", 2)
    kinds: dict[str, list[HourLine]] = {}
    for row in quote.hours:
        kinds.setdefault(row.kind, []).append(row)
    rows = [(kind, *_four(tuple(found))) for kind, found in kinds.items()]
    more = next((line for line in quote.lines if line.key == MADE_UP), None)
    if more is not None:
        rows.append((more.name, "", "", "", f"{more.quantity:.1f}"))
    low, likely, high, _ = _four(quote.hours)
    charged = sum(line.quantity for line in quote.lines if line.kind == "labour")
    rows.append(("together", low, likely, high, f"{charged:.1f}"))
    yield Table(("Work", "Low", "Expected", "High", "Charged"), tuple(rows), "lrrrr", (3.4, 1, 1, 1, 1),
                strong_last=True)  # fmt: skip
    programme = plan.works.programme
    paid = programme.days * programme.crew * programme.day_h
    if paid > charged + 0.5:
        yield Para(
            f"The days promised are {programme.days} of {programme.crew} people at {programme.day_h:g} h: {paid:.0f} h "
            f"paid, {charged:.0f} h charged. {paid - charged:.0f} h are in nobody's price, unless the crew goes on to "
            "other work; bill_days and minimum_days under [terms] charge whole days.", "strong"
        )  # fmt: skip
    yield Para(
        "Charged is the mean of low, expected and high: what such work takes on average. "
        + rates_words(plan.project.works.rates, quote.hours)
        + ("" if rate is not None else " AN HOUR HAS NO PRICE."), "note"
    )  # fmt: skip


def rates_words(own: Sequence[OwnRate], hours: Sequence[HourLine]) -> str:
    """Whose rates the hours are, and a warning where one's own make higher courses slower than the first."""
    if not own:
        return "The rates are those of books and practice until you enter jobs of your own ([[rates]])."
    tasks = ", ".join(dict.fromkeys(rate.task for rate in own))
    said = f"Your own rates ([[rates]]) are used for: {tasks}. The others are those of books and practice."
    first, higher = (_each(hours, kind) for kind in ("first course", "courses"))
    if first is None or higher is None or higher <= first or not {"first course", "courses"} & {r.task for r in own}:
        return said
    measure = next(row.measure for row in hours if row.kind == "courses")
    return (
        f"{said} CHECK THEM: a higher course is reckoned at {higher:.2f} h a {measure}, the first, with its levelling, "
        f"at {first:.2f} h. Quantity means the length of every course laid, not of the wall; enter the first course by "
        "jobs of your own too."
    )


def _each(hours: Sequence[HourLine], kind: str) -> float | None:
    """Expected hours for one of the measure."""
    amount = sum(row.quantity for row in hours if row.kind == kind)
    return sum(row.likely for row in hours if row.kind == kind) / amount if amount > 0 else None


def _four(rows: Sequence[HourLine]) -> tuple[str, str, str, str]:
    """Low, expected, high and charged hours of some tasks."""
    low, likely, high = (sum(getattr(row, name) for row in rows) for name in ("low", "likely", "high"))
    return f"{low:.1f}", f"{likely:.1f}", f"{high:.1f}", f"{sum(row.charged for row in rows):.1f}"
