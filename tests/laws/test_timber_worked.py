"""A course too weak, and the fixings of the wall: what the workings give is what the stage compares."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from lynchet.calculators.text import run
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.read import read_project
from lynchet.stability.constants import PIN_DIAMETER_M, SCREW_DIAMETER_M, SCREW_SPACING_M
from lynchet.timber.connections import connection_wet_factor
from lynchet.timber.fixing_strength import fixings_of

BED = Path(__file__).parents[1] / "scenarios" / "yards" / "box_bed.toml"


@pytest.fixture(scope="module")
def plan():
    """A bed that stands by its corners, of timbers far too thin."""
    project = read_project(BED)
    return plan_project(replace(project, timber=replace(project.timber, thickness_m=0.05)), effort=LIVE)


def test_a_weak_course_opens_its_beam(plan):
    """Bending and sag of the finding are those of a beam under the load of its worst course."""
    kinds = {"timber.bending": "bending_stress_mpa", "timber.shear": "shear_stress_mpa", "timber.sag": "deflection_m"}
    found = [finding for finding in plan.findings if finding.code in kinds]
    assert {finding.code for finding in found} >= {"timber.bending", "timber.sag"}
    for finding in found:
        assert finding.working is not None
        name, given = finding.working
        assert finding.demand == pytest.approx(run(name, dict(given)).result[kinds[finding.code]], rel=1e-9)


@pytest.mark.parametrize("practice", ["us", "eu"])
def test_a_fixing_opens_its_dowel(plan, practice):
    """One pin and one screw of the working, with the factors of use, are what the wall counts on."""
    strength = replace(plan.timber.strength, practice=practice, specific_gravity=0.43, density_kg_m3=350.0)
    found = fixings_of(strength, 0.14, 0.14)
    key = "design_kn" if practice == "us" else "characteristic_kn"
    for counted, share, diameter, workings in (
        (found.corner_pin_kn, min(1.0, 0.07 / (7.0 * PIN_DIAMETER_M)), PIN_DIAMETER_M, found.pin_working),
        (found.screws_kn_per_m, 1.0 / SCREW_SPACING_M, SCREW_DIAMETER_M, found.screw_working),
    ):  # a pin near the end counts in part, screws by their spacing
        name, given = workings[0]
        wet = float(connection_wet_factor(diameter, True, True)) if practice == "us" else 1.0
        one = run(name, dict(given)).result[key] * strength.connection_factor * wet
        assert counted == pytest.approx(share * one, rel=1e-9)
    name, given = found.tie_working[0]
    assert found.tie_screw_kn == pytest.approx(run(name, dict(given)).result["design_kn"] * strength.load_factor)
