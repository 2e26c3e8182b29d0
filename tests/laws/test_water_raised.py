"""Runoff coefficients of rarer storms, runoff of the first millimetre."""

import numpy as np

from lynchet.water.runoff import curve_runoff_mm, raised_coefficient


def test_a_usual_storm_leaves_the_coefficient_as_it_is():
    """Without a factor nothing is raised; with one it grows in proportion, to 1 at most."""
    share = np.linspace(0.0, 1.0, 21)
    assert np.array_equal(raised_coefficient(share), share)
    assert np.allclose(raised_coefficient(share, 1.25), [min(1.25 * each, 1.0) for each in share])


def test_runoff_begins_with_the_first_drop_over_the_abstraction():
    """A tenth of a millimetre over a fifth of the retention runs off by the formula, exactly that fifth does not."""
    kept = np.array([10.0, 50.0, 120.0])
    for over in (0.01, 0.1, 0.5, 0.99):
        assert np.allclose(curve_runoff_mm(kept, 0.2 * kept + over), over**2 / (over + kept), rtol=1e-9)
    assert np.array_equal(curve_runoff_mm(kept, 0.2 * kept), np.zeros(3))
