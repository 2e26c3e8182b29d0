"""Laws of plane slides, reliability, tiers and soil tables."""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.stats import lognorm, norm
from shapely.geometry import Polygon

import lynchet.stability
from lynchet.calculators.checked import call
from lynchet.stability import soils
from lynchet.stability.plane_failure import Skin, infinite_slope, infinite_slope_factor, plane_wedge_factor
from lynchet.stability.reliability import reliability_index
from lynchet.stability.soils import friction_typical, presumptive_soil, soil_typical, table
from lynchet.stability.tiers import permit_height, tier_separation


def test_infinite_slope_from_forces_on_a_column():
    """Weight, shaking and water on a column of unit plan width, resolved on the sloping base."""
    rng = np.random.default_rng(1)
    for _ in range(30):
        b, p, z, g = np.radians(rng.uniform(5, 50)), rng.uniform(10, 40), rng.uniform(0.2, 3), rng.uniform(16, 21)
        c, m, k = rng.uniform(0, 8), rng.uniform(0, 1), rng.uniform(0, 0.3)
        weight = np.array([-k, -1.0]) * g * z
        along, out = np.array([-np.cos(b), -np.sin(b)]), np.array([-np.sin(b), np.cos(b)])
        base = 1 / np.cos(b)
        pore = 9.81 * m * z * np.cos(b) ** 2 * base
        factor = (c * base + (-weight @ out - pore) * np.tan(np.radians(p))) / (weight @ along)
        given = {"slope_deg": np.degrees(b), "friction_angle_deg": p, "depth_m": z, "unit_weight_kn_m3": g}
        given |= {"cohesion_kpa": c, "water_fraction": m, "seismic_coefficient": k}
        given = {key: float(value) for key, value in given.items()}
        assert call(infinite_slope_factor, given).factor == pytest.approx(factor)
        assert float(infinite_slope(Skin(np.array([np.degrees(b)]), z, g, p, c, m, k))[0]) == pytest.approx(factor)


@pytest.mark.parametrize("offset, crack, water", [(0.0, None, 0.0), (0.8, None, 0.0), (0.5, 1.1, 0.6), (0.0, 0.9, 0.3)])
def test_worst_plane_by_forces_and_a_bounded_search(offset, crack, water):
    """Weight from a polygon's area, forces resolved anew, least factor from a general minimiser."""
    high, g, p, c = 2.0, 18.0, 28.0, 3.0
    face = np.degrees(np.arctan2(high, offset))
    steepest = face - 0.1
    if crack is not None:
        steepest = min(steepest, np.degrees(np.arctan2(high - water, crack)))

    def factor(angle):
        a = np.radians(angle)
        end = high / np.tan(a) if crack is None else crack
        corners = [(0, 0), (offset, high), (end, high), (end, end * np.tan(a))]
        weight = g * Polygon(corners[: 3 if crack is None else 4]).area
        length = end / np.cos(a)
        along, out = np.array([-np.cos(a), -np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
        load = np.array([-0.5 * 9.81 * water**2, -weight])
        normal = -load @ out - 0.5 * 9.81 * water * length
        return (c * length + normal * np.tan(np.radians(p))) / (load @ along)

    grid = np.linspace(1, steepest, 500)
    start = grid[np.argmin([factor(a) for a in grid])]
    best = minimize_scalar(
        factor, bounds=(max(1, start - 1), min(steepest, start + 1)), method="bounded", options={"xatol": 1e-9}
    )
    given = {"height_m": high, "unit_weight_kn_m3": g, "friction_angle_deg": p, "cohesion_kpa": c}
    given |= {"crest_offset_m": offset, "crack_water_m": water} | ({} if crack is None else {"crack_x_m": crack})
    found = call(plane_wedge_factor, given)
    assert found.factor == pytest.approx(min(best.fun, factor(steepest)), abs=2e-6)
    at = call(plane_wedge_factor, {**given, "plane_angle_deg": 40.0})
    assert at.factor == pytest.approx(factor(40.0))


def test_reliability_against_distributions():
    """Probabilities equal those of SciPy's normal and lognormal distributions."""
    f, v = 1.6, 0.2
    found = call(reliability_index, {"form": "lognormal", "factor": f, "coefficient_of_variation": v})
    shape = np.sqrt(np.log(1 + v**2))
    assert found.probability == pytest.approx(lognorm.cdf(1.0, shape, scale=f / np.sqrt(1 + v**2)))
    found = call(reliability_index, {"form": "normal", "factor": f, "coefficient_of_variation": v})
    assert found.probability == pytest.approx(norm.cdf(1.0, f, v * f))
    means = {"resistance_mean": 12.0, "resistance_sd": 3.0, "load_mean": 7.0, "load_sd": 1.4}
    found = call(reliability_index, {"form": "normal_margin", **means})
    assert found.probability == pytest.approx(norm.cdf(0.0, 5.0, np.hypot(3.0, 1.4)))
    found = call(reliability_index, {"form": "lognormal_quotient", **means})
    rng = np.random.default_rng(4)
    draws = [
        rng.lognormal(np.log(m / np.sqrt(1 + (s / m) ** 2)), np.sqrt(np.log(1 + (s / m) ** 2)), 400_000)
        for m, s in ((12.0, 3.0), (7.0, 1.4))
    ]
    assert found.probability == pytest.approx(np.mean(draws[0] < draws[1]), abs=1e-3)


def _heights_by_pairs(tiers, rule):
    """Tallest connected run of tiers, joined pair by pair."""

    def size(tier):
        exposed = tier.get("exposed_m", tier["retained_m"])
        sizes = {"retained": tier["retained_m"], "exposed": exposed, "base_to_top": exposed + tier.get("buried_m", 0)}
        return sizes[rule["measure"]]

    joined = []
    for low, high in pairwise(tiers):
        near = high["setback_m"] < rule.get("setback_ratio", 2) * size(low) - 1e-9
        joined.append(rule["tiers_add"] == "always" or (rule["tiers_add"] == "setback" and near))
    runs = []
    for i in range(len(tiers)):
        for j in range(i, len(tiers)):
            if all(joined[i:j]):
                runs.append((sum(size(t) for t in tiers[i : j + 1]), j - i + 1))
    return max(r[0] for r in runs), max(r[1] for r in runs)


@pytest.mark.parametrize("seed", range(25))
def test_permit_heights_by_every_run_of_tiers(seed):
    """Chains found from the bottom equal the best of all runs of joined neighbours."""
    rng = np.random.default_rng(seed)
    tiers = [
        {
            "retained_m": float(np.round(rng.uniform(0.2, 1), 2)),
            "exposed_m": float(np.round(rng.uniform(0.2, 1), 2)),
            "buried_m": float(np.round(rng.uniform(0, 0.3), 2)),
            "setback_m": float(np.round(rng.uniform(0.3, 2.5), 2)),
        }
        for _ in range(5)
    ]
    rules = [
        {"name": f"{m} {a}", "measure": m, "limit_m": 1.2, "tiers_add": a}
        for m in ("retained", "exposed", "base_to_top")
        for a in ("never", "always", "setback")
    ]
    found = call(permit_height, {"tiers": tiers, "rules": rules})
    for i, rule in enumerate(rules):
        height, count = _heights_by_pairs(tiers, rule)
        assert found.height_m[i] == pytest.approx(height)
        assert found.tiers_counted[i] == count
        assert found.triggered[i] == (height > 1.2 + 1e-9)


def test_equal_but_for_rounding_is_equal():
    """0.1 + 0.2 m against a limit of 0.3 m: not above it; at the limit only where the rule says so; setbacks alike."""
    tiers = [{"retained_m": 0.1}, {"retained_m": 0.2, "setback_m": 0.1}]
    rules = [
        {"name": "a", "measure": "retained", "limit_m": 0.3, "tiers_add": "always"},
        {"name": "b", "measure": "retained", "limit_m": 0.3, "tiers_add": "always", "at_limit_counts": True},
        {"name": "c", "measure": "retained", "limit_m": 1.0, "tiers_add": "setback", "setback_ratio": 1.0},
    ]
    found = call(permit_height, {"tiers": tiers, "rules": rules})
    assert found.triggered == [False, True, False]
    assert found.tiers_counted == [2, 2, 1]
    apart = call(tier_separation, {"lower_height_m": 0.7, "setback_m": 1.4, "friction_angle_deg": 30.0})
    assert apart.independent is False
    at_reach = call(tier_separation, {"lower_height_m": 1.0, "setback_m": 1.0, "friction_angle_deg": 0.0})
    assert at_reach.clears_wedge is False  # the reach is tan 45° = 0.9999999999999999


def test_tables_are_files_with_a_birth_certificate():
    """Every table says its source, how it is known and its units, and no row lacks a column."""
    folder = Path(lynchet.stability.__file__).parent / "data"
    for name in ("presumptive_soil", "soil_typical", "friction_typical"):
        lines = (folder / f"{name}.csv").read_text(encoding="utf-8").splitlines()
        assert [line.split(":")[0] for line in lines[:3]] == ["# source", "# known", "# units"]
        rows = list(csv.reader(lines[3:]))
        assert len({len(row) for row in rows}) == 1


def test_units_of_the_tables_from_their_definitions():
    """Pound, foot and standard gravity give the factors the tables are converted with."""
    newton, foot = 0.45359237 * 9.80665, 0.3048
    assert pytest.approx(newton / foot**2 / 1000, rel=1e-6) == soils.PSF_KPA
    assert pytest.approx(newton / foot**3 / 1000, rel=1e-6) == soils.PSF_PER_FT_KPA_M
    assert pytest.approx(newton / foot**3 / 1000, rel=1e-8) == soils.PCF_KN_M3


def test_every_row_of_the_soil_tables_comes_out():
    """Symbols in any case and by number find their row; contacts of the signature are those of the table."""
    for row in table("presumptive_soil"):
        by_number = call(presumptive_soil, {"soil_class": int(row["class_number"])})
        for symbol in row["symbols"].split():
            assert call(presumptive_soil, {"soil_class": f" {symbol.lower()}"}) == by_number
        assert (by_number.sliding_coefficient is None) == (by_number.class_number == 5)
    assert call(presumptive_soil, {"soil_class": 5}).sliding_cohesion_kpa == pytest.approx(130 * 0.04788026)
    for row in table("soil_typical"):
        found = call(soil_typical, {"soil_class": row["symbol"].lower() + " "})
        assert found.dry_unit_weight_kn_m3 == pytest.approx(
            float(row["dry_pcf"]) * 0.0254**-3 * 0.45359237 * 9.80665 / 12**3 / 1000
        )
        assert found.bound == row["symbol"].startswith("G")
    assert list(get_args(soils.Contact)) == [row["contact"] for row in table("friction_typical")]
    for contact in get_args(soils.Contact):
        found = call(friction_typical, {"contact": contact, "friction_angle_deg": 30.0})
        assert np.tan(np.radians(found.angle_high_deg)) == pytest.approx(found.coefficient_high)
        assert found.coefficient_low <= found.coefficient_high


def test_the_worst_plane_is_looked_for_between_its_limits():
    """Planes from 1 degree up to 0.1 below the face: without cohesion the steepest is the worst; in clay under a face
    so flat that its worst plane would be half of it, the flattest."""
    sand = {"height_m": 1.0, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 30.0, "crest_offset_m": 0.5}
    face = np.degrees(np.arctan2(1.0, 0.5))
    assert call(plane_wedge_factor, sand).plane_angle_deg == pytest.approx(face - 0.1, abs=1e-9)
    clay = {"height_m": 0.1, "unit_weight_kn_m3": 18.0, "friction_angle_deg": 0.0, "cohesion_kpa": 1.0,
            "crest_offset_m": 4.0}  # fmt: skip
    assert call(plane_wedge_factor, clay).plane_angle_deg == pytest.approx(1.0, abs=1e-9)
