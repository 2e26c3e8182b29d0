"""Whole sticks: integer programmes over listed patterns and over the flow of cuts along a stick."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from time import monotonic
from typing import Any
from warnings import catch_warnings, simplefilter

import numpy as np

from lynchet.timber.cut_programme import Pattern, Programme, columns, stock_rows
from lynchet.timber.cut_work import Work
from lynchet.timber.values import Array

MOST_ARCS = 400_000
_STRAIGHT: dict[str, float] = {
    "mip_heuristic_effort": 0.0, "mip_heuristic_run_feasibility_jump": False, "mip_heuristic_run_rens": False,
    "mip_heuristic_run_rins": False, "mip_heuristic_run_root_reduced_cost": False,
    "mip_heuristic_run_shifting": False, "mip_heuristic_run_zi_round": False,
}  # fmt: skip
"""The solver's searches within its search, each a programme of its own, are left out: no limit counts their work."""


@dataclass(frozen=True, eq=False)
class Whole:
    """Outcome of an integer programme."""

    sticks: list[tuple[int, list[int]]] | None
    """Stock and pieces (lengths) of each stick, maybe more pieces than asked; None when nothing was found."""
    chosen: Array
    """The choices, 0 or 1."""
    bound: float
    """What the search proved, not lifted; 0 where it proved nothing."""
    impossible: bool = False
    """Proven that nothing exists at all."""


@dataclass(frozen=True)
class Window:
    """What is known of the cost, and how long to look.

    A limit from above is not handed to the solver: without a start of its own it finds and proves faster without.
    """

    low: float
    """A proven lower bound: what reaches it is the best."""
    high: float
    """Cost of the best known; infinite where nothing is known."""
    until: float
    """Clock (``time.monotonic``) at which to stop."""
    work: Work | None = None
    """How much to look at; None: the clock alone stops it."""
    below: float | None = None
    """Only what costs no more counts, and only pieces that are asked for; else whatever is best."""


@dataclass(frozen=True, eq=False)
class _Rows:
    """A programme's matrix beside the choices: rows over the cutting variables."""

    price: Array
    upper: Array
    makes: Any
    """Pieces of each length."""
    balance: Any
    """Rows that must be 0; None for patterns."""
    limited: Any
    available: Array


def over_patterns(programme: Programme, patterns: Sequence[Pattern], window: Window) -> Whole:
    """Best whole numbers of these patterns."""
    stocks = [stock for stock, _ in patterns]
    limited, available = stock_rows(programme, stocks)
    price = np.array([programme.sticks.price[stock] for stock in stocks])
    rows = _Rows(price, np.full(len(price), np.inf), columns(programme, patterns), None, limited, available)
    x, chosen, bound, impossible = _search(programme, rows, window)
    if x is None:
        return Whole(None, chosen, bound, impossible)
    sticks = []
    for (stock, held), times in zip(patterns, x, strict=True):
        pieces = [length for length, count in zip(programme.lengths, held, strict=True) for _ in range(count)]
        sticks += [(stock, list(pieces)) for _ in range(times)]
    return Whole(sticks, chosen, bound)


@dataclass(frozen=True, eq=False)
class Flow:
    """Cuts as steps along a stick, longest piece first (arc flow, Valério de Carvalho 1999)."""

    nodes: list[int]
    cuts: list[tuple[int, int]]
    """From node, index of the length."""
    ends: list[tuple[int, int]]
    """A stick of this stock ends at this node."""


def flow_of(programme: Programme, most: int = MOST_ARCS) -> Flow | None:
    """Every way to cut the stock; None when there are too many steps to handle."""
    sticks, room = programme.sticks, max(programme.sticks.room)
    reached: set[int] = {0}
    cuts: list[tuple[int, int]] = []
    for index, (length, limit) in enumerate(zip(programme.lengths, programme.limits(), strict=True)):
        need = length + sticks.kerf
        steps: set[int] = set()
        for start in reached:
            at = start
            for _ in range(limit):
                if at + need > room or (at in steps and limit >= room // need):
                    break
                steps.add(at)
                at += need
        cuts += [(at, index) for at in steps]
        reached |= {at + need for at in steps}
        if len(cuts) > most:
            return None
    return Flow(sorted(reached), sorted(cuts), _ends(programme, reached))


def _ends(programme: Programme, reached: set[int]) -> list[tuple[int, int]]:
    """Where sticks may end; with sticks enough only the cheapest that holds the load."""
    sticks, ends = programme.sticks, []
    for node in sorted(reached - {0}):
        if sticks.limited:
            ends += [(s, node) for s in range(len(sticks.room)) if sticks.room[s] >= node]
        else:
            stock = sticks.cheapest_for(node)
            ends += [] if stock is None else [(stock, node)]
    return ends


def over_flow(programme: Programme, flow: Flow, window: Window) -> Whole:
    """Best whole cutting of all."""
    from scipy.sparse import coo_array

    number = {node: i for i, node in enumerate(flow.nodes)}
    n, ends, kerf = len(flow.cuts), len(flow.ends), programme.sticks.kerf
    starts = [number[at] for at, _ in flow.cuts]
    stops = [number[at + programme.lengths[i] + kerf] for at, i in flow.cuts]
    closed = [number[node] for _, node in flow.ends]
    kept = len(flow.nodes) - 1  # the balance of node 0 says only how many sticks there are
    entries = [(stop - 1, arc, 1.0) for arc, stop in enumerate(stops)]
    entries += [(start - 1, arc, -1.0) for arc, start in enumerate(starts) if start]
    entries += [(end - 1, n + arc, -1.0) for arc, end in enumerate(closed)]
    row, column, value = zip(*entries, strict=True)
    balance = coo_array((value, (row, column)), shape=(kept, n + ends)).tocsr()
    shape = (len(programme.lengths), n + ends)
    makes = coo_array((np.ones(n), ([i for _, i in flow.cuts], range(n))), shape=shape).tocsr()
    stocks = [-1] * n + [stock for stock, _ in flow.ends]
    price = np.array([0.0] * n + [programme.sticks.price[stock] for stock, _ in flow.ends])
    limited, available = stock_rows(programme, stocks)
    rows = _Rows(price, np.full(n + ends, np.inf), makes, balance, limited, available)
    x, chosen, bound, impossible = _search(programme, rows, window)
    sticks = None if x is None else _walk(programme, flow, x)
    return Whole(sticks, chosen, bound, impossible)


def _walk(programme: Programme, flow: Flow, x: list[int]) -> list[tuple[int, list[int]]]:
    """Sticks from whole flows: follow cuts from 0 until a stick ends."""
    kerf = programme.sticks.kerf
    out: dict[int, Counter[int]] = {}
    for (at, index), times in zip(flow.cuts, x[: len(flow.cuts)], strict=True):
        if times:
            out.setdefault(at, Counter())[index] += times
    closing: dict[int, Counter[int]] = {}
    for (stock, node), times in zip(flow.ends, x[len(flow.cuts) :], strict=True):
        if times:
            closing.setdefault(node, Counter())[stock] += times
    sticks: list[tuple[int, list[int]]] = []
    while sum(out.get(0, Counter()).values()):
        at, held = 0, []
        while not sum(closing.get(at, Counter()).values()):
            index = next(i for i, times in out[at].items() if times)
            out[at][index] -= 1
            held.append(programme.lengths[index])
            at += programme.lengths[index] + kerf
        stock = next(s for s, times in closing[at].items() if times)
        closing[at][stock] -= 1
        sticks.append((stock, held))
    return sticks


def _search(programme: Programme, rows: _Rows, window: Window) -> tuple[list[int] | None, Array, float, bool]:
    """Run the solver: cutting variables, choices, proven bound, proven impossible."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    choices, n = programme.choices, len(rows.price)
    count = choices.count if choices is not None else 0
    aside = csr_array((1, count)) if count else None
    use = choices.use if choices is not None else None
    most = np.inf if window.below is None else programme.asked
    constraints = [LinearConstraint(_beside(rows.makes, None if use is None else -use), programme.asked, most)]
    if rows.balance is not None:
        constraints.append(LinearConstraint(_beside(rows.balance, _empty(rows.balance, count)), 0.0, 0.0))
    if rows.limited.shape[0]:
        limited = _beside(rows.limited, _empty(rows.limited, count))
        constraints.append(LinearConstraint(limited, ub=rows.available))
    if choices is not None:
        blank = csr_array((choices.equal.shape[0], n))
        constraints.append(LinearConstraint(_beside(blank, choices.equal), choices.equal_to, choices.equal_to))
        if choices.below.shape[0]:
            blank = csr_array((choices.below.shape[0], n))
            constraints.append(LinearConstraint(_beside(blank, choices.below), ub=1.0))
    cost = csr_array(rows.price.reshape(1, -1))
    slack = 1e-6 * max(1.0, window.low)
    high = np.inf if window.below is None else window.below + slack
    constraints.append(LinearConstraint(_beside(cost, aside), window.low - slack, high))
    with catch_warnings():
        simplefilter("ignore", RuntimeWarning)  # of options handed on to the solver as they are
        done = milp(
            np.concatenate([rows.price, np.zeros(count)]),
            integrality=np.ones(n + count),
            bounds=Bounds(0.0, np.concatenate([rows.upper, np.ones(count)])),
            constraints=constraints,
            options=_options(programme, rows, window),
        )
    bound = float(done.mip_dual_bound) if done.mip_dual_bound is not None and np.isfinite(done.mip_dual_bound) else 0.0
    if done.x is None:
        return None, np.zeros(count), bound, done.status == 2
    whole = np.rint(done.x)
    return [int(v) for v in whole[:n]], whole[n:], bound, False


def _options(programme: Programme, rows: _Rows, window: Window) -> dict[str, float]:
    """When the solver stops: near enough, out of time, or at its number of nodes.

    Where work is counted it goes straight to its nodes: what it does before them no limit bounds. Patterns are in their
    least form already; taking them apart once more took a hundred times as long as the linear programme at the root.
    """
    options = {"time_limit": max(window.until - monotonic(), 0.0), "mip_rel_gap": _gap(programme.step, window)}
    if window.work is not None:
        entries = rows.makes.nnz + (0 if rows.balance is None else rows.balance.nnz)
        options |= _STRAIGHT | {"node_limit": window.work.nodes(entries), "presolve": rows.balance is not None}
    return options


def _beside(left: Any, right: Any) -> Any:
    from scipy.sparse import block_array

    return left if right is None else block_array([[left, right]], format="csr")


def _empty(rows: Any, count: int) -> Any:
    from scipy.sparse import csr_array

    return csr_array((rows.shape[0], count)) if count else None


def _gap(step: float, window: Window) -> float:
    """Relative gap at which the search may stop: within one price step nothing better fits."""
    if step <= 0:
        return 0.0
    top = window.high if np.isfinite(window.high) else 2.0 * window.low + 100.0 * step
    return min(0.9 * step / max(top, step), 0.5)
