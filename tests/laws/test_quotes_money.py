"""Laws of a quote's money: parts make the price to the last hundredth, payments the total; dearer is never cheaper."""

from __future__ import annotations

import re
from dataclasses import replace
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lynchet.core.errors import Fault, InputError
from lynchet.plan.model import Plan
from lynchet.project.firm import Offer, Stage, Terms
from lynchet.project.model import Scheme
from lynchet.project.money import OwnRate
from lynchet.quotes.cents import cents, money_of, shared_out
from lynchet.quotes.making import missing_of, quote_of, valid_until
from lynchet.quotes.model import HourLine, Quote
from lynchet.quotes.options import with_options
from lynchet.quotes.own_copy import rates_words, sum_rows
from quoted import OFFER, TERMS, every_price, planned, prices, without


@pytest.fixture(scope="module")
def quote() -> Quote:
    """The side yard with every price known."""
    return quote_of(planned())


@given(st.integers(0, 10**9), st.lists(st.integers(0, 10**7), min_size=1, max_size=9))
def test_shares_make_the_whole(total: int, weights: list[int]) -> None:
    """Shares add up, none is below nothing, and each lies less than a hundredth from its exact part."""
    shares = shared_out(total, weights)
    assert sum(shares) == total
    assert min(shares) >= 0
    if sum(weights):
        for share, weight in zip(shares, weights, strict=True):
            assert abs(share - total * weight / sum(weights)) < 1.0 + 1e-6


@given(st.integers(-(10**9), 10**9))
def test_hundredths_go_there_and_back(hundredths: int) -> None:
    """Money in whole hundredths is the same after a turn through decimals."""
    assert cents(money_of(hundredths)) == hundredths


def test_every_sum_is_the_sum_of_what_stands_above_it(quote: Quote) -> None:
    """Lines make the direct cost, parts the price, payments the total, to the last hundredth."""
    sums = quote.sums
    assert quote.complete
    assert sums.direct == sum(line.cents or 0 for line in quote.lines)
    assert sums.direct + sums.overhead + sums.profit == sums.price
    assert sum(part.cents for part in quote.parts) == sums.price
    assert sum(one.cents for one in quote.payments) == sums.total == sums.price + sums.tax
    for line in quote.lines:
        assert line.rate is not None
        assert line.cents is not None
        assert abs(line.cents - 100.0 * line.quantity * line.rate) <= 0.5 + 1e-6


def test_hours_shown_at_their_rate_make_the_money_shown(quote: Quote) -> None:
    """Hours times rate as printed is the very sum that stands beside them, or the line says that tasks are rounded:
    then it lies no further off than their roundings and the hours' own."""
    for rate in (40.0, 41.5, 46.0, 38.27):
        lines = [replace(line, rate=rate, cents=cents(line.quantity * rate)) if line.kind == "labour" else line
                 for line in quote.lines]  # fmt: skip
        ((_, how, _),) = [row for row in sum_rows(planned(), replace(quote, lines=tuple(lines))) if row[0] == "Work"]
        worth = [line.cents or 0 for line in lines if line.kind == "labour"]
        shown = re.fullmatch(r"([\d.]+) hours at ([\d.]+)(, each task rounded)?", how)
        assert shown is not None
        off = abs(float(shown[1]) * float(shown[2]) * 100.0 - sum(worth))
        assert off <= (0.5 * len(worth) + 0.5 * rate if shown[3] else 0.5 + 1e-6)


def test_own_rates_are_said_and_odd_ones_questioned() -> None:
    """A rate of one's own is named, and the first course done faster than the others is questioned; books are not."""
    hours = [HourLine("a", "first course", 10.0, "m", 2.0, 5.0, 10.0, 5.7),
             HourLine("b", "courses", 10.0, "m", 9.0, 10.0, 11.0, 10.0)]  # fmt: skip
    own = [OwnRate("courses", 1.0)]
    assert "Your own rates" in rates_words(own, hours) and "CHECK THEM" in rates_words(own, hours)
    assert "until you enter jobs" in rates_words([], hours) and "CHECK" not in rates_words([], hours)
    slow = [hours[0], replace(hours[1], likely=3.0)]
    assert "CHECK" not in rates_words(own, slow) and "Your own rates" in rates_words(own, slow)


def test_profit_is_a_share_of_the_price(quote: Quote) -> None:
    """10 % of the price is what is left (11.1 % on the cost, the classic slip), overhead a share of the direct cost."""
    assert quote.sums.overhead == pytest.approx(0.18 * quote.sums.direct, abs=0.5)
    assert quote.sums.profit == pytest.approx(0.10 * quote.sums.price, abs=1.0)
    assert quote.sums.profit == pytest.approx(quote.sums.cost / 9.0, abs=1.5)
    assert quote.sums.tax == pytest.approx(0.065 * quote.sums.price, abs=0.5)


def test_every_line_of_the_plan_is_in_the_cost_once(quote: Quote) -> None:
    """Order lines, loads, hours, travel and own costs stand once each; hours are those of the tasks and whole days."""
    plan = planned()
    keys = [line.key for line in quote.lines if line.kind in ("material", "soil away")]
    assert keys == [line.key for line in plan.works.order if line.buy > 0]
    loads = sum(line.quantity for line in quote.lines if line.kind == "delivery")
    assert loads == sum(one.loads for one in plan.works.deliveries if one.name != "soil away")
    hours = sum(line.quantity for line in quote.lines if line.kind == "labour")
    day = plan.project.works.crew * plan.project.works.day_h
    worked = sum((t.hours.low + t.hours.likely + t.hours.high) / 3.0 for t in plan.works.tasks)
    assert hours == pytest.approx(0.5 * ceil(worked / day / 0.5 - 1e-9) * day)
    travel = sum(line.cents or 0 for line in quote.lines if line.kind == "travel")
    assert travel == 100 * (35 * plan.works.programme.days + 110)
    assert sum(line.cents or 0 for line in quote.lines if line.kind == "own cost") == 84000


@settings(deadline=None, max_examples=30)
@given(
    item=st.sampled_from([one.item for one in every_price()]),
    more=st.floats(0.0, 500.0),
    step=st.sampled_from([None, 1.0, 5.0, 37.0, 250.0]),
    least=st.sampled_from([0.0, 4000.0, 9000.0]),
)
def test_a_dearer_item_is_never_a_cheaper_quote(item: str, more: float, step: float | None, least: float) -> None:
    """Whatever the smallest job and the steps, no price that rises makes the total fall."""
    offer = replace(OFFER, terms=replace(TERMS, round_to_money=step, minimum_money=least))
    dearer = tuple(replace(one, money=one.money + more) if one.item == item else one for one in every_price())
    cheap, dear = quote_of(planned(offer=offer)), quote_of(planned(prices(items=dearer), offer))
    assert dear.sums.direct >= cheap.sums.direct
    assert dear.sums.price >= cheap.sums.price
    assert dear.sums.total >= cheap.sums.total


@pytest.mark.parametrize("above", range(-400, 401, 25))
def test_no_step_goes_under_the_smallest_job(above: int) -> None:
    """A plain price just over the smallest job is not carried under it by the nearest step."""
    plain = quote_of(planned(offer=replace(OFFER, terms=replace(TERMS, stages=())))).sums.price
    least = money_of(plain) - above / 10.0
    offer = replace(OFFER, terms=replace(TERMS, minimum_money=least, round_to_money=100.0, stages=()))
    assert money_of(quote_of(planned(offer=offer)).sums.price) >= least


@pytest.mark.parametrize("share", ["overhead", "profit", "tax"])
def test_more_overhead_profit_or_tax_is_never_a_lower_total(share: str) -> None:
    """Each share raises the total, and no other line of the cost."""
    totals = [quote_of(planned(prices(**{share: value}))) for value in (0.0, 0.07, 0.2, 0.5)]
    assert [one.sums.total for one in totals] == sorted(one.sums.total for one in totals)
    assert len({one.sums.direct for one in totals}) == 1


@given(st.lists(st.integers(1, 60), min_size=1, max_size=8), st.integers(0, 10**8))
def test_payments_add_up_and_each_but_the_last_is_cut_down(parts: list[int], total: int) -> None:
    """Shares of any number of payments make the total to the last hundredth."""
    from lynchet.quotes.making import payments

    terms = Terms(stages=tuple(Stage(str(n), part / sum(parts)) for n, part in enumerate(parts)))
    found = payments(total, terms)
    assert sum(one.cents for one in found) == total
    for one in found[:-1]:
        assert total * one.share - 1.0 - 1e-4 <= one.cents <= total * one.share + 1e-4


def test_what_has_no_price_is_counted_and_named() -> None:
    """Hours are one line, trucks another; nothing that lacks a price adds to a sum or is left unsaid."""
    full, gap = quote_of(planned()), quote_of(planned(without("labour", "fabric", "delivery")))
    assert full.missing.names == ()
    assert full.missing.words == ""
    assert set(gap.missing.names) == {"filter fabric, non-woven", "deliveries by truck", "work by the hour"}
    assert gap.missing.lines == full.missing.lines
    assert gap.missing.words == f"no price for 3 of {full.missing.lines} lines"
    assert not gap.complete
    gone = sum(line.cents or 0 for line in full.lines if line.kind in ("labour", "delivery") or line.key == "fabric")
    assert gap.sums.direct == full.sums.direct - gone
    assert missing_of(()).words == ""


def test_a_haul_off_without_a_price_keeps_the_clients_copy_back() -> None:
    """Soil goes away, nobody said what a load costs: the quote is held back and says why."""
    assert quote_of(planned()).held == ()
    held = quote_of(planned(without("load_away"))).held
    assert len(held) == 1
    assert "load_away" in held[0]


def test_a_plan_that_stops_is_not_offered() -> None:
    """The steep demo stops: no client's copy, and the reason is the plan's own."""
    found = quote_of(planned(name="spot_levels"))
    assert any("stop" in text for text in found.held)


def test_running_over_eats_the_profit_and_nothing_else(quote: Quote) -> None:
    """At the share named as even nothing is left; a fifth more leaves the profit less a fifth of the direct cost."""
    over = quote.over
    assert over.profit == quote.sums.profit - over.more
    assert over.more == pytest.approx(0.2 * quote.sums.direct, abs=0.5)
    assert over.even is not None
    assert over.even * quote.sums.direct == pytest.approx(quote.sums.profit)
    haul = [line for line in quote.lines if line.key in ("load_away", "site/haul away")]
    assert over.away == sum(line.cents or 0 for line in haul) > 0


def test_unit_prices_carry_overhead_and_profit(quote: Quote) -> None:
    """A cost becomes a price as the rest does; a price that is agreed stays as it is."""
    rock, root = quote.allowances
    assert rock.price_cents == cents(160.0 * 1.18 / 0.9)
    assert root.price_cents == 6000
    assert quote.options[0].cents == cents(12 * money_of(cents(18.0 * 1.18 / 0.9)))


def test_an_option_is_the_difference_of_two_whole_quotes() -> None:
    """Leaving something out saves just what the quote without it costs less; without prices there is no figure."""
    wish = replace(OFFER.options[0], cost_money=None, leave_out="steps")
    offer = replace(OFFER, options=(wish,))
    plan, other = planned(offer=offer), planned(prices(items=every_price(0.5)), offer)
    quote = quote_of(plan)
    assert quote.wishes == (wish,)
    asked = []

    def planner(scheme: str, edits: tuple[tuple[str, object], ...]) -> object:
        asked.append((scheme, edits))
        return other

    found = with_options(plan, quote, planner)  # type: ignore[arg-type]
    assert asked == [("", (("steps", None), ("option", None)))]
    assert found.options[0].cents == quote_of(other).sums.price - quote.sums.price < 0
    assert found.wishes == ()
    other = planned(without("fabric"), offer)
    assert with_options(plan, quote, planner).options[0].cents is None  # type: ignore[arg-type]
    other = planned(without("load_away"), offer)
    assert not with_options(plan, quote, planner).options[0].offered  # type: ignore[arg-type]


def test_a_scheme_the_file_contradicts_is_not_offered() -> None:
    """A scheme that something else in the file rules out stays off the client's copy, with the reason for the firm."""
    plan = planned()
    scheme = Scheme("fewer", replace(plan.project.brief, terraces=1), "one terrace")
    plan = replace(plan, project=replace(plan.project, schemes=(scheme,)))

    def planner(name: str, edits: tuple[tuple[str, object], ...]) -> Plan:
        raise InputError(Fault("there is no terrace 2", "1 to 1", "wall_line.1.terrace"))

    *_, found = with_options(plan, quote_of(plan), planner).options
    assert (found.name, found.cents, found.offered) == ("one terrace", None, False)
    assert found.why == "there is no terrace 2 (`wall_line.1.terrace`; accepted: 1 to 1)"


def test_days_the_offer_holds() -> None:
    """14 days from 12 March is 26 March; over the end of a leap February; empty where something is not said."""
    assert valid_until("2027-03-12", 14) == "2027-03-26"
    assert valid_until("2028-02-20", 10) == "2028-03-01"
    assert valid_until("", 14) == valid_until("2027-03-12", None) == ""


def test_what_is_open_is_told_before_it_is_sent() -> None:
    """An offer without a firm, a client, terms or rock names each of them."""
    plan = planned(prices(overhead=0.0, profit=0.0), Offer())
    said = " ".join(quote_of(plan).before)
    for word in ("firm.name", "quote.client", "terms.valid_days", "terms.stages", "terms.exclusions", "overhead",
                 "profit", "rock"):  # fmt: skip
        assert word in said, word
    assert "sheet.date" not in said


def test_nothing_priced_gives_no_price() -> None:
    """A file without money has a direct cost of nothing and every line missing; no part takes money from nowhere."""
    quote = quote_of(planned(prices(items=()), Offer()))
    assert quote.sums.total == 0
    assert len(quote.missing.names) == quote.missing.lines > 10
    assert all(part.cents == 0 for part in quote.parts)
