"""Printed constants of timber typed a second time, and pairs of values that must come together."""

import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.timber.connections import connection_us
from lynchet.timber.shrinkage import lumber_shrunk_pct


@pytest.mark.parametrize(
    "face, moisture, wanted",
    [
        # Green, "Moisture relationships in wood", FPL-RP-489: width 6.031 - 0.215 M, thickness 5.062 - 0.181 M
        ("width", 0.0, 6.031), ("width", 15.0, 2.806), ("width", 19.0, 1.946), ("width", 30.0, 0.0),
        ("thickness", 0.0, 5.062), ("thickness", 15.0, 2.347), ("thickness", 19.0, 1.623), ("thickness", 30.0, 0.0),
    ],
)  # fmt: skip
def test_lumber_shrinks_by_its_printed_lines(face, moisture, wanted):
    """Percent of the green size at a moisture, worked out by hand."""
    assert float(lumber_shrunk_pct(moisture, face)) == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize("pair", [("end_m", "end_full_m"), ("in_row_m", "in_row_full_m")])
def test_a_distance_comes_with_its_full_value(pair):
    """The actual distance without the full one, or the other way round, is refused; both together give their share."""
    given = {"each_kn": 1.0, "count": 2, "diameter_m": 0.012}
    for key in pair:
        with pytest.raises(InputError, match=r"missing"):
            call(connection_us, {**given, key: 0.08})
    whole = call(connection_us, given).geometry_factor
    assert whole == 1.0
    assert call(connection_us, {**given, pair[0]: 0.08, pair[1]: 0.1}).geometry_factor == pytest.approx(0.8)
