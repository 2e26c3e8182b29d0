"""Tables of fixings as printed: distances of bolts in both practices, reduction terms on either side of each limit."""

from math import cos, radians, sin

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.timber.dowel_yield import reduction_terms
from lynchet.timber.fastener_spacing import fastener_distances

INCH = 0.0254


@pytest.mark.parametrize("diameter_m", [0.006, 0.0105, 0.012, 0.016, 0.024])
@pytest.mark.parametrize("angle_deg", [0.0, 20.0, 30.0, 45.0, 90.0])
@pytest.mark.parametrize("loaded", [True, False])
def test_bolts_in_europe_stand_as_printed(diameter_m, angle_deg, loaded):
    """EN 1995-1-1, Table 8.4: thin bolts keep 80 mm to a loaded end, thick ones seven diameters; the other distances
    grow with the angle of the load from their least."""
    d, s, c = diameter_m, sin(radians(angle_deg)), cos(radians(angle_deg))
    given = {"practice": "eu", "diameter_m": d, "angle_deg": angle_deg, "end_loaded": loaded}
    found = call(fastener_distances, given)
    end = (7 * d if d >= 0.08 / 7 else 0.08) if loaded else max((1 + 6 * s) * d, 4 * d)
    loaded_edge = 3 * d if s <= 0.5 else 2 * d + 2 * s * d
    assert [found.end_m, found.edge_loaded_m, found.edge_unloaded_m] == pytest.approx([end, loaded_edge, 3 * d])
    assert [found.in_row_m, found.between_rows_m] == pytest.approx([4 * d + c * d, 4 * d])
    assert found.end_least_m is None and found.in_row_least_m is None


@pytest.mark.parametrize("inches", [0.25, 0.5, 1.0])
def test_bolts_in_america_stand_as_printed(inches):
    """NDS 2018, Tables 12.5.1A to D, in diameters: end, least end, edges, in a row, least in a row, rows."""
    d = inches * INCH
    for given, wanted in (
        ({"angle_deg": 0.0}, (7, 3.5, 1.5, 1.5, 4, 3, 1.5)),
        ({"angle_deg": 0.0, "end_loaded": False}, (4, 2, 1.5, 1.5, 4, 3, 1.5)),
        ({"angle_deg": 90.0, "bearing_length_m": 1.5 * d}, (4, 2, 4, 1.5, 4, 3, 2.5)),
        ({"angle_deg": 90.0, "bearing_length_m": 2.0 * d}, (4, 2, 4, 1.5, 4, 3, 2.5)),
        ({"angle_deg": 90.0, "bearing_length_m": 3.2 * d}, (4, 2, 4, 1.5, 4, 3, 3.25)),
        ({"angle_deg": 90.0, "bearing_length_m": 6.0 * d}, (4, 2, 4, 1.5, 4, 3, 5)),
        ({"angle_deg": 90.0, "bearing_length_m": 9.0 * d}, (4, 2, 4, 1.5, 4, 3, 5)),
    ):
        found = call(fastener_distances, {"practice": "us", "diameter_m": d, **given})
        values = (found.end_m, found.end_least_m, found.edge_loaded_m, found.edge_unloaded_m, found.in_row_m,
                  found.in_row_least_m, found.between_rows_m)  # fmt: skip
        assert values == pytest.approx([share * d for share in wanted])


@pytest.mark.parametrize("root, nominal, angle, thin, thick", [
    (0.12, 0.12, 90.0, 2.2, None), (0.17, 0.17, 0.0, 2.2, None), (0.18, 0.18, 45.0, 2.3, None),
    (0.23, 0.23, 90.0, 2.8, None), (0.249, 0.249, 90.0, 2.99, None),
    (0.16, 0.25, 90.0, 2.75, None), (0.19, 0.25, 0.0, 2.4, None), (0.2, 0.25, 90.0, 3.125, None),
    (0.24, 0.31, 45.0, 2.9 * 1.125, None), (0.236, 0.3, 90.0, 2.86 * 1.25, None),
    (0.25, 0.25, 0.0, None, 1.0), (0.26, 0.31, 90.0, None, 1.25), (0.5, 0.5, 45.0, None, 1.125),
    (1.0, 1.0, 36.0, None, 1.1),
])  # fmt: skip
def test_reduction_terms_on_either_side_of_a_quarter_inch(root, nominal, angle, thin, thick):
    """NDS 2018, Table 12.3.1B: below a quarter inch 2.2 up to 0.17 in, then 10 D + 0.5, times 1 + 0.25 of the angle's
    share of a right angle where only the thread's root is so thin; from a quarter inch 4, 3.6 and 3.2 times that."""
    found = reduction_terms(root * INCH, nominal * INCH, angle)
    wanted = [thin] * 6 if thick is None else [4.0 * thick, 4.0 * thick, 3.6 * thick, *[3.2 * thick] * 3]
    assert found == pytest.approx(np.array(wanted))
