"""Kernels of rain over arrays, as stages call them, give their calculators' figures one by one."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.water.fabric import fabric_check
from lynchet.water.rain import mean_intensity_mm_h, rain_ratio_depths
from lynchet.water.runoff import composite_curve_number, part_curve_number


def test_parts_of_ground_over_arrays():
    """Curve numbers of part-hard ground, little or much of it hard, drained to the grass or not."""
    rng = np.random.default_rng(1)
    number, hard, loose = rng.uniform(40, 98, 25), rng.uniform(0, 1, 25), rng.uniform(0, 1, 25)
    hard[:3] = 0.0, 0.3, 1.0
    parts = part_curve_number(number, hard, loose)
    for i in range(25):
        part = {
            "area_m2": 10.0,
            "curve_number": number[i],
            "impervious_fraction": hard[i],
            "unconnected_fraction": loose[i],
        }
        one = call(composite_curve_number, {"parts": [part]})
        assert one.part_curve_numbers == pytest.approx([parts[i]])
        assert number[i] - 1e-9 <= parts[i] <= 98.0 + 1e-9


def test_intensity_is_depth_over_time():
    """An intensity held for its duration gives the depth back, over arrays and through the calculator."""
    minutes = np.array([5.0, 15.0, 60.0, 1440.0])
    one = call(rain_ratio_depths, {"depth_24h_mm": 90.0, "durations_min": minutes.tolist()})
    assert one.intensities_mm_h == pytest.approx(mean_intensity_mm_h(one.depths_mm, minutes).tolist())
    assert np.array(one.intensities_mm_h) * minutes / 60.0 == pytest.approx(one.depths_mm)
    assert one.depths_mm[-1] == pytest.approx(90.0)


def test_a_fabric_at_its_class_passes():
    """A fabric whose permittivity and opening are just those of the class is in it; a hair to either side is not."""
    given = {"fines_pct": 12.0, "aos_mm": 0.2, "permittivity_per_s": 5.0}
    found = call(fabric_check, given)
    least, largest = found.min_permittivity_per_s, found.max_aos_mm
    assert call(fabric_check, {**given, "permittivity_per_s": least, "aos_mm": largest}).class_ok
    assert not call(fabric_check, {**given, "permittivity_per_s": least * 0.999}).class_ok
    assert not call(fabric_check, {**given, "aos_mm": largest * 1.001}).class_ok
