"""Corners, pins, courses, weight and shrinkage: by plane and solid geometry, and kernels against calculators."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from lynchet.timber.corner_cuts import butt_m, corner_pieces, mitre_angles_deg, mitre_short_m, through_m
from lynchet.timber.coursing import course_count, wall_courses
from lynchet.timber.exposure import timber_exposure
from lynchet.timber.pins import pin_count, pin_layout, pin_positions_m
from lynchet.timber.shrinkage import lumber_shrunk_pct, timber_shrinkage
from lynchet.timber.weight import specific_gravity_now, timber_weight

RNG = np.random.default_rng(21)


def _half_plane(point, normal) -> Polygon:
    """A large square on the side of a line that its normal points away from."""
    along = np.array([-normal[1], normal[0]])
    corners = [
        point + 99 * along,
        point - 99 * along,
        point - 99 * along - 99 * normal,
        point + 99 * along - 99 * normal,
    ]
    return Polygon(corners)


def _lengths_by_clipping(length, width, other_width, angle_deg):
    """Longest dimensions along wall 1 of its through and butt pieces: its strip cut by wall 2's face lines.

    Outside face of wall 1 along -x, corner at the origin, the inside of the walls below; wall 2 leaves the corner
    under the angle inside it.
    """
    turn = np.radians(180.0 - angle_deg)
    away = np.array([np.cos(turn), -np.sin(turn)])  # along wall 2, away from the corner
    out = np.array([np.sin(turn), np.cos(turn)])  # outward normal of wall 2's outside face
    strip = box(-length, -width, 50.0, 0.0)
    through = strip.intersection(_half_plane(np.zeros(2), out))
    butt = strip.intersection(_half_plane(-other_width * out, out))
    assert abs(away @ out) < 1e-12
    return [part.bounds[2] - part.bounds[0] for part in (through, butt)]


def test_lapped_corner_by_clipping():
    """Through and butt lengths equal those of the timber's strip clipped by the other wall's face lines."""
    for _ in range(60):
        angle, length = RNG.uniform(30, 170), RNG.uniform(2, 6)
        width, other = RNG.uniform(0.08, 0.25, 2)
        through, butt = _lengths_by_clipping(length, width, other, angle)
        assert float(through_m(length, width, angle)) == pytest.approx(through, abs=1e-9)
        assert float(butt_m(length, width, other, angle)) == pytest.approx(butt, abs=1e-9)


def test_mitre_angles_by_cross_products():
    """Bed, face and blade angles equal those between the mitre plane and the faces of the tilted timber."""
    for _ in range(60):
        angle, lean, width, length = RNG.uniform(40, 170), RNG.uniform(0, 20), 0.14, 3.0
        plan, tilt = np.radians(90 - angle / 2), np.radians(lean)
        axis = np.array([1.0, 0.0, 0.0])
        bed_normal = np.array([0.0, np.sin(tilt), np.cos(tilt)])
        face_normal = np.array([0.0, np.cos(tilt), -np.sin(tilt)])
        cut_normal = np.array([np.cos(plan), np.sin(plan), 0.0])  # vertical plane through the corner
        angles = []
        for face in (bed_normal, face_normal):
            line, square = np.cross(cut_normal, face), np.cross(axis, face)
            cosine = abs(line @ square) / np.linalg.norm(line) / np.linalg.norm(square)
            angles.append(np.degrees(np.arccos(min(cosine, 1.0))))
        bevel = np.degrees(np.arcsin(abs(cut_normal @ bed_normal)))
        ours = mitre_angles_deg(angle, lean)
        assert [float(one) for one in ours] == pytest.approx([*angles, bevel], abs=1e-6)
        done = corner_pieces(
            length_1_m=length, length_2_m=length, width_1_m=width, width_2_m=width, angle_deg=angle, joint="mitre",
            lean_deg=lean,
        )  # fmt: skip
        assert done.bevel_deg == pytest.approx(bevel, abs=1e-6)
        assert done.short_1_m == pytest.approx(float(mitre_short_m(length, width, angle)))
        assert length - done.short_1_m == pytest.approx(width * np.tan(np.radians(90 - angle / 2)), rel=1e-9)


def test_pins_keep_their_rules():
    """Pins never stand farther apart than the spacing, nor nearer than the least gap, nor outside the end distance."""
    lengths = RNG.uniform(0.2, 6.0, 200)
    for spacing, end, gap in ((1.2, 0.3, 0.1), (0.9, 0.15, 0.05), (1.5, 0.3, 0.0)):
        counts = pin_count(lengths, spacing, end, gap)
        done = pin_layout(
            piece_lengths_m=lengths.tolist(),
            spacing_m=spacing,
            end_distance_m=end,
            timber_height_m=0.14,
            least_gap_m=gap,
        )
        assert done.counts == [int(n) for n in counts] and done.count == sum(done.counts)
        for length, places in zip(lengths, done.positions_m, strict=True):
            assert places == pin_positions_m(length, len(places), end)
            steps = np.diff(places)
            if len(places) == 1:
                assert places[0] == pytest.approx(length / 2) and length - 2 * end < max(gap, 1e-9)
            else:
                assert steps.max() <= spacing + 1e-9 and steps.min() >= gap - 1e-9
                assert places[0] == pytest.approx(end) and places[-1] == pytest.approx(length - end)
                fewer = (length - 2 * end) / (len(places) - 2) if len(places) > 2 else np.inf
                assert fewer > spacing - 1e-9


def test_courses_reach_the_height_and_not_one_more():
    """n courses reach the height asked for, n - 1 do not; whole multiples make no extra course."""
    for _ in range(200):
        height, retained = RNG.uniform(0.08, 0.25), RNG.uniform(0.1, 2.0)
        done = wall_courses(retained_height_m=retained, timber_height_m=height, embedment_m=0.1, setback_m=0.01)
        needed = retained + 0.1
        assert done.courses * height >= needed - 1e-9 > (done.courses - 1) * height - 2e-9
        assert done.wall_height_m == pytest.approx(needed + done.surplus_m)
        assert done.courses == int(course_count(needed, height))
    tenths = np.arange(1, 40) * 0.1
    assert course_count(tenths, 0.1).tolist() == list(range(1, 40))


def test_green_and_ovendry_bases_agree_at_the_fibre_saturation_point():
    """The same wood described by either basis weighs the same; density rises with moisture."""
    moisture = np.linspace(0, 80, 33)
    for gravity in (0.3, 0.45, 0.6):
        green = gravity / (1 + 0.009 * gravity * 30)  # ovendry mass over the green volume
        ovendry = specific_gravity_now(gravity, moisture, "ovendry")
        assert np.all(np.diff(ovendry) <= 0) and ovendry[-1] == pytest.approx(green)
        assert specific_gravity_now(green, 30.0, "green") == pytest.approx(green)
        for at, value in zip(moisture[::8], ovendry[::8], strict=True):
            one = timber_weight(specific_gravity=gravity, moisture_pct=float(at), basis="ovendry")
            assert one.specific_gravity_now == pytest.approx(float(value), rel=1e-12)
            assert one.density_kg_m3 == pytest.approx(1000 * float(value) * (1 + at / 100))


def test_green_wood_is_heavier_for_its_size_as_it_dries():
    """A piece of 1 litre when green loses 26.5 x gravity percent of it on the way from 30 % moisture to none, evenly
    (Wood Handbook 2021, Eq. 4-9): its ovendry mass over what is left of the litre."""
    for gravity in (0.32, 0.5, 0.68):
        for moisture, way in ((0.0, 1.0), (6.0, 0.8), (12.0, 0.6), (19.0, 11 / 30), (30.0, 0.0), (45.0, 0.0)):
            left = 1.0 - way * 26.5 * gravity / 100.0
            assert float(specific_gravity_now(gravity, moisture, "green")) == pytest.approx(gravity / left, rel=1e-12)
            done = timber_weight(specific_gravity=gravity, moisture_pct=moisture, basis="green")
            assert done.density_kg_m3 == pytest.approx(1000.0 * gravity / left * (1.0 + moisture / 100.0))


def test_shrinkage_there_and_back():
    """Drying and wetting again gives the first size back, by every method; above saturation nothing moves."""
    for method, extra in (
        ("total", {"total_pct": 7.6}), ("lumber", {"face": "width"}), ("lumber", {"face": "thickness"}),
    ):  # fmt: skip
        dry = timber_shrinkage(size_m=0.14, from_moisture_pct=27.0, to_moisture_pct=9.0, method=method, **extra)
        back = timber_shrinkage(size_m=dry.size_m, from_moisture_pct=9.0, to_moisture_pct=27.0, method=method, **extra)
        assert dry.change_m < 0 < back.change_m and back.size_m == pytest.approx(0.14, rel=1e-12)
        wet = timber_shrinkage(size_m=0.14, from_moisture_pct=60.0, to_moisture_pct=31.0, method=method, **extra)
        assert wet.change_m == 0.0
    assert lumber_shrunk_pct(np.array([0.0, 15.0, 40.0]), "width").tolist() == pytest.approx([6.031, 2.806, 0.0])


def test_worse_places_ask_for_more():
    """Use class and service class never fall from cover to salt water; untreated wood is refused in wet places."""
    places = ("under_cover", "above_ground", "ground", "fresh_water", "salt_water")
    found = [timber_exposure(place=place) for place in places]
    assert [one.use_class for one in found] == sorted(one.use_class for one in found)
    assert [one.service_class for one in found] == [2, 3, 3, 3, 3]
    for place in places[2:]:
        with pytest.raises(ValueError, match="treatment"):
            timber_exposure(place=place, treatment="none")
