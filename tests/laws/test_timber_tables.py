"""Tables and factors of timber against their printed figures, bounds of cutting by hand, courses laid alike."""

import math

import pytest

from lynchet.calculators.checked import call
from lynchet.timber.courses import Span
from lynchet.timber.cut_bounds import cut_bounds
from lynchet.timber.eu_strength import CREEP, MODIFICATION
from lynchet.timber.laying_choices import groups_of
from lynchet.timber.sections import timber_size
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
