"""The plan on the map: distances on the ellipsoid are those of the plan, bearings keep to true north."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from math import atan, atan2, cos, degrees, dist, hypot, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from demo_plans import demo
from lynchet.exports.earth_place import EarthPlace
from lynchet.exports.geojson import missing_for_map, place_on_earth, plan_geojson
from lynchet.exports.left_out import left_out
from lynchet.plan.effort import LIVE
from lynchet.plan.further_pegs import further_pegs
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.plan.placed import placed
from lynchet.project.model import Site
from random_yards import realistic

A, F = 6378137.0, 1 / 298.257223563
"""WGS 84 (NGA.STND.0036)."""


def vincenty(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float]:
    """(distance, bearing at the first point) on WGS 84: Vincenty, Survey Review 23 (176), 1975, inverse formula.

    Args:
        one: longitude, latitude in degrees.
        two: the same.
    """
    b = A * (1 - F)
    u1, u2 = (atan((1 - F) * tan(radians(lat))) for _, lat in (one, two))
    apart = lam = radians(two[0] - one[0])
    for _ in range(100):
        across = hypot(cos(u2) * sin(lam), cos(u1) * sin(u2) - sin(u1) * cos(u2) * cos(lam))
        along = sin(u1) * sin(u2) + cos(u1) * cos(u2) * cos(lam)
        if across == 0:
            return 0.0, 0.0
        sigma, sine = atan2(across, along), cos(u1) * cos(u2) * sin(lam) / across
        square = 1 - sine * sine
        mid = along - 2 * sin(u1) * sin(u2) / square if square else 0.0
        c = F / 16 * square * (4 + F * (4 - 3 * square))
        turn = (1 - c) * F * sine * (sigma + c * across * (mid + c * along * (2 * mid * mid - 1)))
        if abs(lam - (apart + turn)) < 1e-15:
            break
        lam = apart + turn
    k = square * (A * A - b * b) / (b * b)
    big = 1 + k / 16384 * (4096 + k * (-768 + k * (320 - 175 * k)))
    small = k / 1024 * (256 + k * (-128 + k * (74 - 47 * k)))
    less = small * across * (mid + small / 4 * (
        along * (2 * mid * mid - 1) - small / 6 * mid * (4 * across * across - 3) * (4 * mid * mid - 3)
    ))  # fmt: skip
    bearing = atan2(cos(u2) * sin(lam), cos(u1) * sin(u2) - sin(u1) * cos(u2) * cos(lam))
    return b * big * (sigma - less), degrees(bearing) % 360


def test_vincenty_gives_a_published_line() -> None:
    """A degree of latitude at the equator and a degree of longitude there: the ellipsoid's own lengths."""
    assert vincenty((0.0, 0.0), (1.0, 0.0))[0] == pytest.approx(A * radians(1), abs=1e-4)
    e2 = F * (2 - F)
    steps = np.radians(np.linspace(45, 46, 20001))
    arc = np.trapezoid(A * (1 - e2) / (1 - e2 * np.sin(steps) ** 2) ** 1.5, steps)
    assert vincenty((7.0, 45.0), (7.0, 46.0))[0] == pytest.approx(arc, abs=1e-3)


@pytest.mark.parametrize("latitude", [-89.0, -45.5, 0.0, 23.0, 52.1, 71.3, 89.0])
@pytest.mark.parametrize("north", [0.0, 37.5, 345.0])
def test_distances_on_the_ellipsoid_are_those_of_the_plan(latitude: float, north: float) -> None:
    """Within 1 mm between any two points 100 m apart, wherever in a yard of 400 m; bearings within 0.01 degree."""
    rng = np.random.default_rng([int(latitude * 10) + 1000, int(north)])
    place = EarthPlace(latitude, -2.2, north, (1000.0, 500.0))
    for _ in range(60):
        one = 1000.0 + rng.uniform(-200, 200), 500.0 + rng.uniform(-200, 200)
        way, far = rng.uniform(0, 360), rng.uniform(0.5, 100)
        two = one[0] + far * sin(radians(way)), one[1] + far * cos(radians(way))
        found, bearing = vincenty(place.lon_lat(one), place.lon_lat(two))
        assert found == pytest.approx(dist(one, two), abs=1e-3)
        if abs(latitude) < 80:  # meridians draw together: at 71 degrees by 0.005 degree in 200 m
            assert abs((bearing - (way - north) + 180) % 360 - 180) < 0.01


def test_the_zero_point_is_the_given_place() -> None:
    """Latitude and longitude of the file belong to the zero point; due north of it longitude stays."""
    place = EarthPlace(52.1, -2.2, 345.0, (3.0, 4.0))
    assert place.lon_lat((3.0, 4.0)) == pytest.approx((-2.2, 52.1), abs=1e-12)
    north = 3.0 + 50 * sin(radians(345)), 4.0 + 50 * cos(radians(345))
    lon, lat = place.lon_lat(north)
    assert lon == pytest.approx(-2.2, abs=1e-10) and lat > 52.1


def _at(project: Any, north: float) -> Any:
    return replace(project, site=Site(48.3, 11.6, north))


def _rings(feature: dict[str, Any]) -> list[Any]:
    return list(feature["geometry"]["coordinates"])


def _twice(ring: list[list[float]]) -> float:
    (x0, y0) = ring[0]
    return sum((a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0) for a, b in pairwise(ring))


@pytest.fixture(scope="module", params=[3, 7, "l_garden"])
def plan(request: pytest.FixtureRequest) -> Plan:
    """Random yards, turned and mirrored, with a place on earth, and a demo with plants."""
    if isinstance(request.param, str):
        return demo(request.param)
    return plan_project(_at(realistic(request.param)[0], 200.0), effort=LIVE)


@pytest.fixture(scope="module")
def features(plan: Plan) -> dict[str, dict[str, Any]]:
    """Features by id."""
    place = place_on_earth(plan)
    assert place is not None
    data = json.loads(plan_geojson(plan, place))
    assert data["type"] == "FeatureCollection" and "crs" not in data
    found = {feature["id"]: feature for feature in data["features"]}
    assert len(found) == len(data["features"])
    return found


def test_features_are_as_rfc_7946_wants_them(features: dict[str, dict[str, Any]]) -> None:
    """Members, closed rings of four places or more, outer rings anticlockwise and holes clockwise, degrees in range."""
    for feature in features.values():
        assert feature.keys() == {"type", "id", "properties", "geometry"} and feature["type"] == "Feature"
        shape = feature["geometry"]
        assert shape["type"] in ("Polygon", "Point", "LineString")
        if shape["type"] != "Polygon":
            continue
        for number, ring in enumerate(shape["coordinates"]):
            assert ring[0] == ring[-1] and len(ring) >= 4
            assert (_twice(ring) > 0) == (number == 0), feature["id"]
            assert all(-180 <= lon <= 180 and -90 <= lat <= 90 for lon, lat in ring)


def test_sides_on_the_map_are_those_of_the_yard(plan: Plan, features: dict[str, dict[str, Any]]) -> None:
    """Every side of the area, of every bed and piece: its length on the ellipsoid is that of the plan, to 0.2 mm."""
    rings = {"area": plan.project.area.outline_m} | {bed.id: bed.outline_m for bed in plan.terraces.beds}
    rings |= {piece.id: piece.outline_m for piece in plan.pieces[:20]}
    for name, own in rings.items():
        ring = _rings(features[name])[0]
        found = sorted(vincenty(a, b)[0] for a, b in pairwise(ring))
        expected = sorted(dist(own[i - 1], own[i]) for i in range(len(own)))
        assert found == pytest.approx(expected, abs=2e-4), name


def test_everything_is_on_the_map_but_screws_and_pins(plan: Plan, features: dict[str, dict[str, Any]]) -> None:
    """Placed things, pegs, points of steps and pipes, faces and houses, each once."""
    small = {"screw", "corner pin", "tie screw", "pin"}
    expected = {thing.id for thing in placed(plan) if thing.kind not in small}
    expected |= {face.id for face in plan.terraces.faces} | {"area"}
    expected |= {f"house {i}" for i in range(len(plan.project.houses))}
    expected |= {f"lot line {i}" for i in range(len(plan.project.lot_lines))}
    card = plan.walls.setting_out
    expected |= {f"peg {peg.id}" for peg in card.points} | {name for name, _ in card.known_m}
    expected |= {f"{one.kind} {one.peg.id}" for one in further_pegs(plan)}
    assert set(features) == expected


def test_a_yard_drawn_turned_with_its_north_is_the_same_map() -> None:
    """Turn the file and its north alike: every place on the map stays, to a tenth of a millimetre."""
    from random_yards import Placing

    maps = []
    for turn in (0.0, 70.0):
        project = _at(realistic(7, Placing(radians(-turn)))[0], turn)
        plan = plan_project(project, effort=LIVE)
        place = place_on_earth(plan)
        assert place is not None
        found = {one["id"]: one["geometry"] for one in json.loads(plan_geojson(plan, place))["features"]}
        maps.append(found)
    assert maps[0].keys() == maps[1].keys()
    metre = 1 / 111132.0
    for key, shape in maps[0].items():
        one, two = np.array(shape["coordinates"]).reshape(-1, 2), np.array(maps[1][key]["coordinates"]).reshape(-1, 2)
        assert np.abs(one - two).max() < 1e-4 * metre * 2, key


@pytest.mark.parametrize("lacks", ["latitude_deg", "longitude_deg", "north_deg"])
def test_without_a_place_no_map_and_the_note_says_what_to_write(plan: Plan, lacks: str) -> None:
    """The key that is missing is named with its section."""
    bare = replace(plan, project=replace(plan.project, site=replace(plan.project.site, **{lacks: None})))
    assert place_on_earth(bare) is None
    key = lacks.removesuffix("_deg")
    assert missing_for_map(bare) == (key,)
    told = left_out(bare)["plan.geojson"]
    assert "[site]" in told and told.endswith(f"missing: {key}")
    assert "plan.geojson" not in left_out(plan) or "kept back" in left_out(plan)["plan.geojson"]


def test_north_of_zero_is_north() -> None:
    """North 0 is given, not missing; so are latitude and longitude 0."""
    place = EarthPlace(0.0, 0.0, 0.0, (0.0, 0.0))
    assert place.lon_lat((0.0, 100.0))[0] == 0.0
    plan = plan_project(replace(realistic(7)[0], site=Site(0.0, 0.0, 0.0)), effort=LIVE)
    assert missing_for_map(plan) == ()
