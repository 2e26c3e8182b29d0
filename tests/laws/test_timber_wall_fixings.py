"""What a pin or screw of a wall is counted with is what the calculators give for it; bounds of distances."""

from __future__ import annotations

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.timber.connections import (
    END_GRAIN,
    FULL_END,
    STEEL_MPA,
    connection_us,
    corner_share,
    cross_dowel_kn,
    lag_pull_kn,
)
from lynchet.timber.dowel_bearing import dowel_bearing
from lynchet.timber.dowel_yield import dowel_yield
from lynchet.timber.fastener_spacing import eu_distances_m
from lynchet.timber.us_strength import size_factor
from lynchet.timber.withdrawal import withdrawal

PSI = 0.006894757293168


def test_steel_of_the_pins_is_that_of_the_code():
    """45,000 psi (NDS 2018, Appendix I, Table I1), rounded down by less than a thousandth."""
    assert 0.0 <= 45000.0 * PSI - STEEL_MPA < 0.001 * STEEL_MPA


@pytest.mark.parametrize("gravity", [0.36, 0.43, 0.55])
@pytest.mark.parametrize(
    ("diameter", "upper", "lower"), [(0.0127, 0.14, 0.14), (0.0095, 0.14, 0.07), (0.005, 0.1, 0.05)]
)
def test_a_cross_dowel_is_the_calculators_in_a_row(gravity, diameter, upper, lower):
    """Bearing across the grain, then the least mode of yield, then moisture and duration."""
    kind = {"diameter_m": diameter, "specific_gravity": gravity}
    bearing = call(dowel_bearing, {**kind, "angle_deg": 90.0}).bearing_strength_mpa
    given = {"diameter_m": diameter, "main_length_m": lower, "side_length_m": upper, "main_bearing_mpa": bearing,
             "side_bearing_mpa": bearing, "yield_strength_mpa": 310.0, "angle_deg": 90.0}  # fmt: skip
    if diameter < 0.00635:
        given["nominal_diameter_m"] = diameter
    one = call(dowel_yield, given).design_kn
    joint = call(connection_us, {"each_kn": one, "count": 1, "diameter_m": diameter, "duration_factor": 0.9})
    assert cross_dowel_kn(gravity, diameter, (upper, lower), 0.9) == pytest.approx(joint.capacity_kn, rel=1e-9)


@pytest.mark.parametrize(("diameter", "thickness"), [(0.0127, 0.14), (0.0159, 0.14), (0.0127, 0.2)])
def test_a_corner_pin_stands_in_the_middle_of_its_lap(diameter, thickness):
    """Its share is that of a joint half the thickness from the end of its course, full at seven diameters."""
    joint = call(connection_us, {"each_kn": 1.0, "count": 1, "diameter_m": diameter, "end_m": thickness / 2.0,
                                 "end_full_m": 7.0 * diameter})  # fmt: skip
    assert corner_share(diameter, thickness) == pytest.approx(joint.geometry_factor, rel=1e-12)
    assert FULL_END == 7.0  # NDS 2018, Table 12.5.1A: softwood pulled along the grain


@pytest.mark.parametrize(("end_grain", "factor"), [(True, END_GRAIN), (False, 1.0)])
def test_a_tie_screw_is_the_withdrawal_calculator(end_grain, factor):
    """A lag screw pulled out, wet, under a lasting load."""
    given = {"kind": "lag_screw", "specific_gravity": 0.43, "diameter_m": 0.0095, "penetration_m": 0.09}
    given |= {"duration_factor": 0.9, "wet_at_driving": True, "wet_in_service": True, "end_grain": end_grain}
    ours = lag_pull_kn(0.43, 0.0095, 0.09, 0.9, factor)
    assert ours == pytest.approx(call(withdrawal, given).design_kn, rel=1e-9)


@pytest.mark.parametrize(("key", "full", "least"), [("end_m", "end_full_m", 0.5), ("in_row_m", "in_row_full_m", 0.75)])
def test_least_distances_of_a_joint(key, full, least):
    """At the least share of the full distance a joint is counted with that share, under it refused."""
    given = {"each_kn": 1.0, "count": 1, "diameter_m": 0.0127, full: 0.1}
    at = call(connection_us, {**given, key: 0.1 * (least + 0.005)})
    assert at.geometry_factor == pytest.approx(least + 0.005)
    with pytest.raises(InputError):
        call(connection_us, {**given, key: 0.1 * (least - 0.005)})


def test_thin_and_thick_timbers_part_between_dressed_sizes():
    """Every dressed thickness up to 2 1/2 in is thin, from 3 1/2 in on thick: the bound lies between."""
    sizes = np.array([1.5, 2.5, 3.5]) * 0.0254
    factors = size_factor("4A", np.full(3, 9.25 * 0.0254), sizes)
    assert factors[0] == factors[1] != factors[2]


@pytest.mark.parametrize(("gravity", "printed_psi"), [(0.55, 5550.0), (0.50, 4650.0), (0.42, 3350.0)])
def test_bearing_of_thin_dowels(gravity, printed_psi):
    """Under 1/4 in the strength is the same along and across the grain: NDS 2018, Table 12.3.3 (MEMORY), to 50 psi."""
    for angle in (0.0, 45.0, 90.0):
        given = {"specific_gravity": gravity, "diameter_m": 0.005, "angle_deg": angle}
        assert call(dowel_bearing, given).bearing_strength_mpa / PSI == pytest.approx(printed_psi, abs=25.0)


@pytest.mark.parametrize(
    ("angle", "diameters"), [(0.0, 4.0), (30.0, 4.0), (45.0, 1.0 + 6.0 * np.sqrt(0.5)), (90.0, 7.0)]
)
def test_unloaded_end_of_a_bolt(angle, diameters):
    """EN 1995-1-1, Table 8.4, a4,c: (1 + 6 sin angle) diameters, at least four."""
    assert eu_distances_m(0.012, angle, False)["end"] == pytest.approx(diameters * 0.012)
