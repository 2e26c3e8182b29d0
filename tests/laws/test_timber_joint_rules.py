"""Rules of joints as printed, on both sides of every size they name."""

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.timber.connections import connection_us, connection_wet_factor, geometry_factor
from lynchet.timber.eu_strength import depth_factor
from lynchet.timber.fastener_spacing import fastener_distances, rows_across_m
from lynchet.timber.us_strength import bearing_factor, size_factor, temperature_factors

INCH = 0.0254
JOINT = {"each_kn": 2.0, "count": 3, "duration_factor": 1.0}


@pytest.mark.parametrize("inch, small", [(0.148, True), (0.24, True), (0.25, False), (0.26, False), (0.5, False)])
def test_a_quarter_of_an_inch_divides_nails_from_bolts(inch, small):
    """NDS 2018, Table 11.3.3 and 12.5.1: wet and then dry 0.7 under 1/4 in, else 1 in one row and 0.4 in more; wet in
    service 0.7; short ends count from 1/4 in up."""
    d = inch * INCH
    assert float(connection_wet_factor(d, True, False, True)) == (0.7 if small else 1.0)
    assert float(connection_wet_factor(d, True, False, False)) == (0.7 if small else 0.4)
    assert float(connection_wet_factor(d, False, False, False)) == 1.0
    assert float(connection_wet_factor(d, False, True, True)) == 0.7
    assert float(geometry_factor(d, 0.8, 0.9)) == (1.0 if small else 0.8)
    assert float(geometry_factor(d, 1.4, 0.9)) == (1.0 if small else 0.9)
    short = JOINT | {"diameter_m": d, "wet_when_made": False, "wet_in_service": False, "end_m": 0.06, "end_full_m": 0.1}
    found = call(connection_us, short)
    assert found.capacity_kn == pytest.approx(6.0 if small else 3.6)
    assert call(connection_us, short | {"end_grain": True}).capacity_kn == pytest.approx(0.67 * found.capacity_kn)


@pytest.mark.parametrize("loaded, end", [(True, 7.0), (False, 4.0)])
def test_distances_in_diameters(loaded, end):
    """NDS 2018, Tables 12.5.1A to D, softwood: every distance a whole or half number of diameters."""
    d = 0.5 * INCH
    along = call(fastener_distances, {"practice": "us", "diameter_m": d, "end_loaded": loaded})
    assert np.array([along.end_m, along.end_least_m, along.edge_loaded_m, along.edge_unloaded_m, along.in_row_m,
                     along.in_row_least_m, along.between_rows_m]) / d == pytest.approx(
        [end, end / 2, 1.5, 1.5, 4.0, 3.0, 1.5])  # fmt: skip
    across = call(fastener_distances, {"practice": "us", "diameter_m": d, "angle_deg": 90.0, "bearing_length_m": 4 * d})
    assert np.array([across.end_m, across.end_least_m, across.edge_loaded_m, across.edge_unloaded_m, across.in_row_m,
                     across.in_row_least_m, across.between_rows_m]) / d == pytest.approx(
        [4.0, 2.0, 4.0, 1.5, 4.0, 3.0, 30.0 / 8.0])  # fmt: skip
    assert rows_across_m(d, np.array([1.0, 2.0, 6.0, 9.0]) * d) / d == pytest.approx([2.5, 2.5, 5.0, 5.0])


@pytest.mark.parametrize("angle, expected", [(0.0, (4.0, 3.0, 5.0)), (30.0, (4.0, 3.0, 4.866025)),
                                             (90.0, (7.0, 4.0, 4.0))])  # fmt: skip
def test_european_distances_of_an_unloaded_end(angle, expected):
    """EN 1995-1-1, Table 8.4: end (1 + 6 sin) d not under 4 d, edge (2 + 2 sin) d not under 3 d, row (4 + cos) d."""
    found = call(fastener_distances, {"practice": "eu", "diameter_m": 0.012, "angle_deg": angle, "end_loaded": False})
    distances = np.array([found.end_m, found.edge_loaded_m, found.in_row_m]) / 0.012
    assert distances == pytest.approx(expected, rel=1e-6)
    assert (found.edge_unloaded_m, found.between_rows_m) == pytest.approx((0.036, 0.048))
    loaded = call(fastener_distances, {"practice": "eu", "diameter_m": 0.010, "angle_deg": angle})
    assert loaded.end_m == pytest.approx(0.08)


def test_factors_at_the_sizes_they_name():
    """Bearing (l + 3/8)/l under 6 in; European depth factor 1 from 150 mm, 1.3 at most; timbers lose from 12 in."""
    assert bearing_factor(np.array([1.0, 3.0, 5.9, 6.0, 8.0]) * INCH) == pytest.approx(
        [1.375, 1.125, (5.9 + 0.375) / 5.9, 1.0, 1.0])  # fmt: skip
    assert depth_factor(np.array([0.02, 0.1, 0.15, 0.3])) == pytest.approx([1.3, 1.5**0.2, 1.0, 1.0])
    assert size_factor("4D", 6 * INCH, np.array([8.0, 12.0, 16.0]) * INCH) == pytest.approx(
        [1, 1, (12 / 16) ** (1 / 9)]
    )


@pytest.mark.parametrize("celsius, wet, dry, modulus", [
    (20.0, 1.0, 1.0, 1.0), (37.8, 1.0, 1.0, 1.0), (38.5, 0.7, 0.8, 0.9), (51.0, 0.7, 0.8, 0.9), (52.5, 0.5, 0.7, 0.9),
    (65.0, 0.5, 0.7, 0.9)])  # fmt: skip
def test_warm_timber_as_printed(celsius, wet, dry, modulus):
    """NDS 2018, Table 2.3.3: bands to 100, 125 and 150 F, for bending, shear and bearing, and for the modulus."""
    assert temperature_factors(celsius, True).tolist() == [wet, wet, wet, modulus]
    assert temperature_factors(celsius, False).tolist() == [dry, dry, dry, modulus]


@pytest.mark.parametrize("inch, taken", [(0.24, True), (0.25, False), (0.26, False), (0.5, False)])
@pytest.mark.parametrize("pair", [("end_m", 0.49, 0.51), ("in_row_m", 0.74, 0.76)])
def test_distances_too_short_are_refused_from_a_quarter_of_an_inch(inch, taken, pair):
    """NDS 2018, 12.5.1: no end under half and no spacing under three quarters of the full value, for bolts and pins;
    nails and small screws are not held to it."""
    key, under, over = pair
    given = JOINT | {"diameter_m": inch * INCH, key.replace("_m", "_full_m"): 1.0}
    assert call(connection_us, given | {key: over}).capacity_kn > 0.0
    if taken:
        assert call(connection_us, given | {key: under}).geometry_factor == 1.0
    else:
        with pytest.raises(InputError):
            call(connection_us, given | {key: under})


@pytest.mark.parametrize("inch, factor", [(5.5, 1.0), (6.5, 1.0), (7.0, 1.0), (7.25, 1.1), (9.25, 1.1), (11.25, 1.1)])
def test_thick_southern_pine_gains_from_eight_inches(inch, factor):
    """NDS Supplement 2018, Table 4B, size factor: 4 in thick and 8 in wide (7 1/4 dressed) or wider 1.1, narrower 1."""
    assert float(size_factor("4B", 3.5 * INCH, inch * INCH)) == factor
    assert float(size_factor("4B", 1.5 * INCH, inch * INCH)) == 1.0
