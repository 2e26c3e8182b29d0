"""The exact programme of one chain against a mixed-integer programme that knows nothing of its recursion."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from lynchet.project.model import DrainWish
from lynchet.water.programme import Course, Sink, best_layout, best_round, level_rule
from lynchet.water.settings import Settings, settings_of

SETTINGS = settings_of(DrainWish())
BIG = 10.0


class Rows:
    """Columns and rows of a linear programme, by name."""

    def __init__(self) -> None:
        self.names: dict[tuple[str, int, int], int] = {}
        self.cost: list[float] = []
        self.whole: list[int] = []
        self.low: list[float] = []
        self.high: list[float] = []
        self.rows: list[tuple[dict[int, float], float, float]] = []

    def column(self, name: str, a: int, b: int = 0, cost: float = 0.0, whole: bool = True) -> int:
        """Index of a column, made on first use."""
        key = (name, a, b)
        if key not in self.names:
            self.names[key] = len(self.cost)
            self.cost.append(cost)
            self.whole.append(int(whole))
            self.low.append(0.0 if whole else -100.0)
            self.high.append(1.0 if whole else 100.0)
        return self.names[key]

    def row(self, parts: dict[int, float], low: float, high: float = np.inf) -> None:
        """low <= sum <= high."""
        self.rows.append((parts, low, high))

    def solve(self) -> float | None:
        """Least cost, None where nothing is feasible."""
        matrix = np.zeros((len(self.rows), len(self.cost)))
        for i, (parts, _, _) in enumerate(self.rows):
            for column, factor in parts.items():
                matrix[i, column] += factor
        lows, highs = [r[1] for r in self.rows], [r[2] for r in self.rows]
        found = milp(
            np.array(self.cost), integrality=np.array(self.whole), bounds=Bounds(self.low, self.high),
            constraints=LinearConstraint(matrix, lows, highs), options={"mip_rel_gap": 1e-9, "time_limit": 20.0},
        )  # fmt: skip
        return float(found.fun) if found.success else None


def oracle(course: Course, sinks: list[Sink], settings: Settings) -> float | None:
    """Least cost with a direction (or stone) per edge, a level per edge end, and sinks chosen as binaries."""
    n = len(course.floors_m)
    lp = Rows()
    for e in range(n - 1):
        _edge(lp, course, e, settings)
    for v in range(n):
        used = {lp.column("k", i, cost=s.cost): s for i, s in enumerate(sinks) if s.node == v}
        lp.row(dict.fromkeys(used, 1.0), 0.0, 1.0)
        _node(lp, n, v, used, settings)
    return lp.solve()


def _edge(lp: Rows, course: Course, e: int, settings: Settings) -> None:
    price, length = course.stone_cost[e], course.lengths_m[e]
    left, right = lp.column("l", e), lp.column("r", e)
    stone = lp.column("s", e, cost=(price or 0.0) * length)
    lp.row({left: 1.0, right: 1.0, stone: 1.0}, 1.0, 1.0)
    if price is None:
        lp.high[stone] = 0.0
    y = [lp.column("y", e, end, whole=False) for end in (0, 1)]
    for end in (0, 1):
        node = e + end
        raised = lp.column("z", e, end, settings.cost_raise * length / 2, whole=False)
        lp.low[raised] = 0.0
        lp.row({raised: 1.0, y[end]: -1.0, stone: BIG}, -course.lows_m[node])
        lp.row({y[end]: 1.0, stone: BIG}, course.floors_m[node])
        lp.row({y[end]: 1.0, stone: -BIG}, -np.inf, course.ceilings_m[node])
    lp.row({y[0]: 1.0, y[1]: -1.0, right: -BIG}, settings.fall * length - BIG)
    lp.row({y[1]: 1.0, y[0]: -1.0, left: -BIG}, settings.fall * length - BIG)


def _node(lp: Rows, n: int, v: int, used: dict[int, Sink], settings: Settings) -> None:
    """Water that comes to a node passes on or is let out there; pipes that only touch pay for a high point."""
    has = {-1: v > 0, 1: v < n - 1}
    come = {-1: ("r", v - 1), 1: ("l", v)}
    leave = {-1: ("l", v - 1), 1: ("r", v)}
    end = {-1: (v - 1, 1), 1: (v, 0)}
    passes = {}
    for side in (-1, 1):
        if has[side] and has[-side]:
            passes[side] = lp.column("p", v, side)
            lp.row({lp.column(*come[side]): 1.0, passes[side]: -1.0}, 0.0)
            lp.row({lp.column(*leave[-side]): 1.0, passes[side]: -1.0}, 0.0)
            a, b = lp.column("y", *end[side], whole=False), lp.column("y", *end[-side], whole=False)
            lp.row({a: 1.0, b: -1.0, passes[side]: -BIG}, -BIG)
            lp.row({b: 1.0, a: -1.0, passes[side]: -BIG}, -BIG)
    for side in (-1, 1):
        if has[side]:
            inward = {lp.column(*come[side]): -1.0, **({passes[side]: 1.0} if side in passes else {})}
            lp.row({**inward, **dict.fromkeys(used, 1.0)}, 0.0)
            level = {k: -sink.invert_m for k, sink in used.items()}
            y = {lp.column("y", *end[side], whole=False): 1.0}
            block = {k: BIG * f for k, f in inward.items()}
            lp.row({**y, **level, **{k: -f for k, f in _minus(block).items()}}, -BIG)
            lp.row({**_minus(y), **_minus(level), **{k: -f for k, f in _minus(block).items()}}, -BIG)
    if has[-1] and has[1]:
        high, both = lp.column("h", v, cost=settings.cost_high_point), lp.column("b", v)
        for side in (-1, 1):
            lp.row({lp.column(*come[side]): 1.0, both: -1.0}, 0.0)
        lp.row({high: 1.0, lp.column("s", v - 1): 1.0, lp.column("s", v): 1.0, both: 1.0,
                **dict.fromkeys(passes.values(), 1.0)}, 1.0)  # fmt: skip


def _minus(parts: dict[int, float]) -> dict[int, float]:
    return {k: -f for k, f in parts.items()}


def random_chain(rng: np.random.Generator) -> tuple[Course, list[Sink]]:
    """A chain with steps, tight ceilings, stretches for stone alone, and a few ways out."""
    n = int(rng.integers(3, 8))
    floors = np.round(0.05 * rng.integers(0, 5, n), 3)
    room = rng.uniform(0.02, 0.3, n)
    lengths = rng.uniform(0.3, 5.0, n - 1)
    stone = tuple(15.0 if rng.random() < 0.3 else None for _ in range(n - 1))
    lows = floors + rng.uniform(-0.05, 0.15, n)
    course = Course(tuple(floors), tuple(floors + room), tuple(lows), tuple(lengths), stone)
    sinks = []
    for _ in range(int(rng.integers(1, 6))):
        v = int(rng.integers(0, n))
        sinks.append(Sink(v, float(floors[v] + rng.random() * room[v]), float(rng.uniform(20, 80))))
    return course, sinks


@pytest.mark.parametrize("seed", range(60))
def test_programme_equals_mixed_integer_programme(seed: int) -> None:
    """The least cost of the recursion is that of HiGHS on a formulation by edges, or both find nothing."""
    course, sinks = random_chain(np.random.default_rng([seed, 7]))
    found, wanted = best_layout(course, sinks, SETTINGS), oracle(course, sinks, SETTINGS)
    if found is None or wanted is None:
        assert found is None and wanted is None
    else:
        assert found.cost == pytest.approx(wanted, abs=1e-4)


@pytest.mark.parametrize("seed", range(40))
def test_cost_told_is_the_cost_of_what_is_laid(seed: int) -> None:
    """Adding up sinks, raised pipe, high points and stone of the layout gives its cost; its inverts obey the bounds."""
    course, sinks = random_chain(np.random.default_rng([seed, 8]))
    found = best_layout(course, sinks, SETTINGS)
    if found is None:
        return
    total, served, last = 0.0, set[int](), -1
    for reach in found.reaches:
        sink = sinks[reach.sink]
        total += sink.cost + (SETTINGS.cost_high_point if reach.first == last else 0.0)
        last = reach.last
        for k, node in enumerate(range(reach.first, reach.last + 1)):
            assert course.floors_m[node] - 1e-9 <= reach.inverts_m[k] <= course.ceilings_m[node] + 1e-8
        assert reach.inverts_m[sink.node - reach.first] == sink.invert_m
        for k, e in enumerate(range(reach.first, reach.last)):
            served.add(e)
            a, b = reach.inverts_m[k], reach.inverts_m[k + 1]
            assert (a - b if e < sink.node else b - a) >= SETTINGS.fall * course.lengths_m[e] - 1e-9
            raised = max(0.0, a - course.lows_m[e]) + max(0.0, b - course.lows_m[e + 1])
            total += SETTINGS.cost_raise * course.lengths_m[e] * raised / 2
    for e, price in enumerate(course.stone_cost):
        if e not in served:
            assert price is not None
            total += price * course.lengths_m[e]
    assert total == pytest.approx(found.cost, abs=1e-6)


@pytest.mark.parametrize("seed", range(30))
def test_chain_read_backwards_costs_the_same(seed: int) -> None:
    """Turning a chain round changes nothing."""
    course, sinks = random_chain(np.random.default_rng([seed, 9]))
    n = len(course.floors_m)
    turned = Course(course.floors_m[::-1], course.ceilings_m[::-1], course.lows_m[::-1], course.lengths_m[::-1],
                    course.stone_cost[::-1])  # fmt: skip
    found = best_layout(course, sinks, SETTINGS)
    other = best_layout(turned, [replace(s, node=n - 1 - s.node) for s in sinks], SETTINGS)
    assert (found is None) == (other is None)
    if found is not None and other is not None:
        assert found.cost == pytest.approx(other.cost, abs=1e-6)


@pytest.mark.parametrize("seed", range(30))
def test_one_way_out_more_or_a_gentler_fall_never_costs_more(seed: int) -> None:
    """A further sink, or half the least fall, keeps what is feasible and never raises the cost."""
    rng = np.random.default_rng([seed, 10])
    course, sinks = random_chain(rng)
    found = best_layout(course, sinks[:-1] or sinks, SETTINGS)
    more = best_layout(course, sinks, SETTINGS)
    gentle = best_layout(course, sinks, replace(SETTINGS, fall=SETTINGS.fall / 2))
    if found is not None:
        assert more is not None and more.cost <= found.cost + 1e-6
    if more is not None:
        assert gentle is not None and gentle.cost <= more.cost + 1e-6


@pytest.mark.parametrize("seed", range(10))
def test_closed_chain_is_the_cheapest_of_its_cuts(seed: int) -> None:
    """A closed chain costs what the best of the open chains cut at each node costs, and one high point."""
    rng = np.random.default_rng([seed, 11])
    course, sinks = random_chain(rng)
    n = len(course.floors_m)
    closed = replace(course, lengths_m=(*course.lengths_m, 1.0), stone_cost=(*course.stone_cost, None))
    costs = []
    for cut in range(n):
        order = [(cut + i) % n for i in range(n + 1)]
        opened = Course(
            tuple(closed.floors_m[i] for i in order), tuple(closed.ceilings_m[i] for i in order),
            tuple(closed.lows_m[i] for i in order), tuple(closed.lengths_m[i] for i in order[:-1]),
            tuple(closed.stone_cost[i] for i in order[:-1]),
        )  # fmt: skip
        moved = [replace(s, node=k) for s in sinks for k, i in enumerate(order) if i == s.node]
        found = best_layout(opened, moved, SETTINGS)
        if found is not None:
            costs.append(found.cost)
    whole = best_round(closed, sinks, SETTINGS)
    if not costs:
        assert whole is None
    else:
        assert whole is not None and whole.cost == pytest.approx(min(costs) + SETTINGS.cost_high_point, abs=1e-6)


def test_level_rule_is_the_longest_path() -> None:
    """Every invert is the largest of floor + fall x distance over the nodes between it and the sink."""
    course, sinks = random_chain(np.random.default_rng([3, 12]))
    n, sink = len(course.floors_m), sinks[0]
    sink = replace(sink, node=0, invert_m=course.floors_m[0])
    found = level_rule(course, sink, n - 1, SETTINGS.fall)
    at = np.concatenate([[0.0], np.cumsum(course.lengths_m)])
    for node in range(n):
        longest = max(course.floors_m[k] + SETTINGS.fall * (at[node] - at[k]) for k in range(node + 1))
        assert found[node] == pytest.approx(longest, abs=1e-12)
