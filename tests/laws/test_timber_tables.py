"""Tables and factors of timber against their printed figures, bounds of cutting by hand, courses laid alike."""

import math
from itertools import combinations, pairwise, product

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from lynchet.calculators.checked import call
from lynchet.timber.connections import connection_wet_factor, geometry_factor
from lynchet.timber.courses import Rules, Span, cliques
from lynchet.timber.cut_bounds import cut_bounds
from lynchet.timber.cut_stock import cut_stock
from lynchet.timber.dowel_yield import reduction_terms
from lynchet.timber.eu_strength import CREEP, MODIFICATION, adjusted_strength_eu
from lynchet.timber.laying_choices import groups_of
from lynchet.timber.sections import dressed_in, timber_size
from lynchet.timber.us_strength import wet_factors
from lynchet.timber.withdrawal import withdrawal


def test_modification_factors_of_solid_timber():
    """kmod of EN 1995-1-1:2004, Table 3.1, solid timber (MEMORY): service classes 1 and 2 alike, class 3 lower."""
    dry = {"permanent": 0.60, "long": 0.70, "medium": 0.80, "short": 0.90, "instantaneous": 1.10}
    wet = {"permanent": 0.50, "long": 0.55, "medium": 0.65, "short": 0.70, "instantaneous": 0.90}
    assert {1: dry, 2: dry, 3: wet} == MODIFICATION
    assert CREEP == {1: 0.60, 2: 0.80, 3: 2.00}  # Table 3.2


def test_end_grain_takes_a_quarter_off_a_lag_screw():
    """NDS 2018, Table 11.3.1: Ceg is 0.75 for lag screws in withdrawal, on top of the other factors."""
    given = {"kind": "lag_screw", "specific_gravity": 0.5, "diameter_m": 0.0127, "penetration_m": 0.08}
    plain, end = call(withdrawal, given), call(withdrawal, {**given, "end_grain": True})
    assert end.design_kn == pytest.approx(0.75 * plain.design_kn) and plain.design_kn > 0


@pytest.mark.parametrize("kerf", [0.0, 0.003, 0.012])
def test_bounds_by_length_by_hand(kerf):
    """Every piece takes its kerf along; a stick has room for one kerf more than it is long."""
    stock = [{"length_m": 2.4, "price_money": 20.0}, {"length_m": 4.8, "price_money": 38.0}]
    pieces = [{"length_m": 1.19, "count": 7}, {"length_m": 0.88, "count": 5}]
    found = call(cut_bounds, {"stock": stock, "pieces": pieces, "kerf_m": kerf})
    total = 7 * (1.19 + kerf) + 5 * (0.88 + kerf)
    assert found.length_bound_money == pytest.approx(total * min(20.0 / (2.4 + kerf), 38.0 / (4.8 + kerf)))
    assert found.least_sticks == math.ceil(total / (4.8 + kerf) - 1e-9)


def test_courses_that_match_are_laid_alike():
    """Courses that match every other one make two groups, each neighbour of the other; else each is its own."""
    first, second, third = Span(0, 500), Span(14, 486), Span(0, 480)
    groups, near = groups_of(((first, second, first, second, first),), alike=True)
    assert [group.courses for group in groups] == [(0, 2, 4), (1, 3)] and near == [(0, 1)]
    for spans in ((first, second), (first, second, first, third), (first, second, third, second)):
        groups, near = groups_of((spans,), alike=True)
        assert [group.courses for group in groups] == [(n,) for n in range(len(spans))]
        assert near == [(n, n + 1) for n in range(len(spans) - 1)]
    groups, near = groups_of(((first, second, first), (third, third)), alike=False)
    assert len(groups) == 5 and near == [(0, 1), (1, 2), (3, 4)]


@pytest.mark.parametrize(
    "nominal, dry, green",
    [(1, 3 / 4, 25 / 32), (2, 3 / 2, 25 / 16), (3, 5 / 2, 41 / 16), (4, 7 / 2, 57 / 16)],
)
def test_dressed_thickness_of_boards(nominal, dry, green):
    """PS 20 / NDS Supplement 2018, Table 1A: a thickness shrinks by its own rule, the green inch to 25/32 (MEMORY)."""
    for condition, wanted in (("rough", nominal), ("dry", dry), ("green", green)):
        size = call(timber_size, {"nominal_thickness_in": nominal, "nominal_width_in": 6, "condition": condition})
        assert size.thickness_m == pytest.approx(wanted * 0.0254)


def test_dressed_widths_of_boards():
    """Widths of 1, 4, 6 and 8 in of 2 in lumber, dry and green (PS 20 / NDS Supplement 2018, Table 1A, MEMORY)."""
    dry = {1: 3 / 4, 4: 7 / 2, 6: 11 / 2, 8: 29 / 4}
    green = {1: 25 / 32, 4: 57 / 16, 6: 45 / 8, 8: 15 / 2}
    for condition, table in (("dry", dry), ("green", green)):
        for nominal, wanted in table.items():
            assert dressed_in(2, nominal, condition)[1] == pytest.approx(wanted)


def test_thin_fasteners_go_by_their_own_rules():
    """NDS 2018, 11.3.3 and 12.5.1: under 1/4 in distances do not matter, and drying keeps 0.7 in any pattern."""
    for inches, thin in ((0.24, True), (0.2499, True), (0.25, False), (0.26, False)):
        diameter = inches * 0.0254
        assert float(geometry_factor(diameter, 0.5)) == (1.0 if thin else 0.5)
        assert float(connection_wet_factor(diameter, True, False, one_row=False)) == (0.7 if thin else 0.4)


def test_cracks_count_by_the_edition():
    """kcr 0.67 goes with EN 338:2016, 1.0 with the strengths of 2003 (EN 1995-1-1, 6.1.7)."""
    given = {"strength_class": "C24", "depth_m": 0.2}
    assert call(adjusted_strength_eu, given).crack_factor == 0.67
    assert call(adjusted_strength_eu, {**given, "edition": 2003}).crack_factor == 1.0
    assert call(adjusted_strength_eu, {**given, "crack_factor": 0.8}).crack_factor == 0.8


def test_scarce_sticks_against_a_second_model():
    """Least cost where the yard holds few of a length, by the textbook model in a general solver."""
    rng = np.random.default_rng(17)
    for _ in range(6):
        kinds = np.sort(rng.choice(np.arange(5, 30), 3, replace=False))[::-1] / 10.0
        counts = rng.integers(1, 4, 3)
        stock = [(2.4, 14.0, int(rng.integers(0, 3))), (3.0, 20.0, int(rng.integers(1, 4))), (4.8, 41.0, 9)]
        pieces = [{"length_m": float(k), "count": int(c)} for k, c in zip(kinds, counts, strict=True)]
        rows = [{"length_m": a, "price_money": p, "available": n} for a, p, n in stock]
        given = {"stock": rows, "pieces": pieces, "kerf_m": 0.004}
        ours = call(cut_stock, given)
        assert ours.proven and all(used <= n for used, (*_, n) in zip(ours.sticks, stock, strict=True))
        assert ours.cost_money == pytest.approx(_by_solver(stock, kinds, counts, 0.004), abs=1e-6)
        assert ours.bound_money <= ours.cost_money + 1e-9


def _by_solver(stock, kinds, counts, kerf):
    sticks = [(length, price) for length, price, number in stock for _ in range(number)]
    n, m = len(sticks), len(kinds)
    fit, make = np.zeros((n, n + n * m)), np.zeros((m, n + n * m))
    for i, (length, _) in enumerate(sticks):
        fit[i, i] = -(length + kerf)
        for j, kind in enumerate(kinds):
            fit[i, n + i * m + j], make[j, n + i * m + j] = kind + kerf, 1.0
    cost = np.concatenate([[price for _, price in sticks], np.zeros(n * m)])
    limits = [LinearConstraint(fit, -np.inf, 1e-9), LinearConstraint(make, counts, np.inf)]
    bounds = Bounds(0, np.where(np.arange(len(cost)) < n, 1.0, np.inf))
    return milp(cost, constraints=limits, integrality=np.ones(len(cost)), bounds=bounds).fun


def test_yield_is_reduced_by_the_size_of_the_dowel():
    """Rd of NDS 2018, Table 12.3.1B, by hand: nails by their diameter alone, bolts by mode and angle to the grain."""
    inch = 0.0254
    assert reduction_terms(0.15 * inch, 0.15 * inch, 60.0) == pytest.approx([2.2] * 6)
    assert reduction_terms(0.20 * inch, 0.20 * inch, 60.0) == pytest.approx([2.5] * 6)
    assert reduction_terms(0.24 * inch, 0.24 * inch, 0.0) == pytest.approx([2.9] * 6)
    assert reduction_terms(0.20 * inch, 0.25 * inch, 90.0) == pytest.approx(
        [2.5 * 1.25] * 6
    )  # threads cut below 1/4 in
    for angle, skew in ((0.0, 1.0), (36.0, 1.1), (90.0, 1.25)):
        by_mode = [skew * k for k in (4.0, 4.0, 3.6, 3.2, 3.2, 3.2)]
        assert reduction_terms(0.25 * inch, 0.25 * inch, angle) == pytest.approx(by_mode)


def test_wet_service_spares_weak_grades_in_bending():
    """NDS Supplement 2018, Table 4A: CM 0.85 in bending, 1.0 up to 1150 psi of Fb CF; 0.97, 0.67, 0.9 for the rest."""
    psi = 0.006894757293168
    for stress, bending in ((1100.0, 1.0), (1150.0, 1.0), (1200.0, 0.85)):
        assert wet_factors("4A", stress * psi, 1.0) == pytest.approx([bending, 0.97, 0.67, 0.9])
    assert wet_factors("4A", 800.0 * psi, 1.5) == pytest.approx([0.85, 0.97, 0.67, 0.9])
    assert wet_factors("4D", 1200.0 * psi, 1.0) == pytest.approx([1.0, 1.0, 0.67, 1.0])


@pytest.mark.parametrize("shortest", [2, 3, 5, 8])
def test_groups_of_joints_forbid_just_the_near_ones(shortest):
    """Of joints no nearer than the shortest piece in either course, at most one of each group stands exactly where no
    joint of one course is nearer than the offset to one of the other; by trying every choice."""
    rng = np.random.default_rng(shortest)
    rules = Rules(offset=5, shortest=shortest, longest=40, end_clear=0)
    for _ in range(6):
        lower, upper = (sorted(rng.choice(24, 6, replace=False).tolist()) for _ in range(2))
        groups = cliques(lower, upper, rules)
        for one, other in product(_choices(lower, shortest), _choices(upper, shortest)):
            apart = all(abs(a - b) >= 5 for a, b in product(one, other))
            held = all(len(set(one) & set(a)) + len(set(other) & set(b)) <= 1 for a, b in groups)
            assert apart == held


def _choices(row, shortest):
    every = [one for size in range(len(row) + 1) for one in combinations(row, size)]
    return [one for one in every if all(b - a >= shortest for a, b in pairwise(one))]
