"""Which sticks to buy and what to cut from each: the habit of the trade with a bound, or least cost with a proof."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, inf
from typing import Literal

from lynchet.project.model import Timber as Wood
from lynchet.timber.cut_orders import Sticks, metres, price_step, raised, units
from lynchet.timber.cut_plan import CutPlan, least_cost
from lynchet.timber.cut_work import Work
from lynchet.timber.model import CutProof, Stick, StickSource, StockLine

Cut = list[tuple[int, tuple[int, ...]]]
"""Row of the shelf and pieces (0.01 mm) of each stick."""
USUAL_STOCK_M = (2.4384, 3.6576, 4.8768)
"""8, 12 and 16 ft, where the file names no stock. PRACTICE."""
MILLIMETRE = 0.001
HABIT = "longest piece first, each into the first stick that takes it; then the cheapest stick for each load"
EXACT = "least cost over all ways of cutting, with a proven bound"


@dataclass(frozen=True)
class Shelf:
    """What can be had: the sticks on hand, free, and after them every length on sale as often as needed."""

    sticks: Sticks
    on_hand: tuple[bool, ...]
    measure: Literal["price", "length"]
    price: tuple[float | None, ...]
    """Of one, as the file says."""
    wood: Wood

    @property
    def sold(self) -> list[int]:
        """Rows on sale."""
        return [row for row, own in enumerate(self.on_hand) if not own]


def shelf_of(wood: Wood) -> Shelf:
    """The stock of a file; where not every length has a price, metres are bought instead of money."""
    stock = {units(row.length_m): row for row in wood.stock}
    lengths = sorted(length for length, row in stock.items() if row.sold) or [units(one) for one in USUAL_STOCK_M]
    prices: dict[int, float | None] = {length: stock[length].price if length in stock else None
                                       for length in {*lengths, *stock}}  # fmt: skip
    priced = all(prices[length] for length in lengths)  # a price of nothing would buy without end
    rows = [(length, True) for length in sorted(stock) if stock[length].on_hand]
    rows += [(length, False) for length in lengths]
    kerf, spare = units(wood.kerf_m), units(wood.over_length_m) - units(wood.end_trim_m)
    cost = [0.0 if own else (prices[length] if priced else metres(length)) or 0.0 for length, own in rows]
    sticks = Sticks(
        tuple(length for length, _ in rows),
        tuple(max(length + spare, 0) + kerf for length, _ in rows),
        tuple(cost),
        tuple(stock[length].on_hand if own else None for length, own in rows),
        kerf,
    )
    own_flags = tuple(own for _, own in rows)
    return Shelf(sticks, own_flags, "price" if priced else "length", tuple(prices[length] for length, _ in rows), wood)


def first_fit_on(shelf: Shelf, demand: Mapping[int, int]) -> Cut:
    """The habit, begun with each length on sale in turn; the cheapest outcome. Sticks on hand take the longest loads.

    The loads do not hang on prices, each is then given the cheapest stick: a dearer price never makes it cheaper.
    """
    best: Cut = []
    least = float("inf")
    for opened in sorted({shelf.sticks.room[row] for row in shelf.sold}, reverse=True):
        cut = _bought(shelf, _loads(shelf, demand, opened))
        cost = _cost(shelf, cut)
        if cost < least - 1e-9:
            best, least = cut, cost
    return best


def _loads(shelf: Shelf, demand: Mapping[int, int], opened: int) -> list[list[int]]:
    """Longest piece first into the first stick that takes it; a new one has ``opened`` room, or the next that does."""
    rooms = sorted(shelf.sticks.room[row] for row in shelf.sold)
    kerf = shelf.sticks.kerf
    left: list[int] = []
    held: list[list[int]] = []
    for length in sorted(demand, reverse=True):
        need, place = length + kerf, 0
        for _ in range(demand[length]):
            while place < len(left) and left[place] < need:
                place += 1
            if place == len(left):
                left.append(opened if need <= opened else next(room for room in rooms if room >= need))
                held.append([])
            left[place] -= need
            held[place].append(length)
    return held


def _bought(shelf: Shelf, loads: Sequence[Sequence[int]]) -> Cut:
    """The cheapest stick on sale for each load; those on hand go to the longest loads they hold, which cost most."""
    sticks = shelf.sticks
    own = sorted((sticks.room[row], row, sticks.available[row] or 0) for row in range(len(sticks.room)) if
                 shelf.on_hand[row])  # fmt: skip
    left = {row: count for _, row, count in own}
    found: Cut = []
    cheapest = sorted(shelf.sold, key=lambda one: (sticks.price[one], sticks.length[one]))
    for size, load in sorted(((sum(load) + sticks.kerf * len(load), load) for load in loads), key=lambda one: -one[0]):
        row = next((row for room, row, _ in own if room >= size and left[row] > 0), None)
        if row is None:
            row = next(row for row in cheapest if sticks.room[row] >= size)
        else:
            left[row] -= 1
        found.append((row, tuple(load)))
    return found


def bound_by_length(shelf: Shelf, demand: Mapping[int, int]) -> float:
    """All pieces with their kerf, less all sticks on hand, at the least price per length; lifted to a price step."""
    sticks = shelf.sticks
    total = sum(count * (length + sticks.kerf) for length, count in demand.items())
    free = sum(sticks.room[row] * (sticks.available[row] or 0) for row, own in enumerate(shelf.on_hand) if own)
    rate = min(sticks.price[row] / sticks.room[row] for row in shelf.sold if sticks.room[row] > sticks.kerf)
    return raised(max(0.0, total - free) * rate, price_step(sticks.price))


@dataclass(frozen=True)
class Bought:
    """Sticks with their pieces, what they cost and how sure that is."""

    sticks: tuple[Stick, ...]
    lines: tuple[StockLine, ...]
    proof: CutProof
    method: str
    least_sticks: int
    price: float | None


def buy(wood: Wood, wanted: Sequence[tuple[str, float]], work: int, mark_m: float = MILLIMETRE) -> Bought:
    """Sticks for everything wanted.

    Args:
        wood: the timber of the file.
        wanted: id and length of every piece.
        work: for the least cost, ``cut_work.Work.entries``; 0 = the habit of the trade with a bound.
        mark_m: a special stick is as long as its piece, up to a whole mark of a tape: lengths that a person can ask
            for, and one line for those alike.
    """
    shelf = shelf_of(wood)
    names: dict[int, list[str]] = defaultdict(list)
    special: list[tuple[str, float]] = []
    for name, length in wanted:
        if units(length) > max(shelf.sticks.room[row] for row in shelf.sold) - shelf.sticks.kerf:
            special.append((name, length))
        else:
            names[units(length)].append(name)
    demand = {length: len(names[length]) for length in sorted(names, reverse=True)}
    cut, bound = first_fit_on(shelf, demand), bound_by_length(shelf, demand) if demand else 0.0
    method = HABIT
    if work > 0 and demand:
        cut, bound, method = _least(shelf, demand, (cut, bound), Work(work))
    found = [_stick(shelf, row, [(names[length].pop(0), length) for length in pieces]) for row, pieces in _ordered(cut)]
    found += [Stick(ceil((length + wood.end_trim_m) / mark_m - 1e-3) * mark_m, (name,), (length,), "special",
                    wood.kerf_m, wood.end_trim_m) for name, length in special]  # fmt: skip
    lines = _lines(shelf, found)
    return Bought(
        tuple(found), lines, _proof(shelf, cut, bound), method, _least_sticks(shelf, demand) + len(special),
        _price(lines),
    )  # fmt: skip


def _least(shelf: Shelf, demand: Mapping[int, int], habit: tuple[Cut, float], work: Work) -> tuple[Cut, float, str]:
    """The cheapest cutting found with so much work, never worse than the habit, with the better bound."""
    cut, bound = habit
    cost = _cost(shelf, cut)
    if cost <= bound + 1e-9:
        return cut, bound, EXACT
    start = CutPlan(cost, _counts(shelf, cut), tuple(cut), bound)
    plan = least_cost(shelf.sticks, demand, inf, bound, start, work)
    if plan is None:
        return cut, bound, HABIT
    return (list(plan.sticks) if plan.cost < cost - 1e-9 else cut), max(bound, plan.bound), EXACT


def _counts(shelf: Shelf, cut: Cut) -> tuple[int, ...]:
    taken = Counter(row for row, _ in cut)
    return tuple(taken[row] for row in range(len(shelf.sticks.price)))


def _cost(shelf: Shelf, cut: Cut) -> float:
    return shelf.sticks.cost(_counts(shelf, cut))


def _ordered(cut: Cut) -> Cut:
    """Longest sticks first, each with its longest piece first: how a cut sheet reads."""
    tidy = [(row, tuple(sorted(pieces, reverse=True))) for row, pieces in cut]
    return sorted(tidy, key=lambda one: (-sum(one[1]), one[1], one[0]))


def _stick(shelf: Shelf, row: int, pieces: Sequence[tuple[str, int]]) -> Stick:
    source: StickSource = "on hand" if shelf.on_hand[row] else "bought"
    wood = shelf.wood
    return Stick(
        metres(shelf.sticks.length[row]), tuple(name for name, _ in pieces),
        tuple(metres(length) for _, length in pieces), source, wood.kerf_m, wood.end_trim_m, wood.over_length_m,
    )  # fmt: skip


def _lines(shelf: Shelf, sticks: Sequence[Stick]) -> tuple[StockLine, ...]:
    counts = Counter((units(stick.stock_m), stick.source) for stick in sticks)
    found = []
    for length, price in sorted(dict(zip(shelf.sticks.length, shelf.price, strict=True)).items()):
        found.append(StockLine(metres(length), counts[length, "bought"], counts[length, "on hand"], False, price))
    found += [StockLine(metres(length), count, 0, True, None) for (length, source), count in sorted(counts.items())
              if source == "special"]  # fmt: skip
    return tuple(found)


def _price(lines: Sequence[StockLine]) -> float | None:
    """Price of what is bought; None where a length that is bought has none."""
    prices = [line.price for line in lines]
    known = [price for price in prices if price is not None]
    return sum(known) if len(known) == len(prices) else None


def _least_sticks(shelf: Shelf, demand: Mapping[int, int]) -> int:
    total = sum(count * (length + shelf.sticks.kerf) for length, count in demand.items())
    return ceil(total / max(shelf.sticks.room) - 1e-9)


def _proof(shelf: Shelf, cut: Cut, bound: float) -> CutProof:
    cost = _cost(shelf, cut)
    bound = min(bound, cost)
    proven = bound >= cost - 1e-9
    gap = 0.0 if proven else 100.0 * (cost - bound) / bound if bound > 0 else 100.0
    what = "costs less" if shelf.measure == "price" else "needs less stock by length"
    least = "the least there is" if bound > 0 else "the least there is, which is not known"
    words = f"proven: no cutting of these pieces {what}" if proven else f"at most {gap:.1f} % above {least}"
    return CutProof(shelf.measure, cost, bound, gap, proven, words)
