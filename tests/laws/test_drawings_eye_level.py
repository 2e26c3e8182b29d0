"""The eye-level sheet: sizes by perspective, plants that grow, standpoints of the file."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from demo_plans import DEMOS, demo
from lynchet.drawings.axo_camera import FromEye
from lynchet.drawings.axo_faces import Face
from lynchet.drawings.eye_place import stand_of
from lynchet.drawings.eye_scene import sight_of
from lynchet.drawings.eye_sheet import NOT_A_PHOTOGRAPH, eye_sheet
from lynchet.drawings.faults import faults
from lynchet.drawings.lower import lower
from lynchet.drawings.stamp import Stamp
from lynchet.plan.building_days import BuildingDays
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.planting.growth import grown_share
from lynchet.project.views import EyeView
from random_yards import realistic


def test_projection_is_that_of_similar_triangles() -> None:
    """A thing twice as far is half as large; one at the camera's own distance is true to size; uprights stay so."""
    camera = FromEye.looking((1.0, 2.0, 1.6), (0.0, 1.0))
    points = np.array([[1.0, 12.0, 0.6], [1.0, 12.0, 1.6], [2.0, 12.0, 1.6], [1.0, 22.0, 0.6]])
    u, v, nearness = camera.project(points).T
    assert u == pytest.approx([0.0, 0.0, 1.0, 0.0]) and v == pytest.approx([-1.0, 0.0, 0.0, -0.5])
    assert nearness == pytest.approx([0.1, 0.1, 0.1, 0.05])


def test_nearness_of_a_plane_is_straight_over_the_picture() -> None:
    """The plane of a face gives at each of its corners the nearness that the corner itself has."""
    camera = FromEye.looking((0.0, 0.0, 3.0), (0.3, 1.0))
    ring = np.array([[-1.0, 5.0, 0.0], [2.0, 6.0, 0.2], [2.5, 9.0, 0.4]])
    face = Face((ring,), "t")
    plane = camera.planes(face.outward()[None], ring[:1])[0]
    seen = camera.project(ring)
    assert seen[:, :2] @ plane[:2] + plane[2] == pytest.approx(seen[:, 2], abs=1e-9)


@pytest.mark.parametrize("kind", ["annual", "perennial", "shrub", "grass", "vine", "groundcover"])
def test_plants_only_grow(kind: str) -> None:
    """A share of the grown plant between nothing and the whole, that never falls and comes to the whole."""
    shares = [grown_share(kind, years) for years in (1, 2, 3, 5, 8, 20)]
    assert shares == sorted(shares) and shares[0] > 0.0 and shares[-1] == 1.0
    assert kind != "annual" or shares[0] == 1.0


@pytest.mark.parametrize("name", DEMOS)
def test_sheet_passes_the_machine(name: str) -> None:
    """Texts in their places, nothing beyond the frame; the sheet says what it is not, and from where it is seen."""
    plan = demo(name)
    sheet = eye_sheet(plan, Stamp())
    assert sheet is not None
    assert faults(lower(sheet), sheet.paper) == []
    assert sheet.cautions == (NOT_A_PHOTOGRAPH,) and "not a photograph" in NOT_A_PHOTOGRAPH
    assert len(sheet.views) == 2


def test_more_of_the_beds_is_seen_from_higher_up() -> None:
    """Of a steep garden without plants the second picture, from higher up, shows more soil in the beds."""
    sheet = eye_sheet(demo("spot_levels"), Stamp())
    assert sheet is not None
    low, high = (
        sum(_area(item) for item in view.items if getattr(item, "fill", "") == "mulch") for view in sheet.views
    )
    assert high > 1.2 * low > 0.0


def test_one_stands_where_most_beds_lie_under_the_eye() -> None:
    """Where ground falls sideways one stands off to the high side and looks down on every bed; else straight before."""
    for name in DEMOS:
        plan = demo(name)
        stand, (x, y) = stand_of(plan), plan.terraces.along
        straight = abs(stand.way[0] * x + stand.way[1] * y) < 1e-9
        assert straight == (name != "spot_levels"), name
        assert all(bed.level_m < stand.ground_m + stand.eye_m for bed in plan.terraces.beds), name


def _area(item: object) -> float:
    from shapely.geometry import Polygon

    outer, *holes = item.rings  # type: ignore[attr-defined]
    return float(Polygon(outer, holes).area)


def test_plants_of_the_fifth_year_hide_more() -> None:
    """The same standpoint, older plants: they take up more of the picture, and nothing else of it changes."""
    plan = demo("side_yard")
    sight = sight_of(BuildingDays(plan), stand_of(plan), (1.0, 5.0))
    one, five = (sum(seen.shape.area for seen, kind in age if kind == "plant") for age in sight.plants)
    assert five > 1.5 * one > 0


def test_standpoint_of_the_file_is_taken() -> None:
    """The first view of the file names the place, the height of the eyes and the way one looks."""
    plan = demo("side_yard")
    view = EyeView("the gate", (1.5, -4.0), 1.2, (1.5, 3.0))
    moved = replace(plan, project=replace(plan.project, views=(view,)))
    stand = stand_of(moved)
    assert (stand.name, stand.point_m, stand.eye_m) == ("the gate", (1.5, -4.0), 1.2)
    assert stand.way == pytest.approx((0.0, 1.0))
    sheet = eye_sheet(moved, Stamp())
    assert sheet is not None and "the gate" in sheet.alt


def test_bed_that_timber_leaves_only_lines_of_is_drawn() -> None:
    """Bed soil less the timber in it may leave lines beside areas; only the areas are ground, and the view is drawn."""
    plan = plan_project(realistic(12)[0], effort=LIVE)
    sheet = eye_sheet(plan, Stamp(date="12 May 2026"))
    assert sheet is not None and all(view.items for view in sheet.views)
