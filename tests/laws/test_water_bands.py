"""Laws at the printed edges of bands: which side a value on the limit itself belongs to."""

import pytest

from lynchet.calculators.checked import call
from lynchet.water.fabric import fabric_check, retention_aos_mm, retention_factor
from lynchet.water.filter_band import soil_category
from lynchet.water.soil_group import group_by_conductivity


@pytest.mark.parametrize(
    ("fines", "category"),
    [(0.0, 4), (14.9, 4), (15.0, 3), (39.9, 3), (40.0, 2), (85.0, 2), (85.1, 1), (100.0, 1)],
)
def test_fines_on_a_limit_belong_to_the_printed_category(fines, category):
    """NEH 633 chapter 26, Table 26-2: above 85 %, 40 to 85, 15 to 39, under 15."""
    assert soil_category(fines) == category


def test_half_fines_are_fine_soil():
    """From 50 % on the retention rule is that of fine soil: factor 1 woven, 1.8 not, 0.3 mm at most; under it, of
    sand: by uniformity."""
    assert [retention_factor(50.0, 3.0, kind) for kind in ("woven", "nonwoven")] == [1.0, 1.8]
    assert retention_factor(49.9, 3.0, "woven") == 1.5
    wanted = {1.9: 1.0, 2.0: 1.0, 2.1: 1.05, 3.9: 1.95, 4.0: 2.0, 5.0: 1.6, 7.9: 8.0 / 7.9, 8.0: 1.0, 8.1: 1.0}
    for uniformity, factor in wanted.items():
        assert retention_factor(20.0, uniformity, "woven") == pytest.approx(factor)
    assert (retention_aos_mm(1.8, 0.5, 50.0), retention_aos_mm(1.8, 0.5, 49.9)) == (0.3, pytest.approx(0.9))
    assert retention_aos_mm(1.8, 0.1, 60.0) == pytest.approx(0.18)


@pytest.mark.parametrize("step", [-0.01, 0.0, 0.01])
def test_a_fabric_just_at_its_limits_passes(step):
    """At the least permittivity and the largest opening of its class a fabric passes, past either it does not."""
    limits = call(fabric_check, {"fines_pct": 30.0, "permittivity_per_s": 1.0, "aos_mm": 0.2})
    least, largest = limits.min_permittivity_per_s, limits.max_aos_mm
    slow = call(fabric_check, {"fines_pct": 30.0, "permittivity_per_s": least + step, "aos_mm": largest})
    wide = call(fabric_check, {"fines_pct": 30.0, "permittivity_per_s": least, "aos_mm": largest + step})
    assert (slow.class_ok, wide.class_ok) == (step >= 0, step <= 0)
    assert slow.passes == slow.class_ok and wide.passes == wide.class_ok


def test_what_clogs_and_what_is_too_fine():
    """Openings from 0.15 mm up do not clog; soil from 85 % fines on is too fine for a fabric alone."""
    for opening, wanted in ((0.149, False), (0.15, True)):
        found = call(fabric_check, {"fines_pct": 30.0, "permittivity_per_s": 1.0, "aos_mm": opening})
        assert found.clogging_ok is wanted and found.passes is wanted
    for fines, wanted in ((84.9, False), (85.0, True)):
        found = call(fabric_check, {"fines_pct": fines, "permittivity_per_s": 1.0, "aos_mm": 0.2})
        assert found.soil_too_fine is wanted and found.passes is not wanted


@pytest.mark.parametrize(
    ("layer_m", "table_m", "limits"),
    [
        (0.49, 9.0, None), (9.0, 0.59, None), (0.5, 9.0, (144.0, 36.0, 3.6)), (9.0, 0.6, (144.0, 36.0, 3.6)),
        (0.5, 0.6, (144.0, 36.0, 3.6)), (1.0, 9.0, (144.0, 36.0, 3.6)), (9.0, 1.0, (144.0, 36.0, 3.6)),
        (1.01, 1.01, (36.0, 14.4, 1.44)),
    ],
)  # fmt: skip
def test_soil_groups_by_depth_and_conductivity(layer_m, table_m, limits):
    """NEH 630 chapter 7, table 7-1: D over a layer nearer than 50 cm or water nearer than 60 cm; 40, 10 and 1
    micrometres a second down to 100 cm, 10, 4 and 0.4 where both lie deeper; on a limit the wetter group."""
    for number, limit in enumerate(limits or (144.0, 36.0, 1.44)):
        for speed, group in ((limit * 1.001, number), (limit, number + 1), (limit * 0.999, number + 1)):
            assert group_by_conductivity(speed, layer_m, table_m) == (group if limits else 3)
