"""Runoff coefficients of rarer storms."""

import numpy as np

from lynchet.water.runoff import raised_coefficient


def test_a_usual_storm_leaves_the_coefficient_as_it_is():
    """Without a factor nothing is raised; with one it grows in proportion, to 1 at most."""
    share = np.linspace(0.0, 1.0, 21)
    assert np.array_equal(raised_coefficient(share), share)
    assert np.allclose(raised_coefficient(share, 1.25), [min(1.25 * each, 1.0) for each in share])
