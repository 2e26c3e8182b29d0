"""Chances of uncertain items against a library's distributions, small amounts of money among them."""

import numpy as np
import pytest
from scipy.stats import lognorm

from lynchet.works.uncertain_items import lognormal_chance


@pytest.mark.parametrize("mean, sd", [(0.8, 0.5), (3.0, 4.0), (1200.0, 150.0)])
def test_lognormal_chance_by_a_library(mean, sd):
    """From far below one unit of money to far above the mean; nothing lies at or below zero."""
    square = np.log(1 + (sd / mean) ** 2)
    at = np.concatenate([[-2.0, 0.0], np.geomspace(0.05, 5.0, 30), mean * np.linspace(0.2, 4, 30)])
    wanted = lognorm(s=np.sqrt(square), scale=np.exp(np.log(mean) - square / 2)).cdf(at)
    assert lognormal_chance(at, (mean, sd)) == pytest.approx(wanted, abs=1e-12)
