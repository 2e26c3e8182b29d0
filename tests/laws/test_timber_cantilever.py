"""Laws of a member held at one end with loads along it: sums of bending over the length."""

import numpy as np
import pytest
from scipy.integrate import quad

from lynchet.timber.beams import cantilever_sag_m, simple_sag_m


@pytest.mark.parametrize("seed", range(6))
def test_cantilever_sag_by_the_moment_area(seed):
    """The free end sags by the moment of the bending moment about it over E I, under both kinds of load at once."""
    rng = np.random.default_rng(seed)
    line, point, span, stiffness = rng.uniform(0.1, 4, 4)
    at = rng.uniform(0.1, 1.0) * span

    def moment(x):
        return line * (span - x) ** 2 / 2 + point * max(at - x, 0.0)

    wanted = quad(lambda x: moment(x) * (span - x), 0, span, points=[at])[0] / stiffness
    assert cantilever_sag_m(line, point, at, span, stiffness) == pytest.approx(wanted, rel=1e-9)


def test_shear_adds_the_work_of_the_shear_force():
    """What shear adds at mid-span is 1.2 times the area under the shear force up to there, over G A."""
    line, point, span, at, shear_stiffness = 1.3, 2.1, 2.4, 0.7, 55.0
    left = line * span / 2 + point * (span - at) / span
    to_middle = quad(lambda x: left - line * x - (point if x > at else 0.0), 0, span / 2, points=[at])[0]
    more = simple_sag_m((line, point, at), span, 40.0, shear_stiffness) - simple_sag_m((line, point, at), span, 40.0)
    assert more == pytest.approx(1.2 * to_middle / shear_stiffness, rel=1e-9)
