"""The fullest flow of a round pipe found by a general search over Manning's formula."""

from fractions import Fraction
from math import factorial

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from lynchet.water.pipe_flow import PEAK_ANGLE, PEAK_FLOW_RATIO, _angle_less_sine


def test_the_peak_is_where_a_general_search_finds_it():
    """Area x (area/wetted edge)^(2/3) of a circle filled to an angle is largest at the pipe's peak, 1.076 of full."""

    def flow(angle):
        area = (angle - np.sin(angle)) / 8.0
        return area * (area / (angle / 2.0)) ** (2.0 / 3.0)

    best = minimize_scalar(lambda angle: -flow(angle), bounds=(4.0, 6.2), method="bounded", options={"xatol": 1e-10})
    assert pytest.approx(best.x, abs=1e-6) == PEAK_ANGLE
    assert pytest.approx(flow(best.x) / (np.pi / 4.0 * 0.25 ** (2.0 / 3.0)), rel=1e-9) == PEAK_FLOW_RATIO


def test_a_trickle_has_its_segment_to_the_last_digits():
    """Angle less its sine, from a thousandth of a turn up, is the whole series summed in fractions."""
    for angle in (1e-4, 0.01, 0.05, 0.1, 0.15, 0.199, 0.201, 0.25, 0.3, 1.0, 3.0, 6.0):
        exact = Fraction(angle)
        wanted = sum((-1) ** k * exact ** (2 * k + 3) / factorial(2 * k + 3) for k in range(25))
        assert float(_angle_less_sine(np.array([angle]))[0]) == pytest.approx(float(wanted), rel=3e-12)
