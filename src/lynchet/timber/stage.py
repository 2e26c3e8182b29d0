"""The timber stage, first form: pieces, ties and cross-pieces cut from stock by first-fit, with its bound."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from math import ceil

from lynchet.project.model import Project
from lynchet.stability.model import Stability
from lynchet.timber.cut_orders import Sticks, Stock, metres, sticks_of, units
from lynchet.timber.first_fit import first_fit
from lynchet.timber.model import Stick, Timber
from lynchet.walls.model import Piece

KERF_M = 0.003
"""Saw cut. PRACTICE."""
USUAL_STOCK_M = (2.4384, 3.6576, 4.8768)
"""8, 12 and 16 ft, where the file names no stock. PRACTICE."""


def timber(project: Project, pieces: Sequence[Piece], stability: Stability) -> Timber:
    """Sticks for every piece, tie and cross-piece.

    Longest piece first, each into the first stick that takes it; then each stick becomes the cheapest stock that holds
    its load (where a price is missing: the shortest). A piece longer than any stock is bought as a stick of its own
    length.
    """
    wanted = [(piece.id, piece.length_m) for piece in pieces]
    for tie in stability.ties:
        wanted += [(tie.id, tie.length_m - project.timber.thickness_m), (f"{tie.id}/cross", tie.cross_length_m)]
    stock = _stock(project)
    sticks = sticks_of(stock, KERF_M, 0.0, 0.0)
    fitting = [(name, length) for name, length in wanted if units(length) <= sticks.longest]
    special = [(name, length) for name, length in wanted if units(length) > sticks.longest]
    cut = _cut(sticks, fitting)
    cut += [Stick(length, (name,), (length,)) for name, length in special]
    used = sum(length for _, length in wanted)
    return Timber(
        sticks=tuple(cut),
        bought_m=sum(stick.stock_m for stick in cut),
        used_m=used,
        method="longest piece first, each into the first stick that takes it",
        least_sticks=ceil(used / max(row.length_m for row in stock) - 1e-9),
        price=_price(project, cut),
    )


def _stock(project: Project) -> list[Stock]:
    lengths = {row.length_m: row.price for row in project.timber.stock} or dict.fromkeys(USUAL_STOCK_M)
    priced = all(price is not None for price in lengths.values())
    return [
        Stock(length, price if priced and price is not None else length) for length, price in sorted(lengths.items())
    ]


def _cut(sticks: Sticks, wanted: Sequence[tuple[str, float]]) -> list[Stick]:
    names: dict[int, list[str]] = defaultdict(list)
    for name, length in wanted:
        names[units(length)].append(name)
    demand = Counter({length: len(group) for length, group in names.items()})
    found = []
    for stock, lengths in first_fit(sticks, demand):
        taken = tuple(names[length].pop(0) for length in lengths)
        found.append(Stick(metres(sticks.length[stock]), taken, tuple(metres(length) for length in lengths)))
    return found


def _price(project: Project, cut: Sequence[Stick]) -> float | None:
    """Price of what is bought; sticks on hand cost nothing."""
    stock = {units(row.length_m): row for row in project.timber.stock}
    counts = Counter(units(stick.stock_m) for stick in cut)
    total = 0.0
    for length, count in counts.items():
        row = stock.get(length)
        if row is None or row.price is None:
            return None
        total += row.price * max(count - row.on_hand, 0)
    return total
