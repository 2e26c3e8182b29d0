"""Kernels of timber over arrays, as stages call them, give their calculators' figures one by one."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.timber.connections import (
    connection_temperature_factor,
    connection_us,
    connection_wet_factor,
    geometry_factor,
)


def test_factors_of_a_connection_over_arrays():
    """Moisture, temperature and distance factors, thin and thick fasteners, and the capacity that they multiply to."""
    rng = np.random.default_rng(1)
    diameter, warm, end = rng.uniform(0.004, 0.02, 40), rng.uniform(0, 65, 40), rng.uniform(0.5, 1.3, 40)
    for made, service, row in ((True, True, True), (True, False, True), (True, False, False), (False, False, True)):
        moisture = connection_wet_factor(diameter, made, service, row)
        heat, place = connection_temperature_factor(warm, service), geometry_factor(diameter, end)
        for i in range(40):
            one = call(connection_us, {"each_kn": 1.5, "count": 3, "diameter_m": diameter[i], "end_m": 0.1 * end[i],
                                       "end_full_m": 0.1, "temperature_c": warm[i], "wet_when_made": made,
                                       "wet_in_service": service, "one_row": row})  # fmt: skip
            found = (one.wet_factor, one.temperature_factor, one.geometry_factor)
            assert found == pytest.approx((moisture[i], heat[i], place[i]))
            assert one.capacity_kn == pytest.approx(3 * 1.5 * 0.9 * moisture[i] * heat[i] * place[i])
