"""A yard that needs no wall is told what has a use there, and its folder is written; one with walls is told all."""

from __future__ import annotations

from pathlib import Path

import pytest

from demo_plans import demo
from lynchet.commands.report import all_lines
from lynchet.drawings.sheets import drawn_sheets
from lynchet.exports.folder import write_folder
from lynchet.plan.cautions import ALWAYS, cautions
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.of_use import assumed_of_use, nothing_built
from lynchet.plan.pipeline import plan_project
from lynchet.project.load import load
from lynchet.project.read import checked

FLAT = """lynchet = 1
units = "{units}"
[ground]
slope = {{ fall = "{fall}" }}
held = "level"
[area]
length = "{length}"
depth = "{depth}"
[[house]]
name = "house"
outline = [[0, {by}], [{wide}, {by}], [{wide}, {far}], [0, {far}]]
roof = {{ area = "60 m2", downspouts = [[0, {by}]] }}
[[drain.outlet]]
at = [-2, -1]
{more}
"""
SIZES = {
    "metric": {"fall": "0.05 m in 6 m", "length": "10 m", "depth": "6 m", "by": 7, "wide": 10, "far": 14},
    "us": {"fall": "2 in in 20 ft", "length": "30 ft", "depth": "20 ft", "by": 23, "wide": 30, "far": 45},
}
WISH = '[planting]\nwishes = ["chives"]'


def _flat(folder: Path, units: str, more: str = "") -> Plan:
    """INVENTED: as good as flat, with an outlet named, a house with a downspout near, and nothing known of light."""
    file = folder / "flat.toml"
    file.write_text(FLAT.format(units=units, more=more, **SIZES[units]), encoding="utf-8")
    return plan_project(checked(load(file), []), effort=LIVE)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_no_wall_no_remark_on_walls_drains_and_plants(units: str, tmp_path: Path) -> None:
    """Outlets not used, roof water, reach between timbers, light and hardiness nobody asked about are not said, nor is
    what was assumed of timber and drains; that no wall is needed is said once."""
    plan = _flat(tmp_path, units)
    assert nothing_built(plan.walls) and not plan.pieces
    stages = (plan.terraces, plan.walls, plan.water, plan.planted)
    codes = {finding.code for stage in stages for finding in stage.findings}
    assert {"water.outlet_unused", "terraces.reach", "planting.zone_unknown", "walls.none"} <= codes
    text = " ".join(" ".join(all_lines(plan, ())).split())
    for idle in ("Outlet", "Downspout", "from timber to timber", "hardiness", "timber.section", "drain.pipe",
                 "Sawing treated timber", "A wet timber", "Trenches cave in"):  # fmt: skip
        assert idle not in text, idle
    assert text.split("All findings")[1].count("No wall is needed") == 1
    assert "located and marked" in text and "earth.topsoil" in text


def test_plants_asked_for_are_told_all_the_same(tmp_path: Path) -> None:
    """Where the file wishes a plant, what is not known about its place is said."""
    asked = {finding.code for finding in _flat(tmp_path, "metric", WISH).findings}
    assert "planting.zone_unknown" in asked and "water.outlet_unused" not in asked


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_folder_of_a_yard_without_walls_is_written(units: str, tmp_path: Path) -> None:
    """Sheets and lists of what there is; no cut sheet, since no stick is cut."""
    plan = _flat(tmp_path, units)
    names = {one.name for one in drawn_sheets(plan)}
    assert {"first-look", "site", "terraces", "soil"} <= names and not any("cut" in name for name in names)
    write_folder(plan, plan.findings, ["as told"], tmp_path / "out")
    assert (tmp_path / "out" / "build-book.pdf").stat().st_size > 10_000


def test_a_bed_on_level_ground_is_work(tmp_path: Path) -> None:
    """Compost, mulch and plants that the soil account and the planting want are on the order list, with hours and days.

    By hand (OWN): 10 m x 6 m under 5 cm of mulch is 3.0 m3; as much compost worked in, delivered loose at 1 / 0.9.
    """
    plan = _flat(tmp_path, "metric", WISH)
    order = {line.key: line.quantity for line in plan.works.order}
    assert order["mulch"] == pytest.approx(3.0, rel=0.01) and order["compost"] == pytest.approx(3.0 / 0.9, rel=0.01)
    assert {row.what: row.loose_m3 for row in plan.earth.account.brought} == pytest.approx(
        {key: order[key] for key in ("mulch", "compost")}
    )
    plants = sum(quantity for key, quantity in order.items() if key.startswith("plant_"))
    assert plants == sum(planting.count for planting in plan.planted.plantings) > 0
    kinds = {task.kind for task in plan.works.tasks}
    assert {"topsoil", "bed soil", "plants", "mulch"} <= kinds
    assert not kinds & {"set out", "trench", "base", "first course", "courses", "stone", "drain"}
    assert plan.works.days and sum(task.hours.likely for task in plan.works.tasks) > 5.0
    assert not {line.group for line in plan.works.order} & {"timber", "stone", "drain", "fixings"}


def test_a_yard_with_walls_is_told_everything() -> None:
    """Nothing is left out of findings, assumptions and cautions of a demo."""
    plan = demo("side_yard")
    stages = (plan.ground, plan.terraces, plan.walls, plan.water, plan.stability, plan.earth, plan.timber,
              plan.planted, plan.works)  # fmt: skip
    for stage in stages:
        assert all(finding in plan.findings for finding in stage.findings)
    assert assumed_of_use(plan.project, plan.walls) == plan.project.defaults
    assert set(ALWAYS) <= set(cautions(plan))
