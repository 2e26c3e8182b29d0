"""Laws of flights of steps."""

from math import inf

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.stairs import riser_bounds, riser_count, stair_flight


def test_count_is_the_nearest_that_fits():
    """Of all whole counts within the limits, the one chosen is nearest to rise/target (brute force over counts)."""
    rng = np.random.default_rng(1)
    for _ in range(300):
        rise, target = rng.uniform(0.1, 4), rng.uniform(0.08, 0.25)
        fitting = [n for n in range(1, 60) if 0.10 <= rise / n <= 0.19685]
        if not fitting:
            with pytest.raises(InputError, match="riser"):
                call(stair_flight, {"total_rise_m": rise, "riser_target_m": target})
            continue
        flight = call(stair_flight, {"total_rise_m": rise, "riser_target_m": target})
        best = min(abs(n - rise / target) for n in fitting)
        assert flight.risers in fitting
        assert abs(flight.risers - rise / target) == pytest.approx(best)
        assert flight.min_risers == min(fitting)
        assert flight.risers * flight.riser_m == pytest.approx(rise)
        assert flight.run_m == pytest.approx((flight.risers - 1) * flight.going_m)


def test_kernel_is_the_calculator():
    """Counts of the array kernels equal the calculator's, one by one."""
    rises = np.random.default_rng(2).uniform(0.2, 5, 200)
    counts, (least, _) = riser_count(rises), riser_bounds(rises)
    for rise, count, fewest in zip(rises, counts, least, strict=True):
        flight = stair_flight(total_rise_m=float(rise))
        assert (flight.risers, flight.min_risers) == (count, fewest)


def test_whole_courses_are_not_lost_to_rounding():
    """A rise that is a whole number of limit risers needs no riser more, whatever binary fractions do."""
    for n in range(1, 30):
        assert stair_flight(total_rise_m=n * 0.19685, riser_target_m=0.19685).risers == n
        assert stair_flight(total_rise_m=sum([0.1] * n), riser_target_m=0.1).risers == n


def two_riser_plus_going(value):
    """Two risers of 0.15 m with the going that makes 2R + T this value."""
    return {"total_rise_m": 0.3, "risers": 2, "going_m": value - 0.3}


@pytest.mark.parametrize(
    ("rule", "name", "low", "high", "given"),
    [
        ("irc", "irc_riser", -inf, 0.19685, lambda v: {"total_rise_m": 3 * v, "risers": 3, "going_m": 0.3}),
        ("irc", "irc_going", 0.254, inf, lambda v: {"total_rise_m": 0.45, "risers": 3, "going_m": v}),
        ("public", "public_riser", 0.1016, 0.1778, lambda v: {"total_rise_m": 3 * v, "risers": 3, "going_m": 0.3}),
        ("public", "public_going", 0.2794, inf, lambda v: {"total_rise_m": 0.45, "risers": 3, "going_m": v}),
        ("outdoor_26in", "outdoor_26in", 0.6354, 0.6854, two_riser_plus_going),
        ("blondel", "blondel", 0.60, 0.65, two_riser_plus_going),
        ("ad_k", "ad_k", 0.55, 0.70, two_riser_plus_going),
    ],
)  # fmt: skip
def test_limits_include_their_own_value(rule, name, low, high, given):
    """Each published test passes on its limits and fails a tenth of a millimetre beyond."""
    for limit, beyond in ((low, -1e-4), (high, 1e-4)):
        if abs(limit) == inf:
            continue
        assert name not in call(stair_flight, {**given(limit), "check_rules": [rule]}).failed
        assert name in call(stair_flight, {**given(limit + beyond), "check_rules": [rule]}).failed


def test_uneven_risers():
    """Spread is tallest less lowest; over 3/8 inch fails the house rule, on it passes."""
    even, over = [0.15, 0.15 + 0.009525, 0.15], [0.15, 0.1597, 0.15]
    passed = call(stair_flight, {"total_rise_m": sum(even), "riser_heights_m": even, "going_m": 0.3})
    failed = call(stair_flight, {"total_rise_m": sum(over), "riser_heights_m": over, "going_m": 0.3})
    assert passed.failed == []
    assert failed.failed == ["irc_uniformity"]
    assert failed.riser_spread_m == pytest.approx(0.0097)


def test_only_the_rules_asked_for_and_in_order():
    """A flight that fails everything lists the tests in the table's order, whatever order the rules come in."""
    names = ["irc_riser", "irc_going", "public_riser", "public_going", "outdoor_26in", "blondel", "ad_k"]
    rules = ["ad_k", "blondel", "outdoor_26in", "public", "irc"]
    assert call(stair_flight, {"total_rise_m": 0.3, "risers": 1, "going_m": 0.2, "check_rules": rules}).failed == names
    assert call(stair_flight, {"total_rise_m": 0.3, "risers": 1, "going_m": 0.2, "check_rules": []}).failed == []


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"riser_min_m": 0.0}, "riser"),
        ({"riser_min_m": 0.2}, "riser"),
        ({"riser_target_m": 0.0}, "riser"),
        ({"risers": 0}, "riser"),
        ({"risers": 2.5}, "riser"),
        ({"riser_heights_m": [0.3, -0.1, 0.4]}, "riser"),
        ({"riser_heights_m": [0.3, 0.2989]}, "sum"),
        ({"two_riser_plus_going_m": 0.2}, "going"),
        ({"check_rules": ["ibc"]}, "rule"),
        ({"total_rise_m": -0.6}, "rise"),
        ({"risers": True}, "riser"),
    ],
)
def test_refusals(given, word):
    """What cannot be a flight is refused by the word for it."""
    with pytest.raises(InputError) as error:
        call(stair_flight, {"total_rise_m": 0.6, **given})
    assert word in str(error.value).lower()


def test_handrail():
    """Four risers or more ask for a handrail, any flight on a public way."""
    assert not stair_flight(total_rise_m=0.45, risers=3).handrail
    assert stair_flight(total_rise_m=0.6, risers=4).handrail
    assert stair_flight(total_rise_m=0.15, risers=1, check_rules=["public"]).handrail
