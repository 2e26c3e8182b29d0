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
from lynchet.timber.handling import weights_of
from lynchet.timber.worked import weight_working

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


def test_the_cost_of_the_cutting_opens_what_none_can_go_below(plan):
    """The least that any cutting can cost is no more than the sticks cost, and it is worked out for all that is cut."""
    (found,) = (finding for finding in plan.findings if finding.code == "timber.cutting")
    name, given = found.working
    least = run(name, dict(given)).result
    cost = plan.timber.proof.cost
    assert found.demand == cost and max(least["length_bound_money"], least["pattern_bound_money"]) <= cost + 1e-6
    assert found.capacity <= cost + 1e-9
    cut = sum(length for stick in plan.timber.sticks for length in stick.lengths_m)
    assert sum(row["length_m"] * row["count"] for row in dict(given)["pieces"]) == pytest.approx(cut)


def test_sticks_on_hand_are_told_where_the_working_counts_them(plan):
    """With every stick on hand the sticks cost nothing, less than any bought ones could: the finding says why."""
    (told,) = (finding for finding in plan.findings if finding.code == "timber.cutting")
    assert "on hand" not in told.text
    wood = plan.project.timber
    own = replace(wood, stock=tuple(replace(row, on_hand=99) for row in wood.stock))
    owned = plan_project(replace(plan.project, timber=own), effort=LIVE)
    (found,) = (finding for finding in owned.findings if finding.code == "timber.cutting")
    name, given = found.working
    assert found.demand == 0.0 < run(name, dict(given)).result["length_bound_money"]
    assert "on hand cost nothing here; the working counts them as bought" in found.text


def test_a_heavy_piece_opens_its_weight(plan):
    """The weight worked out is the weight said, of a whole piece and of one sawn along."""
    wood = plan.project.timber
    for share in (1.0, 0.6):
        (piece,) = weights_of(wood, [("piece", 2.4)], {"piece": share})
        name, given = weight_working(wood, piece)
        assert run(name, dict(given)).result["piece_kg"] == pytest.approx(piece.mass_kg, rel=1e-9)
    assert weight_working(replace(wood, unit_weight_kn_m3=14.0), piece) is None
