"""Strength, sections and joints: against statics by other means, limits, and kernels against calculators."""

from __future__ import annotations

from itertools import pairwise
from math import isclose

import numpy as np
import pytest
from scipy.integrate import solve_bvp
from scipy.optimize import brentq
from shapely.geometry import box

from lynchet.timber.beams import CONTINUOUS, Loading, forces, sag_m
from lynchet.timber.bending import member_check
from lynchet.timber.connections import connection_us
from lynchet.timber.dowel_bearing import at_angle, bearing_parallel_mpa, bearing_perpendicular_mpa, dowel_bearing
from lynchet.timber.dowel_yield import DOUBLE, SINGLE, Dowel, design_modes_kn, dowel_yield, reduction_terms
from lynchet.timber.eu_strength import adjusted_strength_eu, depth_factor
from lynchet.timber.fastener_spacing import fastener_distances, rows_across_m
from lynchet.timber.johansen import Fastener, dowel_yield_eu, embedment_eu, embedment_strength_mpa, johansen_kn
from lynchet.timber.notches import eu_notch_factor, notch_shear, us_shear_depth_m
from lynchet.timber.sections import area_m2, inertia_m4, section_modulus_m3, timber_size
from lynchet.timber.us_reference import reference_strength_us
from lynchet.timber.us_strength import (
    adjusted_strength_us,
    bearing_factor,
    flat_use_factor,
    size_factor,
    temperature_factors,
    wet_factors,
)
from lynchet.timber.values import INCH_M
from lynchet.timber.withdrawal import withdrawal, withdrawal_kn_per_m

RNG = np.random.default_rng(20)


def test_section_values_are_those_of_the_polygon():
    """Area, inertia and section modulus equal integrals over thin strips of a Shapely rectangle."""
    width, depth, strips = 0.14, 0.19, 400
    whole = box(0.0, -depth / 2, width, depth / 2)
    edges = np.linspace(-depth / 2, depth / 2, strips + 1)
    inertia = 0.0
    for low, high in pairwise(edges):
        strip = whole.intersection(box(-1.0, low, 1.0, high))
        inertia += strip.area * strip.centroid.y**2
    assert area_m2(width, depth) == pytest.approx(whole.area, rel=1e-12)
    assert inertia_m4(width, depth) == pytest.approx(inertia, rel=2e-5)
    assert section_modulus_m3(width, depth) == pytest.approx(inertia / (depth / 2), rel=2e-5)


@pytest.mark.parametrize("support", ["simple", "cantilever"])
def test_forces_are_the_extremes_along_the_member(support):
    """The largest moment and shear equal those found by walking along the member in small steps."""
    for _ in range(40):
        span, line, point = RNG.uniform(0.5, 4.0), RNG.uniform(0.0, 6.0), RNG.uniform(0.1, 8.0)
        at = RNG.uniform(0.0, span)
        x = np.append(np.linspace(0.0, span, 20001), at)
        if support == "simple":
            right = line * span / 2 + point * at / span
            left = line * span + point - right
            moment = left * x - line * x**2 / 2 - point * np.maximum(x - at, 0.0)
            shear = max(left, right)
        else:
            free = span - x
            moment = line * free**2 / 2 + point * np.maximum(at - x, 0.0)
            shear = line * span + point
        found = forces(Loading(support, 3, span, line, point, at))
        assert found.moment_kn_m == pytest.approx(np.abs(moment).max(), rel=1e-6)
        assert found.shear_kn == pytest.approx(shear, rel=1e-12)


def test_sag_solves_the_differential_equation():
    """Deflection of a simple member under a spread load, and of a cantilever's tip, by integrating EI v'''' = w."""
    span, line, stiffness = 2.3, 1.7, 150.0

    def slope(_, v):
        return np.vstack([v[1], v[2], v[3], np.full_like(v[0], line / stiffness)])

    x = np.linspace(0.0, span, 41)
    simple = solve_bvp(slope, lambda a, b: np.array([a[0], a[2], b[0], b[2]]), x, np.zeros((4, x.size)), tol=1e-9)
    assert sag_m(Loading("simple", 3, span, line), stiffness) == pytest.approx(abs(simple.sol(span / 2)[0]), rel=1e-6)
    fixed = solve_bvp(slope, lambda a, b: np.array([a[0], a[1], b[2], b[3]]), x, np.zeros((4, x.size)), tol=1e-9)
    assert sag_m(Loading("cantilever", 3, span, line), stiffness) == pytest.approx(abs(fixed.sol(span)[0]), rel=1e-6)


def test_point_load_sag_is_reciprocal():
    """Maxwell: mid-span sag by a load at c equals sag at c by a load at mid-span (Macaulay's formula)."""
    span, stiffness, point = 3.0, 200.0, 4.0
    for at in (0.3, 0.9, 1.4):
        by_middle = point * at * (3 * span**2 - 4 * at**2) / (48 * stiffness)
        for place in (at, span - at):
            loading = Loading("simple", 3, span, 0.0, point, place)
            assert sag_m(loading, stiffness) == pytest.approx(by_middle, rel=1e-12)


@pytest.mark.parametrize("spans", [2, 3, 4])
def test_continuous_fractions_solve_the_three_moment_equations(spans):
    """Moments over supports by Clapeyron's equations give the tabulated moment, shear, reaction and sag."""
    inner = spans - 1
    matrix = 4.0 * np.eye(inner) + np.eye(inner, k=1) + np.eye(inner, k=-1)
    hogging = np.concatenate([[0.0], np.linalg.solve(matrix, np.full(inner, 0.5)), [0.0]])
    left = np.array([0.5 + hogging[i] - hogging[i + 1] for i in range(spans)])
    right = 1.0 - left
    x = np.linspace(0.0, 1.0, 4001)
    span_moments = [left[i] * x - x**2 / 2 - hogging[i] for i in range(spans)]
    moment = max(hogging.max(), *(m.max() for m in span_moments))
    reaction = max(left[0], right[-1], *(right[i] + left[i + 1] for i in range(inner)))
    sag = 0.0
    for bend in span_moments:
        turn = np.concatenate([[0.0], np.cumsum((bend[1:] + bend[:-1]) / 2)]) * (x[1] - x[0])
        drop = np.concatenate([[0.0], np.cumsum((turn[1:] + turn[:-1]) / 2)]) * (x[1] - x[0])
        sag = max(sag, np.abs(drop - drop[-1] * x).max())
    table = CONTINUOUS[spans]
    assert table[:3] == pytest.approx((moment, max(left.max(), right.max()), reaction), rel=1e-6)
    assert table[3] == pytest.approx(sag, rel=2e-5)


def test_member_kernel_meets_calculator():
    """Array kernels and the calculator give the same over random members, element by element."""
    n = 60
    span, width, depth = RNG.uniform(0.5, 4, n), RNG.uniform(0.05, 0.3, n), RNG.uniform(0.05, 0.3, n)
    line, point = RNG.uniform(0, 6, n), RNG.uniform(0, 6, n)
    at = RNG.uniform(0, 1, n) * span
    for support in ("simple", "cantilever"):
        many = forces(Loading(support, 3, span, line, point, at))
        sags = sag_m(Loading(support, 3, span, line, point, at), 9e6 * inertia_m4(width, depth))
        for i in range(n):
            one = member_check(
                span_m=span[i], width_m=width[i], depth_m=depth[i], support=support, line_load_kn_per_m=line[i],
                point_load_kn=point[i], point_at_m=at[i], modulus_mpa=9000.0,
            )  # fmt: skip
            assert one.moment_kn_m == pytest.approx(many.moment_kn_m[i], rel=1e-12)
            assert one.reaction_kn == pytest.approx(many.reaction_kn[i], rel=1e-12)
            assert one.deflection_m == pytest.approx(sags[i], rel=1e-12)
            assert one.bending_stress_mpa == pytest.approx(6 * many.moment_kn_m[i] / width[i] / depth[i] ** 2 / 1000)


def _face_moment(load: float, q: float, length: float, bent: float | None) -> float:
    """Moment a member holds at the shear plane: bearing one way next to it and, tilting, the other way beyond.

    A dowel that bends has its hinge where the bearing has taken up the load.
    """
    if bent is not None:
        return bent - load**2 / (2 * q)
    near = (length + load / q) / 2
    far = length - near
    return q * far * (near + far / 2) - q * near**2 / 2


def _mode_by_balance(mode: str, dowel: Dowel) -> float:
    """Yield load (kN) of a mode by halving intervals on the balance of moments over the gap."""
    d, lm, ls = 1000 * dowel.diameter_m, 1000 * dowel.main_length_m, 1000 * dowel.side_length_m
    qm, qs = dowel.main_bearing_mpa * d, dowel.side_bearing_mpa * d
    bent = dowel.yield_strength_mpa * d**3 / 6
    main, side = {"II": (None, None), "IIIm": (None, bent), "IIIs": (bent, None), "IV": (bent, bent)}[mode]

    def balance(load: float) -> float:
        held = _face_moment(load, qm, lm, main) + _face_moment(load, qs, ls, side)
        return held - load * 1000 * dowel.gap_m

    return brentq(balance, 0.0, 1e7, xtol=1e-9) / 1000


def _random_dowel() -> Dowel:
    return Dowel(
        RNG.uniform(0.003, 0.025), RNG.uniform(0.03, 0.2), RNG.uniform(0.02, 0.2), RNG.uniform(10, 60),
        RNG.uniform(10, 400), RNG.uniform(250, 700), RNG.choice([0.0, RNG.uniform(0, 0.02)]),
    )  # fmt: skip


def test_yield_modes_balance_moments():
    """Each yield mode equals the root of its own balance of moments, found without the published quadratic."""
    for _ in range(60):
        dowel = _random_dowel()
        modes = dict(zip(SINGLE, design_modes_kn(dowel, np.ones(6)), strict=True))
        for mode in ("II", "IIIm", "IIIs", "IV"):
            assert modes[mode] == pytest.approx(_mode_by_balance(mode, dowel), rel=1e-7)
        assert modes["Im"] == pytest.approx(dowel.diameter_m * dowel.main_length_m * dowel.main_bearing_mpa * 1000)


def test_european_modes_are_the_same_mechanics():
    """Johansen's equations are the American quadratics without a gap, times 1.05 (one hinge) and 1.15 (two)."""
    for _ in range(60):
        dowel = _random_dowel()
        bent = dowel.yield_strength_mpa * (1000 * dowel.diameter_m) ** 3 / 6e6
        plain = Dowel(
            dowel.diameter_m, dowel.main_length_m, dowel.side_length_m, dowel.main_bearing_mpa,
            dowel.side_bearing_mpa, dowel.yield_strength_mpa,
        )  # fmt: skip
        modes = dict(zip(SINGLE, design_modes_kn(plain, np.ones(6)), strict=True))
        fastener = Fastener(
            dowel.diameter_m, dowel.side_length_m, dowel.main_length_m, dowel.side_bearing_mpa,
            dowel.main_bearing_mpa, bent,
        )  # fmt: skip
        ours = johansen_kn(fastener)
        wanted = [modes["Is"], modes["Im"], modes["II"], 1.05 * modes["IIIs"], 1.05 * modes["IIIm"], 1.15 * modes["IV"]]
        # Modes d and e bend in the other member: d tilts in the side piece, e in the main one.
        assert ours == pytest.approx(np.array(wanted), rel=1e-9)


def test_double_shear_is_symmetric_single_shear():
    """A double joint: main bears over its length, the other modes count for both planes."""
    for _ in range(20):
        dowel = _random_dowel()
        terms = np.ones(6)
        single = dict(zip(SINGLE, design_modes_kn(dowel, terms), strict=True))
        double = dict(zip(DOUBLE, design_modes_kn(dowel, terms, "double"), strict=True))
        assert double["Im"] == single["Im"]
        for mode in ("Is", "IIIs", "IV"):
            assert double[mode] == pytest.approx(2 * single[mode], rel=1e-12)


def test_dowel_kernels_meet_calculators():
    """Arrays of dowels give what the calculators give one by one, in single and double shear, US and EU."""
    n = 30
    dowels = [_random_dowel() for _ in range(n)]
    many = Dowel(*(np.array([getattr(d, name) for d in dowels]) for name in Dowel.__dataclass_fields__))
    angle = RNG.uniform(0, 90, n)
    terms = reduction_terms(many.diameter_m, many.diameter_m, angle)
    for planes, modes in (("single", SINGLE), ("double", DOUBLE)):
        loads = design_modes_kn(many, terms, planes)
        for i, d in enumerate(dowels):
            one = dowel_yield(
                diameter_m=d.diameter_m, main_length_m=d.main_length_m, side_length_m=d.side_length_m,
                main_bearing_mpa=d.main_bearing_mpa, side_bearing_mpa=d.side_bearing_mpa,
                yield_strength_mpa=d.yield_strength_mpa, angle_deg=angle[i], gap_m=d.gap_m, planes=planes,
            )  # fmt: skip
            assert one.mode_kn == pytest.approx(loads[i].tolist(), rel=1e-12)
            assert one.design_kn == min(one.mode_kn) and one.modes == list(modes)


def test_reduction_follows_its_thresholds():
    """KD below a quarter inch nominal, KD Ktheta for a thin root of a thick screw, 4, 3.6 and 3.2 times Ktheta else."""
    inch = INCH_M
    assert reduction_terms(0.17 * inch, 0.17 * inch, 90.0).tolist() == [2.2] * 6
    assert reduction_terms(0.2 * inch, 0.2 * inch, 90.0) == pytest.approx([2.5] * 6)
    assert reduction_terms(0.2 * inch, 0.25 * inch, 90.0) == pytest.approx([2.5 * 1.25] * 6)
    assert reduction_terms(0.25 * inch, 0.25 * inch, 45.0) == pytest.approx([4.5, 4.5, 3.6 * 1.125, 3.6, 3.6, 3.6])


def test_bearing_at_an_angle_lies_between_its_ends():
    """Hankinson's value falls from the strength along the grain to that across it, and its ends are exact."""
    angles = np.linspace(0, 90, 91)
    for gravity, diameter in ((0.43, 0.0127), (0.55, 0.019)):
        p, q = bearing_parallel_mpa(gravity, diameter), bearing_perpendicular_mpa(gravity, diameter)
        at = at_angle(p, q, angles)
        assert at[0] == pytest.approx(p) and at[-1] == pytest.approx(q) and np.all(np.diff(at) < 0)
        for angle, value in zip(angles[::15], at[::15], strict=True):
            one = dowel_bearing(specific_gravity=gravity, diameter_m=diameter, angle_deg=float(angle))
            assert one.bearing_strength_mpa == pytest.approx(value, rel=1e-12)
    assert dowel_bearing(specific_gravity=0.5, diameter_m=0.00635).parallel_mpa == pytest.approx(5600 * 0.00689475729)


def test_size_factors_by_hand():
    """The first, a middle and the last row of each factor, on the limits themselves and just above."""
    inch = INCH_M
    sizes = np.array([3.5, 3.6, 3.61, 5.5, 11.25, 11.7])
    assert size_factor("4A", 1.5 * inch, sizes * inch).tolist() == [1.5, 1.5, 1.4, 1.3, 1.0, 0.9]
    assert size_factor("4A", 3.5 * inch, sizes * inch).tolist() == [1.5, 1.5, 1.4, 1.3, 1.1, 1.0]
    assert size_factor("4B", 3.5 * inch, np.array([5.5, 7.25, 11.25, 13.25]) * inch).tolist() == [1.0, 1.1, 1.1, 0.9]
    assert size_factor("4A", 3.0 * inch, 11.25 * inch) == 1.0  # sawn full, it stays in the column of 2 and 3 in
    assert size_factor("4B", 3.0 * inch, 7.25 * inch) == 1.0
    assert size_factor("4D", 5.5 * inch, 12 * inch) == 1.0
    assert size_factor("4D", 5.5 * inch, 24 * inch) == pytest.approx(0.5 ** (1 / 9))
    assert flat_use_factor(np.array([2.5, 3.5, 5.5, 7.25, 9.25]) * inch, 1.5 * inch).tolist() == [
        1.0, 1.1, 1.15, 1.15, 1.2,
    ]  # fmt: skip
    assert flat_use_factor(3.5 * inch, np.array([3.5, 5.5, 9.25]) * inch).tolist() == [1.0, 1.05, 1.1]
    assert float(bearing_factor(4 * inch)) == pytest.approx(4.375 / 4) and float(bearing_factor(6 * inch)) == 1.0
    assert temperature_factors(37.8, True).tolist() == [1.0, 1.0, 1.0, 1.0]
    assert temperature_factors(51.7, True).tolist() == [0.7, 0.7, 0.7, 0.9]
    assert temperature_factors(65.6, False).tolist() == [0.7, 0.7, 0.7, 0.9]


def test_us_strength_is_the_product_of_its_factors():
    """Allowable values equal reference values times the factors reported, for every table, wet and incised or not."""
    for table, width, depth in (("4A", 0.0381, 0.18415), ("4B", 0.0889, 0.23495), ("4D", 0.1397, 0.3429)):
        for wet in (True, False):
            for incised in (True, False):
                one = adjusted_strength_us(
                    table=table, bending_mpa=9.0, shear_mpa=1.1, bearing_mpa=3.0, modulus_mpa=9000.0, width_m=width,
                    depth_m=depth, wet=wet, incised=incised, load_duration="ten_minutes", temperature_c=45.0,
                )  # fmt: skip
                warm = temperature_factors(45.0, wet)
                cm, ci = one.wet_factors, one.incising_factors
                assert one.bending_mpa == pytest.approx(9.0 * 1.6 * cm[0] * ci[0] * warm[0] * one.size_factor)
                assert one.shear_mpa == pytest.approx(1.1 * 1.6 * cm[1] * ci[1] * warm[1])
                assert one.bearing_mpa == pytest.approx(3.0 * cm[2] * ci[2] * warm[2])
                assert one.modulus_mpa == pytest.approx(9000.0 * cm[3] * ci[3] * warm[3])
                assert ci == ([0.8, 0.8, 1.0, 0.95] if incised and table != "4D" else [1.0] * 4)
                kernel = wet_factors(table, np.array([9.0]), one.size_factor)[0].tolist() if wet else [1.0] * 4
                assert cm == kernel


def test_lower_grades_are_weaker():
    """In every class of every species bending strength and modulus never rise from a better to a lower grade."""
    order = ("select_structural", "no1", "no2")
    classes = {
        "douglas_fir_larch": ("posts_timbers", "beams_stringers", "dimension"),
        "hem_fir": ("posts_timbers", "dimension"),
        "spruce_pine_fir": ("dimension",), "southern_pine": ("timber",),
    }  # fmt: skip
    for species, held in classes.items():
        for size_class in held:
            grades = order[1:] if size_class == "beams_stringers" else order
            found = [reference_strength_us(species=species, size_class=size_class, grade=grade) for grade in grades]
            for better, lower in pairwise(found):
                assert better.bending_mpa >= lower.bending_mpa and better.modulus_mpa >= lower.modulus_mpa
            assert all(one.modulus_min_mpa < one.modulus_mpa for one in found)


def test_eu_strength_kernel_and_monotony():
    """Depth factor kernel equals the calculator's; longer loads and wetter places never raise a strength."""
    depths = np.array([0.02, 0.035, 0.1, 0.149, 0.15, 0.3])
    factors = depth_factor(depths)
    durations = ("permanent", "long", "medium", "short", "instantaneous")
    for depth, factor in zip(depths, factors, strict=True):
        one = adjusted_strength_eu(strength_class="C24", depth_m=float(depth))
        assert one.depth_factor == pytest.approx(float(factor), rel=1e-12)
    for service in (1, 2, 3):
        bending = [
            adjusted_strength_eu(strength_class="C24", depth_m=0.2, load_duration=d, service_class=service).bending_mpa
            for d in durations
        ]
        assert bending == sorted(bending)
    assert factors[0] == 1.3 and factors[-1] == 1.0


def test_notch_limits():
    """A notch that vanishes leaves the whole strength; deeper notches, and corners farther out, never carry more."""
    depth = 0.2
    notches = np.linspace(1e-6, 0.19, 60)
    tension = us_shear_depth_m(depth, notches, "tension", 0.0)
    assert tension[0] == pytest.approx(depth, rel=1e-4) and np.all(np.diff(tension) < 0)
    long = us_shear_depth_m(depth, notches, "compression", 10.0)
    assert long == pytest.approx(depth - notches)
    assert us_shear_depth_m(depth, notches, "compression", 0.0) == pytest.approx(np.full(60, depth))
    deep = eu_notch_factor(depth, np.linspace(0.05, 0.19, 30))
    assert np.all(np.diff(deep * (depth - np.linspace(0.05, 0.19, 30))) < 0)
    assert np.all(np.diff(eu_notch_factor(depth, 0.05, np.linspace(0, 0.2, 20))) <= 0)
    assert np.all(np.diff(eu_notch_factor(depth, 0.05, 0.0, np.linspace(0, 4, 20))) >= 0)
    for notch, carrying in zip(notches[::10], tension[::10], strict=True):
        one = notch_shear(practice="us", width_m=0.1, depth_m=depth, notch_depth_m=float(notch), shear_strength_mpa=1.2)
        assert one.capacity_kn == pytest.approx(1000 * 1.2 * 0.1 * carrying / 1.5, rel=1e-12)
        assert one.end_notch_allowed is bool(notch <= 0.05)


def test_spacing_meets_at_its_limits():
    """Row spacing across the grain is continuous at l/D of 2 and 6 and never falls as the fastener grows longer."""
    ratios = np.linspace(0.5, 9, 300)
    rows = rows_across_m(0.0127, ratios * 0.0127) / 0.0127
    assert rows[0] == 2.5 and rows[-1] == 5.0 and np.all(np.diff(rows) >= 0) and np.abs(np.diff(rows)).max() < 0.05
    assert float(rows_across_m(0.0127, 4 * 0.0127)) == pytest.approx(30 / 8 * 0.0127)
    eu = [
        fastener_distances(practice="eu", diameter_m=0.012, angle_deg=float(a), end_loaded=False)
        for a in range(0, 91, 5)
    ]
    assert [one.end_m for one in eu] == sorted(one.end_m for one in eu)
    assert [one.in_row_m for one in eu] == sorted((one.in_row_m for one in eu), reverse=True)


def test_withdrawal_kernel_and_powers():
    """Withdrawal grows with its powers of gravity and diameter, and the kernel equals the calculator."""
    powers = {"nail": (2.5, 1.0), "spike": (2.5, 1.0), "wood_screw": (2.0, 1.0), "lag_screw": (1.5, 0.75)}
    for kind, (gravity, diameter) in powers.items():
        base = withdrawal_kn_per_m(kind, 0.4, 0.005)
        assert withdrawal_kn_per_m(kind, 0.8, 0.005) / base == pytest.approx(2**gravity)
        assert withdrawal_kn_per_m(kind, 0.4, 0.01) / base == pytest.approx(2**diameter)
        one = withdrawal(kind=kind, specific_gravity=0.4, diameter_m=0.005, penetration_m=0.05)
        assert one.design_kn == pytest.approx(0.05 * float(base), rel=1e-12)


def test_embedment_and_joint():
    """EU embedment falls with diameter and angle; a joint's capacity is proportional to its count and its factors."""
    d = np.linspace(0.006, 0.03, 20)
    assert np.all(np.diff(embedment_strength_mpa("bolt", 350.0, d)) < 0)
    angles = embedment_strength_mpa("bolt", 350.0, 0.012, np.linspace(0, 90, 10))
    assert np.all(np.diff(angles) < 0)
    one = embedment_eu(density_kg_m3=350.0, diameter_m=0.012, kind="bolt", angle_deg=90.0)
    assert one.embedment_mpa == pytest.approx(float(angles[-1]), rel=1e-12)
    joints = [connection_us(each_kn=1.5, count=n, diameter_m=0.0127, load_kn=1.0) for n in (1, 2, 4)]
    assert joints[2].capacity_kn == pytest.approx(4 * joints[0].capacity_kn)
    assert joints[0].capacity_kn == pytest.approx(1.5 * 0.9 * 0.7)
    assert joints[1].ratio == pytest.approx(1.0 / joints[1].capacity_kn)


def test_rope_part_is_the_lesser():
    """The rope part is a quarter of the withdrawal or the share of the mode, whichever is less; never on modes a, b."""
    given = {
        "diameter_m": 0.008, "side_m": 0.06, "main_m": 0.08, "side_embedment_mpa": 20.0, "main_embedment_mpa": 15.0,
        "yield_moment_kn_m": 0.04,
    }  # fmt: skip
    plain = dowel_yield_eu(**given).mode_kn
    for pull, limit in ((1.0, 25.0), (50.0, 25.0), (1.0, 0.0)):
        roped = dowel_yield_eu(**given, withdrawal_kn=pull, rope_limit_pct=limit).mode_kn
        added = [a - b for a, b in zip(roped, plain, strict=True)]
        assert added[:2] == [0.0, 0.0]
        assert added[2:] == pytest.approx([min(pull / 4, limit / 100 * b) for b in plain[2:]])


def test_sizes_of_timbers_shrink_less_than_an_inch():
    """Every dressed size is below its nominal by a quarter to one inch, rough sizes not at all."""
    for thickness in range(1, 25):
        for width in range(thickness, 25):
            dry = timber_size(nominal_thickness_in=thickness, nominal_width_in=width)
            off = [(thickness - dry.thickness_m / INCH_M), (width - dry.width_m / INCH_M)]
            assert all(0.25 - 1e-9 <= part <= 1.0 + 1e-9 for part in off)
            rough = timber_size(nominal_thickness_in=thickness, nominal_width_in=width, condition="rough")
            assert isclose(rough.area_m2, thickness * width * INCH_M**2, rel_tol=1e-12)
            assert rough.section_modulus_m3 > dry.section_modulus_m3
