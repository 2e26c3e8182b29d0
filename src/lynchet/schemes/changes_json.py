"""What changed between two versions of a job, as data."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from lynchet.quotes.cents import money_of
from lynchet.quotes.model import Quote
from lynchet.schemes.changes import Changes
from lynchet.schemes.model import Row

VERSION = 1


def changes_json(found: Changes, names: tuple[str, str]) -> str:
    """The text of ``changes.json``; SI units, money in the currency of each file."""
    change = found.price_change
    data = {
        "lynchet_changes": VERSION,
        "files": {"before": names[0], "after": names[1]},
        "nothing_changed": found.none,
        "looks_like_two_yards": list(found.other_yard),
        "file": [{"key": key, "before": old, "after": new} for key, old, new in found.file],
        "before": _side(found.before, found.before_quote, 0, found),
        "after": _side(found.after, found.after_quote, 1, found),
        "price_change": None if change is None else money_of(change),
        "lines": [asdict(line) for line in found.lines],
        "walls": [asdict(wall) for wall in found.walls],
        "findings": [
            {"turn": one.turn, "before": one.before.key, "after": one.after.key, "text": one.text, "place": one.place}
            for one in found.findings
        ],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def _side(row: Row, quote: Quote, place: int, found: Changes) -> dict[str, Any]:
    return {
        "verdict": row.verdict.key, "stops": row.stops, "currency": quote.currency, "complete": quote.complete,
        "price": money_of(quote.sums.price), "direct": money_of(quote.sums.direct),
        "missing": list(quote.missing.names), "hours": None if row.hours is None else list(row.hours),
        "days": found.days[place], "dug_m3": row.dug_m3, "away_loose_m3": row.away_loose_m3, "loads": row.loads,
        "bed_m2": row.bed_m2, "highest_m": row.highest_m, "walls": row.walls, "terraces": row.terraces,
        "sticks": row.sticks, "pieces": found.pieces[place], "ties": found.ties[place], "plants": found.plants[place],
    }  # fmt: skip
