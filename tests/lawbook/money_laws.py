"""What a plan costs and is offered for, held to plans made anew: dearer goods, schemes, wall lines, the quote."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, floor
from typing import Any

import shapely

from lynchet.core.errors import InputError
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Project
from lynchet.quotes.making import quote_of
from lynchet.quotes.model import Quote
from lynchet.quotes.options import with_options
from lynchet.schemes.compare import own_schemes
from lynchet.schemes.figures import row_of
from lynchet.schemes.search import bench_of
from priced_yards import Priced

CENT = 0.0051
ON_LINE_M = 0.02
"""A wall stands on the line drawn for it, within its joints' own tidying."""


def dearer_is_never_cheaper(found: Priced) -> list[str]:
    """Everything a quarter dearer: no total is lower, and all is a quarter more to a cent for each line."""
    before, after = found.plan.works.price, found.dearer(1.25).works.price
    if before.total is None or after.total is None:
        return [] if before.total is after.total else ["a total comes or goes with the prices"]
    near = 0.01 * (before.lines + len(found.plan.works.tasks) + 2)
    out = []
    for name in ("low", "likely", "high"):
        old, new = (getattr(price.total, name) for price in (before, after))
        if new < old - 1e-9 or new > 1.25 * old + 1.25 * near:
            out.append(f"{name} total {old:.2f}, with all a quarter dearer {new:.2f}")
    return out


def schemes_are_their_own_plans(found: Priced) -> list[str]:
    """A scheme compared has the figures of the file's own plan by its brief, and of the plan with its edits."""
    out = []
    project, raw = found.read(), _raw(found)
    bench = bench_of(lambda edits: found.read(*edits), lambda text: None)
    briefs = {scheme.name: scheme.brief for scheme in project.schemes}
    for name, edits in own_schemes(raw).items():
        try:
            shown = bench.sure(edits).row
        except InputError:
            continue  # the file says otherwise: compare tells why in its place
        said = {key for key, _ in edits}
        assumed = tuple(one for one in project.defaults if one.key not in said)
        by_brief = replace(project, brief=briefs[name], defaults=assumed)
        for way, one in (("by its brief", by_brief), ("by its edits", found.read(*edits))):
            row = row_of(plan_project(one, effort=found.plan.effort))
            if row != shown:
                out.append(f"{name} {way}: {row} where {shown} is compared")
    return out


def _raw(found: Priced) -> dict[str, Any]:
    rows = [value for key, value in found.edits if key.startswith("scheme.")]
    return {"scheme": rows}


def walls_stand_on_drawn_lines(found: Priced) -> list[str]:
    """The front of a terrace whose line the file draws lies on that line, ends drawn on to the edge."""
    out = []
    for own in found.plan.project.own_lines:
        line = shapely.LineString(own.line_m)
        legs = [leg for leg in found.plan.walls.legs if leg.id.split(".")[0] == f"W{own.terrace}"]
        if not legs:
            out.append(f"no wall stands on the line of terrace {own.terrace}")
        for leg in legs:
            (ax, ay), (bx, by) = leg.start_m, leg.end_m
            middle = shapely.Point((ax + bx) / 2.0, (ay + by) / 2.0)
            if shapely.distance(line, middle) > ON_LINE_M:
                out.append(f"{leg.id} stands {shapely.distance(line, middle):.3f} m off the line drawn for it")
    return out


def the_quote_adds_up(found: Priced) -> list[str]:
    """Lines make the direct cost, overhead lies on it, profit is its share of the price, which goes to whole steps and
    not under the smallest job; parts make the price, payments the total; what has no price is what the plan says."""
    quote = quote_of(found.plan)
    project, price = found.plan.project, found.plan.works.price
    out = _sums(quote, project)
    own = {cost.name for cost in project.offer.costs}
    free = {cost.name for cost in project.offer.costs if cost.money is None}
    if set(quote.missing.names) != {*price.missing, *free} or quote.missing.lines != price.lines + len(own):
        out.append(f"{quote.missing.words}, by the plan {len(price.missing)} of {price.lines}")
    bought = sum(line.cents or 0 for line in quote.lines if line.kind not in ("travel", "own cost")
                 and not line.name.startswith("made up"))  # fmt: skip
    if price.direct is not None and abs(bought / 100.0 - price.direct.likely) > CENT:
        out.append(f"lines make {bought / 100.0:.2f}, the plan's direct cost is {price.direct.likely:.2f}")
    return out


def _sums(quote: Quote, project: Project) -> list[str]:
    terms, prices, sums = project.offer.terms, project.prices, quote.sums
    direct = sum(line.cents or 0 for line in quote.lines)
    plain = direct / 100.0 * (1.0 + prices.overhead) / (1.0 - prices.profit)
    step = terms.round_to_money or 0.01
    least = max(plain, terms.minimum_money)
    up = ceil(least / step - 1e-9) * step
    nearest = floor(least / step + 0.5) * step
    wanted = up if terms.rounding == "up" or nearest < terms.minimum_money - 1e-9 else nearest
    pairs = {
        "direct": (sums.direct, direct),
        "parts": (sum(part.cents for part in quote.parts), sums.price if quote.parts else 0),
        "cost and profit": (sums.direct + sums.overhead + sums.profit, sums.price),
        "payments": (sum(one.cents for one in quote.payments), sums.total if quote.payments else 0),
    }  # fmt: skip
    out = [f"{name}: {told} and {own} hundredths" for name, (told, own) in pairs.items() if told != own]
    halfway = abs(least / step % 1.0 - 0.5) < 1e-6
    if abs(sums.price / 100.0 - wanted) > (step if halfway else 0.0) + 0.011:
        out.append(f"price {sums.price / 100.0:.2f}, by the terms {wanted:.2f}")
    if abs(sums.tax - sums.price * prices.tax) > 1.0:
        out.append(f"tax {sums.tax} hundredths on {sums.price}")
    return out


def options_are_differences(found: Priced) -> list[str]:
    """An option that changes the plan costs what the whole offer of that plan costs more."""
    plan = found.plan
    planned: dict[str, Plan] = {}

    own = own_schemes(_raw(found))

    def otherwise(scheme: str, edits: tuple[tuple[str, object], ...]) -> Plan:
        key = scheme or repr(edits)
        project = found.read(*edits, *own.get(scheme, ()))
        planned[key] = plan_project(project, effort=plan.effort)
        return planned[key]

    quote = quote_of(plan)
    if not quote.wishes and not any(scheme.option for scheme in plan.project.schemes):
        return []
    offered = with_options(plan, quote, otherwise)
    out = []
    prices = {quote_of(other).sums.price - quote.sums.price for other in planned.values()}
    for option in offered.options[len(quote.options) :]:
        if option.cents is not None and option.cents not in prices:
            out.append(f"{option.name}: {option.cents} hundredths, other plans cost {sorted(prices)} more")
        if option.cents is None and not option.why:
            out.append(f"{option.name} has no price, and nothing says why")
    return out


def broken_money(found: Priced) -> list[str]:
    """Broken laws of money, schemes and drawn lines."""
    if found.case.refused:
        return []
    laws = (dearer_is_never_cheaper, schemes_are_their_own_plans, walls_stand_on_drawn_lines, the_quote_adds_up,
            options_are_differences)  # fmt: skip
    return [f"{law.__name__}: {text}" for law in laws for text in law(found)]
