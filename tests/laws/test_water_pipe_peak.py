"""The fullest flow of a round pipe found by a general search over Manning's formula."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from lynchet.water.pipe_flow import PEAK_ANGLE, PEAK_FLOW_RATIO


def test_the_peak_is_where_a_general_search_finds_it():
    """Area x (area/wetted edge)^(2/3) of a circle filled to an angle is largest at the pipe's peak, 1.076 of full."""

    def flow(angle):
        area = (angle - np.sin(angle)) / 8.0
        return area * (area / (angle / 2.0)) ** (2.0 / 3.0)

    best = minimize_scalar(lambda angle: -flow(angle), bounds=(4.0, 6.2), method="bounded", options={"xatol": 1e-10})
    assert pytest.approx(best.x, abs=1e-6) == PEAK_ANGLE
    assert pytest.approx(flow(best.x) / (np.pi / 4.0 * 0.25 ** (2.0 / 3.0)), rel=1e-9) == PEAK_FLOW_RATIO
