"""A comparison as data, SI units."""

from __future__ import annotations

import json
from typing import Any

from lynchet.schemes.model import Comparison, Outcome
from lynchet.schemes.words import gains_and_losses
from lynchet.units.measures import System

VERSION = 1


def comparison_json(found: Comparison, name: str, system: System, currency: str) -> str:
    """The text of ``compare.json``."""
    data = {
        "lynchet_compare": VERSION,
        "name": name,
        "units": system,
        "currency": currency,
        "effort": "full",
        "base": _one(found.base, found.base, system),
        "schemes": [_one(one, found.base, system) for one in found.others],
        "none_here": [{"name": missing, "why": why} for missing, why in found.missing],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def _one(one: Outcome, base: Outcome, system: System) -> dict[str, Any]:
    row = one.row
    gains, losses = ([], []) if one is base else gains_and_losses(base.row, row, system)
    return {
        "name": one.name, "what": one.what, "own": one.own, "built": one.plan is not None,
        "edits": [{"key": key, "value": value} for key, value in one.edits],
        "verdict": row.verdict.key, "reason": row.reason, "stops": row.stops,
        "cost": _span(row.cost), "cost_note": row.cost_words, "hours": _span(row.hours),
        "dug_m3": row.dug_m3, "away_loose_m3": row.away_loose_m3, "loads": row.loads, "handled_m3": row.handled_m3,
        "bed_m2": row.bed_m2, "highest_m": row.highest_m, "walls": row.walls, "terraces": row.terraces,
        "sticks": row.sticks, "tried": one.tried, "note": one.note, "gains": gains, "loses": losses,
    }  # fmt: skip


def _span(span: tuple[float, float] | None) -> dict[str, float] | None:
    return None if span is None else {"low": span[0], "high": span[1]}
