"""Laws of two plants in one bed: limits that only just meet."""

import pytest

from lynchet.calculators.checked import call
from lynchet.planting.plant_fit import plant_pair_compatible


@pytest.mark.parametrize(
    "zones, meet", [((3, 5), True), ((3, 6), True), ((3, 4), False), ((8, 9), True), ((9, 11), False)]
)
def test_plants_that_share_one_zone_suit_each_other(zones, meet):
    """Limits count as inside: zones 3 to 5 and 5 to 8 meet in zone 5; pH that meets in a point overlaps by 0."""
    one = {"light": ["sun"], "moisture": ["dry"], "zone_min": 5, "zone_max": 8, "ph_min": 6.0, "ph_max": 7.0,
           "spread_m": 0.4}  # fmt: skip
    two = one | {"zone_min": zones[0], "zone_max": zones[1], "ph_min": 7.0, "ph_max": 8.0, "spread_m": 0.8}
    found = call(plant_pair_compatible, {"plant_a": one, "plant_b": two, "min_ph_overlap": 0.0})
    assert found.reasons == ([] if meet else ["zone"])
    assert found.ph_overlap == pytest.approx(0.0) and found.centre_distance_m == pytest.approx(0.6)
    strict = call(plant_pair_compatible, {"plant_a": one, "plant_b": two})
    assert strict.reasons == (["ph"] if meet else ["ph", "zone"])
