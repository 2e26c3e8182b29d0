"""Rows of the soil account as the sheet shows them: what is dug, where it goes, why some is left over."""

from __future__ import annotations

from dataclasses import dataclass

from lynchet.drawings.source import Planned
from lynchet.earth.model import DUG

DUG_WORDS = {
    "topsoil off": "topsoil, taken off first", "bench cut": "benches, with bed soil", "bank cut": "banks",
    "steps cut": "steps", "wall trench": "trenches of the walls", "tie trench": "trenches of the ties",
    "drain trench": "trenches of the drains", "soakaway pit": "soakaway",
}  # fmt: skip
_LEAST_M3 = 0.005


@dataclass(frozen=True)
class Part:
    """One piece of a bar: words, cubic metres as the soil lies, how it is drawn."""

    words: str
    bank_m3: float
    fill: str
    hatch: str = ""
    note: str = ""


def dug_parts(plan: Planned) -> tuple[Part, ...]:
    """All that is dug, by what it is dug for; and what is brought in where soil is short."""
    totals: dict[str, float] = {}
    for move in plan.earth.moves:
        if move.measure == "bank":
            totals[move.kind] = totals.get(move.kind, 0.0) + move.volume_m3
    found = [
        Part(DUG_WORDS[kind], totals[kind], "bed" if kind == "topsoil off" else "fill")
        for kind in DUG if totals.get(kind, 0.0) > _LEAST_M3
    ]  # fmt: skip
    short = -plan.earth.account.away_bank_m3
    if short > _LEAST_M3:
        found.append(Part("brought in", short, "paper", "left over"))
    return tuple(found)


def used_parts(plan: Planned) -> tuple[Part, ...]:
    """Where it all goes; as much as is dug and brought in."""
    account = plan.earth.account
    wished = (
        Part("topsoil, laid back", account.topsoil_used_m3, "bed", note="in beds, on banks, over trenches"),
        Part("filled, in tamped layers", account.fill_m3 / account.compacted_per_bank, "fill",
             note="behind the walls, under the beds"),
        Part("spread elsewhere", account.spread_m3 / account.compacted_per_bank, "fill", note="where the file allows"),
        Part("carted away", account.away_bank_m3, "paper", "left over"),
    )  # fmt: skip
    return tuple(part for part in wished if part.bank_m3 > _LEAST_M3)


def reasons(plan: Planned) -> tuple[tuple[str, float], ...]:
    """Why soil is left over, in cubic metres as it lies; the last row is the sum of those before it."""
    account = plan.earth.account
    rows = [("cut less fill, if nothing came in", account.plain_away_bank_m3)]
    rows += [(f"{row.what}: takes the place of soil", row.bank_m3) for row in account.pushed]
    rows += [("tamped ground takes more soil", account.settling_bank_m3),
             ("spread elsewhere", -account.spread_m3 / account.compacted_per_bank)]  # fmt: skip
    kept = [(words, value) for n, (words, value) in enumerate(rows) if n == 0 or abs(value) > _LEAST_M3]
    total = account.away_bank_m3
    return (*kept, ("left over" if total >= 0 else "missing, to be brought in", total))
