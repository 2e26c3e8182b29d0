"""Laws of plant counts, cover, mixes, soil, mulch and water."""

import numpy as np
import pytest
from shapely.affinity import rotate
from shapely.geometry import Point, Polygon
from shapely.prepared import prep

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.planting.bed_soil import loose_order, mulch_cover, soil_fill
from lynchet.planting.cover import bed_mix, canopy_cover, cover_fraction, full_cover_spread
from lynchet.planting.light import light_class, light_index, shadow_length, square_to_wall, wall_shadow
from lynchet.planting.plant_counts import lattice_points, plant_count, row_spacing
from lynchet.planting.watering import establishment_watering, net_depth, water_volume, watering_volume


def refused(function, given, word):
    """The call is refused with a text that holds the word."""
    with pytest.raises(InputError) as error:
        call(function, given)
    assert word in str(error.value).lower(), str(error.value)


def corners(ring):
    """Rows of corners."""
    return [{"x_m": float(x), "y_m": float(y)} for x, y in ring]


def test_rectangle_formula():
    """Rows in a rectangle: floor((L - 2e)/s) + 1 by floor((W - 2e)/r) + 1, shifted rows shorter where they must."""
    rng = np.random.default_rng(1)
    for _ in range(60):
        length, width = rng.integers(3, 40, 2) / 10
        s, e = rng.integers(2, 8) / 10, rng.integers(0, 3) / 10
        for pattern in ("square", "triangular"):
            r = row_spacing(s, pattern)
            along = int(np.floor((length - 2 * e) / s + 1e-7)) + 1 if length - 2 * e > -1e-9 else 0
            shifted = int(np.floor((length - 2 * e - s / 2) / s + 1e-7)) + 1 if length - 2 * e - s / 2 > -1e-9 else 0
            rows = int(np.floor((width - 2 * e) / r + 1e-7)) + 1 if width - 2 * e > -1e-9 else 0
            wanted = rows * along
            if pattern == "triangular":
                wanted = (rows + 1) // 2 * along + rows // 2 * shifted
            given = {"length_m": float(length), "width_m": float(width), "spacing_m": float(s), "pattern": pattern,
                     "edge_clearance_m": float(e)}  # fmt: skip
            got = call(plant_count, given)
            assert got.count_lattice == max(wanted, 0), given
            assert got.count_by_area == pytest.approx(length * width / (s * r))
            assert got.order_by_area >= got.count_by_area - 1e-6


def test_places_by_a_geometry_library():
    """In random outlines the places are those a geometry library keeps: inside, and clear of every side."""
    rng = np.random.default_rng(2)
    for _ in range(10):
        angle = np.sort(rng.uniform(0, 2 * np.pi, int(rng.integers(4, 9))))
        ring = np.stack([np.cos(angle), np.sin(angle)], axis=1) * rng.uniform(1, 3.5, (len(angle), 1)) + [50, -20]
        shape = Polygon(ring)
        if not shape.is_valid or not shape.exterior.is_ccw:
            continue
        s, e, pattern = rng.uniform(0.3, 0.6), rng.uniform(0, 0.3), str(rng.choice(["square", "triangular"]))
        sides = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
        start, end = ring[np.argmax(sides)], ring[(np.argmax(sides) + 1) % len(ring)]
        u = (end - start) / np.hypot(*(end - start))
        v = np.array([-u[1], u[0]])
        test, count = prep(shape), 0
        for k in range(-25, 40):
            for j in range(-25, 40):
                shift = s / 2 if pattern == "triangular" and k % 2 else 0.0
                p = Point(start + (e + j * s + shift) * u + (e + k * row_spacing(s, pattern)) * v)
                count += test.contains(p) and shape.exterior.distance(p) >= e - 1e-9
        got = call(plant_count, {"vertices": corners(ring), "spacing_m": s, "pattern": pattern, "edge_clearance_m": e})
        assert got.count_lattice == count
        assert got.count_by_area == pytest.approx(shape.area / (s * row_spacing(s, pattern)))
        places = np.concatenate(lattice_points(ring, s, pattern, e))
        assert len(places) == count
        assert all(shape.buffer(1e-9).contains(Point(p)) for p in places)


def test_turning_order_and_place_do_not_matter():
    """First corner, turning, shift and (with one longest side) a turn of the page leave the count as it is."""
    ring = [(0, 0), (7, 0), (6, 2.5), (3.5, 2.5), (3, 4), (0, 3)]
    common = {"spacing_m": 0.43, "pattern": "triangular", "edge_clearance_m": 0.21}
    base = call(plant_count, {**common, "vertices": corners(ring)}).count_lattice
    for start in range(6):
        for turn in (1, -1):
            other = np.array((ring[start:] + ring[:start])[::turn]) + np.array([1000.0, 2000.0])
            assert call(plant_count, {**common, "vertices": corners(other)}).count_lattice == base
    turned = rotate(Polygon(ring), 33.0, origin=(0, 0)).exterior.coords[:-1]
    assert call(plant_count, {**common, "vertices": corners(turned)}).count_lattice == base


def test_points_on_the_edge_count():
    """Without clearance, places on the outline count, corners too, whatever binary fractions do."""
    got = call(plant_count, {"length_m": 0.9, "width_m": 0.6, "spacing_m": 0.3, "pattern": "square"})
    assert got.count_lattice == 12
    assert got.order_by_area == 6
    none = call(
        plant_count, {"length_m": 0.9, "width_m": 0.6, "spacing_m": 0.3, "pattern": "square", "edge_clearance_m": 0.4}
    )
    assert none.count_lattice == 0
    assert call(plant_count, {"area_m2": 1.0, "spacing_m": 0.3, "pattern": "square"}).count_lattice is None


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"area_m2": 2.0, "pattern": "hexagon"}, "pattern"), ({"area_m2": 2.0, "spacing_m": 51.0}, "spacing"),
        ({}, "area"), ({"area_m2": 2.0, "length_m": 1.0, "width_m": 1.0}, "area"), ({"width_m": 1.0}, "area"),
        ({"area_m2": 2.0, "width_m": 1.0}, "area"), ({"area_m2": 0.0}, "area"),
        ({"vertices": corners([(0, 0), (1, 0)])}, "vertices"),
        ({"vertices": corners([(0, 0), (1, 0), (2, 0)])}, "vertices"),
        ({"vertices": corners([(0, 0), (2, 2), (2, 0), (0, 2)])}, "vertices"),
        ({"vertices": corners([(0, 0), (2, 0), (2, 0), (0, 2)])}, "vertices"),
        ({"vertices": corners([(0, 0), (4, 0), (4, 3), (4, 1)])}, "vertices"),
        ({"area_m2": 2.0, "edge_clearance_m": -0.1}, "edge_clearance_m"),
    ],
)  # fmt: skip
def test_count_refusals(given, word):
    """A bed that has no shape, or more than one, is refused by its word."""
    refused(plant_count, {"spacing_m": 0.3, "pattern": "square", **given}, word)


def test_cover_by_counting_points():
    """Share under overlapping discs by counting points of one cell, below, at and above full cover; kernel agrees."""
    rng = np.random.default_rng(3)
    for pattern in ("square", "triangular"):
        for ratio in (0.4, 0.99, 1.0, 1.07, 1.12, 1.154, 1.16, 1.3, 1.42, 2.0):
            s = rng.uniform(0.2, 2)
            r = row_spacing(s, pattern)
            x, y = np.meshgrid((np.arange(200) + 0.5) / 200 * s, (np.arange(200) + 0.5) / 200 * 2 * r)
            centres = [
                (i * s + (s / 2 if pattern == "triangular" and k % 2 else 0), k * r)
                for i in range(-3, 5)
                for k in range(-3, 6)
            ]
            under = np.zeros(x.shape, dtype=bool)
            for cx, cy in centres:
                under |= np.hypot(x - cx, y - cy) <= ratio * s / 2
            got = call(canopy_cover, {"spread_m": ratio * s, "spacing_m": s, "pattern": pattern})
            assert got.cover_fraction == pytest.approx(under.mean(), abs=4e-3)
            assert got.cover_fraction == float(cover_fraction(ratio * s, s, pattern))
            assert (got.cover_fraction == 1.0) == (ratio * s >= full_cover_spread(s, pattern))
    assert cover_fraction([0.3, 0.6], 0.5, "square").shape == (2,)


def test_mix_is_made_of_its_parts():
    """Shares add up, each species is the area rule on its part, and one species alone is canopy_cover."""
    rows = [
        {"name": "a", "share": 2.0, "spacing_m": 0.3, "pattern": "square", "spread_m": 0.35},
        {"name": "b", "share": 5.0, "spacing_m": 0.5, "pattern": "triangular", "spread_m": 0.4},
        {"name": "c", "share": 0.0, "spacing_m": 1.0, "pattern": "square", "spread_m": 1.0},
    ]
    got = call(bed_mix, {"area_m2": 9.0, "species": rows})
    assert sum(got.share_pct) == pytest.approx(100)
    assert sum(got.species_area_m2) == pytest.approx(9)
    for row, area, count in zip(rows[:2], got.species_area_m2, got.count_by_area, strict=False):
        alone = call(plant_count, {"area_m2": area, "spacing_m": row["spacing_m"], "pattern": row["pattern"]})
        assert count == pytest.approx(alone.count_by_area)
    assert got.count[2] == 0
    one = call(bed_mix, {"area_m2": 9.0, "species": rows[:1]})
    assert one.cover_fraction == pytest.approx(float(cover_fraction(0.35, 0.3, "square")))
    assert one.fill_fraction == pytest.approx(1.0)
    half = call(bed_mix, {"area_m2": 1.125, "species": [{**rows[0], "spacing_m": 0.5, "share": 1.0}]})
    assert (half.count_by_area, half.count) == ([4.5], [5])


@pytest.mark.parametrize(
    ("changes", "word"),
    [
        ({"name": ""}, "name"), ({"spacing_m": 0.0}, "spacing"), ({"spread_m": 51.0}, "spread"),
        ({"pattern": "rows"}, "pattern"), ({"share": float("nan")}, "share"), ({"colour": "red"}, "colour"),
    ],
)  # fmt: skip
def test_mix_refusals(changes, word):
    """A species that cannot be set out is refused by its word."""
    row = {"name": "a", "share": 2.0, "spacing_m": 0.3, "pattern": "square", "spread_m": 0.35}
    refused(bed_mix, {"area_m2": 9.0, "species": [row, {**row, "name": "b", **changes}]}, word)
    refused(bed_mix, {"area_m2": 0.0, "species": [row]}, "area")


def test_soil_settles_to_the_bed():
    """The order less its settlement is the bed; materials add up to the order."""
    rng = np.random.default_rng(4)
    for _ in range(20):
        volume, settle, parts = rng.uniform(0.1, 9), rng.uniform(0, 49.9), rng.uniform(0, 5, 3)
        rows = [{"material": str(i), "parts": float(v)} for i, v in enumerate(parts)]
        got = call(soil_fill, {"volume_m3": volume, "settlement_pct": settle, "parts": rows})
        assert got.order_m3 * (1 - settle / 100) == pytest.approx(volume)
        assert sum(got.material_m3) == pytest.approx(got.order_m3)
        assert np.array(got.share_pct) / 100 == pytest.approx(parts / parts.sum())
        assert float(loose_order(volume, settle)) == got.order_m3
    default = call(soil_fill, {"length_m": 2.0, "width_m": 1.0, "depth_m": 0.45, "parts": rows})
    assert default.order_m3 == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"settlement_pct": 50.0}, "settlement"), ({"settlement_pct": -1.0}, "settlement"), ({"parts": []}, "parts"),
        ({"volume_m3": None}, "volume"), ({"depth_m": 0.3}, "volume"), ({"volume_m3": 0.0}, "volume"),
        ({"volume_m3": None, "length_m": 1.0, "width_m": 2.0}, "volume"),
        ({"length_m": 1.0, "width_m": 2.0, "depth_m": 1.0}, "volume"),
    ],
)  # fmt: skip
def test_soil_refusals(given, word):
    """Soil for no bed, or of nothing, is refused by its word."""
    whole = {"volume_m3": 2.0, "parts": [{"material": "topsoil", "parts": 1.0}], **given}
    refused(soil_fill, {key: value for key, value in whole.items() if value is not None}, word)


def test_mulch_round_trip():
    """The volume for an area covers that area again, on any slope; the limit of depth includes itself."""
    rng = np.random.default_rng(5)
    for _ in range(20):
        area, depth, there, slope = rng.uniform(1, 50), rng.uniform(40, 120), rng.uniform(0, 39), rng.uniform(0, 200)
        common = {"depth_mm": depth, "existing_mm": there, "slope_pct": slope}
        one = call(mulch_cover, {**common, "area_m2": area})
        two = call(mulch_cover, {**common, "volume_m3": one.volume_m3})
        assert (two.plan_area_m2, two.surface_area_m2) == pytest.approx((area, one.surface_area_m2))
        assert one.surface_area_m2 == pytest.approx(area * np.hypot(1, slope / 100))
    assert call(mulch_cover, {"depth_mm": 101.6, "area_m2": 1.0}).too_deep is False
    assert call(mulch_cover, {"depth_mm": 101.7, "area_m2": 1.0}).too_deep is True
    refused(mulch_cover, {"depth_mm": 50.0}, "area")
    refused(mulch_cover, {"depth_mm": 50.0, "area_m2": 1.0, "volume_m3": 1.0}, "area")
    refused(mulch_cover, {"depth_mm": 50.0, "existing_mm": 50.0, "volume_m3": 1.0}, "depth")
    refused(mulch_cover, {"depth_mm": 50.0, "area_m2": 1.0, "slope_pct": 201.0}, "slope_pct")


def test_water_adds_up():
    """Water sent times efficiency is the depth on the area; rain and watering give the depth; flow times time."""
    rng = np.random.default_rng(6)
    for _ in range(20):
        area, depth, share, rain, flow = rng.uniform((1, 5, 0.3, 0, 0.05), (60, 50, 1, 30, 1))
        got = call(
            watering_volume,
            {"area_m2": area, "depth_mm": depth, "efficiency": share, "rain_mm": rain, "flow_l_s": flow},
        )
        assert got.net_depth_mm + min(rain, depth) == pytest.approx(depth)
        assert got.volume_m3 * share == pytest.approx(area * got.net_depth_mm / 1000)
        assert got.run_time_min * 60 * flow / 1000 == pytest.approx(got.volume_m3)
        assert float(water_volume(area, net_depth(depth, rain), share)) == got.volume_m3
    assert call(watering_volume, {"area_m2": 1.0, "depth_mm": 5.0}).run_time_min is None
    for key, value, word in (("efficiency", 0.0, "efficiency"), ("area_m2", 0.0, "area"), ("depth_mm", -1.0, "depth"),
                             ("flow_l_s", 0.0, "flow"), ("rain_mm", -1.0, "rain_mm")):  # fmt: skip
        refused(watering_volume, {"area_m2": 1.0, "depth_mm": 5.0, key: value}, word)


def test_establishment():
    """Totals are waterings times plants; both faults of measure are named at once."""
    got = call(establishment_watering, {"kind": "shrub", "container_m3": 0.012, "plant_count": 4.0})
    assert (got.waterings_low, got.waterings_high) == (37, 49)
    assert got.total_low_m3 == pytest.approx(0.003 * 37 * 4)
    assert got.total_high_m3 == pytest.approx(0.004 * 49 * 4)
    for given, words in (({"kind": "tree", "container_m3": 0.01}, ("caliper", "container")),
                         ({"kind": "shrub"}, ("container",)), ({"kind": "herb"}, ("kind",)),
                         ({"kind": "tree", "caliper_mm": 25.0, "container_m3": 0.01}, ("container",)),
                         ({"kind": "tree", "caliper_mm": 9.0}, ("caliper",)),
                         ({"kind": "shrub", "container_m3": 0.51}, ("container",)),
                         ({"kind": "shrub", "container_m3": 0.1, "plant_count": 0}, ("plant_count",))):  # fmt: skip
        for word in words:
            refused(establishment_watering, given, word)


def test_shadow_as_a_vector():
    """The shadow's end is the foot of the top less the sun's way; its depth is the cross product with the wall."""
    rng = np.random.default_rng(7)
    height, altitude = rng.uniform(0, 9, 40), rng.uniform(1, 89, 40)
    azimuth, bearing = rng.uniform(0, 360, (2, 40))
    lengths = shadow_length(height, altitude)
    depths = square_to_wall(lengths, azimuth, bearing)
    for i in range(40):
        given = {"height_m": height[i], "sun_altitude_deg": altitude[i], "sun_azimuth_deg": azimuth[i],
                 "wall_bearing_deg": bearing[i]}  # fmt: skip
        got = call(wall_shadow, given)
        a, z, b = np.radians([altitude[i], azimuth[i], bearing[i]])
        sun = np.array([np.cos(a) * np.sin(z), np.cos(a) * np.cos(z), np.sin(a)])
        end = -sun[:2] * height[i] / sun[2]
        assert got.length_m == pytest.approx(np.hypot(*end)) == pytest.approx(lengths[i])
        assert got.depth_m == pytest.approx(abs(end[0] * np.cos(b) - end[1] * np.sin(b))) == pytest.approx(depths[i])
        way = np.degrees(np.arctan2(end[0], end[1])) % 360
        assert (got.shadow_azimuth_deg - way + 180) % 360 - 180 == pytest.approx(0, abs=1e-6)
    refused(
        wall_shadow,
        {"height_m": -1.0, "sun_altitude_deg": 5.0, "sun_azimuth_deg": 0.0, "wall_bearing_deg": 0.0},
        "height",
    )
    refused(
        wall_shadow,
        {"height_m": 1.0, "sun_altitude_deg": -5.0, "sun_azimuth_deg": 0.0, "wall_bearing_deg": 0.0},
        "altitude",
    )


def test_light_classes_meet_at_their_boundaries():
    """A boundary belongs to the sunnier class; the band reaches both ways; kernel and calculator agree."""
    hours = [0.0, 2.4999, 2.5, 3.0, 3.5, 3.51, 5.49, 5.5, 6.0, 6.5, 6.51, 24.0]
    codes = ["shade", "shade", "shade", "part", "part", "part", "part", "part", "sun", "sun", "sun", "sun"]
    near = [False, False, True, True, True, False, False, True, True, True, False, False]
    for value, code, doubtful, index in zip(hours, codes, near, light_index(hours), strict=True):
        got = call(light_class, {"sun_h": value})
        assert (got.light_code, got.near_boundary) == (code, doubtful)
        assert ("shade", "part", "sun")[index] == code
    assert call(light_class, {"sun_h": 2.0, "part_shade_from_h": 2.0}).light_class == "part shade"
    refused(light_class, {"sun_h": -0.1}, "sun_h")
    refused(light_class, {"sun_h": 1.0, "full_sun_from_h": 25.0}, "full_sun_from_h")
    refused(light_class, {"sun_h": 1.0, "part_shade_from_h": -1.0}, "part_shade_from_h")
    refused(light_class, {"sun_h": 1.0, "band_h": 6.1}, "band_h")


def test_light_classes_part_at_three_and_six_hours():
    """Unless told otherwise: under three hours shade, from three part shade, from six full sun."""
    assert light_index([0.0, 2.75, 2.99, 3.0, 3.2, 5.5, 5.99, 6.0, 6.5]).tolist() == [0, 0, 0, 1, 1, 1, 1, 2, 2]
