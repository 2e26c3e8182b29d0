"""Laws of the first plans that the search for cuts and layings starts from, each against its definition."""

from itertools import pairwise
from math import inf

import networkx as nx
import numpy as np
import pytest

from lynchet.timber.courses import Rules, Span
from lynchet.timber.cut_integer import Window, flow_of, over_flow
from lynchet.timber.cut_orders import Stock, sticks_of
from lynchet.timber.cut_programme import Programme, _first_patterns
from lynchet.timber.laying_choices import _cheapest_path, can_be_laid, joints_of, laying_of, quick_laying
from lynchet.timber.laying_plan import _alone, _possible

CM = 1000
"""Whole units are hundredths of a millimetre."""
RULES = Rules(offset=60 * CM, shortest=60 * CM, longest=240 * CM, end_clear=30 * CM, grid=30 * CM)
STICKS = sticks_of([Stock(2.4, 20.0), Stock(3.6, 31.0)], 0.003, 0.0, 0.0)


def legal_ways(span, rules):
    """Every set of joints of one course, by trying all stations of the grid."""
    ways = [[span.start]]
    for way in ways:
        for at in range(way[-1] + rules.shortest, min(way[-1] + rules.longest, span.end) + 1):
            on_grid = at % rules.grid == 0 and rules.end_clear <= at - span.start and rules.end_clear <= span.end - at
            if at == span.end or (on_grid and not span.forbids(at)):
                ways.append([*way, at])
    return [way for way in ways if way[-1] == span.end]


def kept_apart(one, two, offset):
    """Whether no inner joint of one course lies nearer than the offset to one of the other."""
    return all(abs(a - b) >= offset for a in one[1:-1] for b in two[1:-1])


def small_rules(offset_cm=60):
    """The same rules on a coarse grid of units, so that all stations can be tried."""
    return Rules(offset=offset_cm, shortest=60, longest=240, end_clear=30, grid=30)


@pytest.mark.parametrize("seed", range(12))
def test_the_cheapest_path_past_the_joints_below(seed):
    """Of one course with stretches taken by the joints below: what a library's shortest path over all pieces costs."""
    rng = np.random.default_rng(seed)
    span = Span(0, int(rng.choice([360, 480, 510])))
    laying = laying_of(((span,),), small_rules(), [], alike=False)
    cost = rng.uniform(1, 5, len(laying.pieces)).tolist()
    taken = [(int(at) - 60, int(at) + 60) for at in rng.choice(np.arange(90, 450, 30), seed % 3)]
    graph = nx.DiGraph()
    for i, (_, start, end) in enumerate(laying.pieces):
        if end == span.end or not any(low < end < high for low, high in taken):
            graph.add_edge(start, end, cost=cost[i])
    path = _cheapest_path(laying, range(len(laying.pieces)), span, cost, taken)
    if 0 not in graph or span.end not in graph or not nx.has_path(graph, 0, span.end):
        assert path is None
    else:
        assert sum(cost[i] for i in path) == pytest.approx(nx.shortest_path_length(graph, 0, span.end, "cost"))
        ends = sorted(laying.pieces[i][1:] for i in path)
        assert ends[0][0] == 0 and ends[-1][1] == span.end and all(a[1] == b[0] for a, b in pairwise(ends))


@pytest.mark.parametrize("seed", range(10))
def test_a_quick_laying_is_the_cheapest_course_by_course(seed):
    """From the bottom up each course takes its cheapest pieces past the joints of the one below, found by trying every
    way; another wall begins anew."""
    rng = np.random.default_rng(seed)
    rules = small_rules()
    spans = tuple(tuple(Span(int(rng.choice([0, 30])), int(rng.choice([300, 330, 420]))) for _ in range(n))
                  for n in (2, 3))  # fmt: skip
    laying = laying_of(spans, rules, [], alike=False)
    cost = rng.uniform(1, 5, len(laying.pieces)).tolist()
    price = {(laying.groups[g].wall, laying.groups[g].courses[0], a, b): cost[i]
             for i, (g, a, b) in enumerate(laying.pieces)}  # fmt: skip
    chosen = quick_laying(laying, rules.offset, cost)
    wanted = []
    for wall, row in enumerate(spans):
        below = [0, 0]
        for course, span in enumerate(row):
            ways = [way for way in legal_ways(span, rules) if kept_apart(way, below, rules.offset)]
            if not ways:
                assert chosen is None
                return
            below = min(ways, key=lambda way: sum(price[wall, course, a, b] for a, b in pairwise(way)))
            wanted.append(below[1:-1])
    assert [row for wall in joints_of(laying, spans, chosen) for row in wall] == wanted


@pytest.mark.parametrize("seed", range(16))
def test_a_laying_is_found_just_where_there_is_one(seed):
    """Of two courses, some choices obey all rules exactly where trying every pair of ways finds one; what is found
    obeys them, and costs least to a thousandth."""
    rng = np.random.default_rng(seed)
    rules = small_rules(int(rng.choice([60, 90, 120])))
    ends = [int(rng.choice([240, 270, 300, 330])) for _ in range(2)]
    forbidden = ((70, 200),) if seed % 2 else ()
    spans = (tuple(Span(0, end, forbidden if n else ()) for n, end in enumerate(ends)),)
    ways = [legal_ways(span, rules) for span in spans[0]]
    pairs = [(a, b) for a in ways[0] for b in ways[1] if kept_apart(a, b, rules.offset)]
    laying = laying_of(spans, rules, [], alike=False)
    cost = rng.uniform(1, 5, len(laying.pieces))
    found = can_be_laid(laying.choices, cost)
    assert (found is not None) == bool(pairs) == _possible(spans, rules)
    if found is not None:
        joints = joints_of(laying, spans, found)[0]
        assert ([0, *joints[0], ends[0]], [0, *joints[1], ends[1]]) in [(a, b) for a, b in pairs]
        price = dict(zip(laying.pieces, cost, strict=True))
        least = min(sum(price[n, a, b] for n, way in enumerate(pair) for a, b in pairwise(way)) for pair in pairs)
        assert cost @ found == pytest.approx(least, rel=2e-3)


@pytest.mark.parametrize("seed", range(12))
def test_every_other_course_alike_forbids_no_laying(seed):
    """Walls of three and four courses that alternate: some laying with every other course alike is legal just where
    some laying at all is."""
    rng = np.random.default_rng(100 + seed)
    one, two = (Span(0, int(rng.choice([240, 270, 330])), ((100, 230),) if rng.random() < 0.5 else ()) for _ in "12")
    spans = ((one, two, one, two)[: 3 + seed % 2],)
    rules = small_rules(int(rng.choice([60, 120, 150])))
    each = [can_be_laid(laying_of(spans, rules, [], alike).choices) is not None for alike in (True, False)]
    assert each[0] == each[1] == _possible(spans, rules)


def test_the_price_of_a_piece_cut_alone():
    """The least over the sticks of price over how many of it one stick gives, once for every course of a group."""
    laying = laying_of(((Span(0, 300 * CM),) * 3,), RULES, [], alike=True)
    prices = _alone(STICKS, laying)
    for (g, start, end), price in zip(laying.pieces, prices, strict=True):
        each = []
        for stock, room in ((20.0, 240 * CM), (31.0, 360 * CM)):
            held = 0
            while (held + 1) * (end - start) + held * 300 <= room:
                held += 1
            each += [stock / held] if held else []
        assert price == pytest.approx(min(each) * len(laying.groups[g].courses))


def test_first_patterns_fill_a_stick_from_one_length_on():
    """For each stick and length: as many of it as fit, then of each shorter one; nothing of the longer, none twice."""
    lengths = (150 * CM, 110 * CM, 60 * CM)
    wanted = []
    for stock, room in enumerate((240 * CM, 360 * CM)):
        for first in range(3):
            left, held = room + 300, [0, 0, 0]
            for i in range(first, 3):
                while left >= lengths[i] + 300:
                    held[i], left = held[i] + 1, left - lengths[i] - 300
            if held[first] and (stock, tuple(held)) not in wanted:
                wanted.append((stock, tuple(held)))
    assert _first_patterns(Programme(STICKS, lengths, (2, 3, 4))) == wanted
    proper = _first_patterns(Programme(STICKS, lengths, (1, 1, 2), proper=True))
    assert all(n <= most for _, held in proper for n, most in zip(held, (1, 1, 2), strict=True)) and (
        1, (1, 1, 1)) in proper  # fmt: skip


def test_too_few_sticks_are_told_from_too_little_time():
    """Three pieces from a single stick that holds one are impossible; with no time left nothing is said to be."""
    for available, until, impossible in ((1, inf, True), (3, inf, False), (3, 0.0, False)):
        sticks = sticks_of([Stock(2.4, 20.0, available)], 0.003, 0.0, 0.0)
        programme = Programme(sticks, (200 * CM,), (3,))
        found = over_flow(programme, flow_of(programme), Window(0.0, inf, until))
        assert found.impossible == impossible
        assert (found.sticks is not None) == (available == 3) or until == 0.0
