"""A quote as data."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from lynchet.plan.model import Plan
from lynchet.quotes.cents import money_of
from lynchet.quotes.model import Quote

VERSION = 1


def quote_json(plan: Plan, quote: Quote) -> str:
    """The text that ``lynchet quote --json`` prints; money in the file's currency, hundredths exact."""
    sums = quote.sums
    data: dict[str, Any] = {
        "lynchet_quote": VERSION,
        "name": plan.project.name,
        "currency": quote.currency,
        "complete": quote.complete,
        "missing": {"lines": quote.missing.lines, "names": list(quote.missing.names), "words": quote.missing.words},
        "held_back": list(quote.held),
        "before_sending": list(quote.before),
        "date": quote.date,
        "valid_until": quote.valid_until,
        "direct": money_of(sums.direct), "overhead": money_of(sums.overhead), "cost": money_of(sums.cost),
        "profit": money_of(sums.profit), "price": money_of(sums.price), "tax": money_of(sums.tax),
        "total": money_of(sums.total), "minimum_applied": sums.minimum_applied,
        "lines": [_money(asdict(line)) for line in quote.lines],
        "hours": [asdict(row) for row in quote.hours],
        "parts": [_money(asdict(part)) for part in quote.parts],
        "payments": [_money(asdict(one)) for one in quote.payments],
        "allowances": [
            {"name": one.name, "unit": one.unit, "cost": one.cost_money,
             "price": None if one.price_cents is None else money_of(one.price_cents)}
            for one in quote.allowances
        ],
        "options": [_money(asdict(one)) for one in quote.options],
        "over": {
            "share": quote.over.share, "more": money_of(quote.over.more), "profit": money_of(quote.over.profit),
            "nothing_left_at": quote.over.even,
            "soil_away": None if quote.over.away is None else money_of(quote.over.away),
        },
    }  # fmt: skip
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def _money(row: dict[str, Any]) -> dict[str, Any]:
    """The same with its hundredths as money."""
    found = {key: value for key, value in row.items() if key != "cents"}
    return found | {"money": None if row["cents"] is None else money_of(row["cents"])}
