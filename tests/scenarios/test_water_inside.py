"""A wet line on the ground to be terraced: what the stop says, and cures that are planned before they are offered."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely import LineString, Polygon

from by_command import Planned, planned

YARD = """lynchet = 1
units = "{units}"
ground = {{ slope = {{ fall = "9 %", cross_fall = "3 %" }}, held = "level" }}
area = {{ outline = [["0 m", "0 m"], ["9 m", "0 m"], ["9 m", "6 m"], ["0 m", "6 m"]] }}
soil = {{ friction_angle = 38, wall_friction = 25, unit_weight = "18 kN/m3" }}
timber = {{ section = "150 mm x 150 mm", stock = ["2.4 m", "4.8 m"] }}
brief = {{ terraces = 2, weeps = true }}
[[spring]]
name = "seep"
line = [{line}]
{more}
"""
ASIDE = '["8.4 m", "2 m"], ["8.5 m", "4 m"]', LineString([(8.4, 2), (8.5, 4)])
ACROSS = '["1 m", "3 m"], ["8 m", "3.2 m"]', LineString([(1, 3), (8, 3.2)])


def _file(folder: Path, line: str, units: str = "metric", more: str = "") -> Path:
    file = folder / "yard.toml"
    file.write_text(YARD.format(units=units, line=line, more=more), encoding="utf-8")
    return file


def _beds(plan: Planned) -> list[Polygon]:
    return [Polygon(face["outline_m"]) for face in plan.data["terraces"]["faces"] if face["kind"] == "bed"]


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("more", ["", "cut_off = true"])
def test_beds_that_end_short_of_the_water_are_offered(tmp_path: Path, units: str, more: str) -> None:
    """Where no drain finds its way out of the area, its edge moves inward: planned, no stop is left, a drain of its own
    lies along the wet line, and no bed comes nearer to it than that drain and the stone of a wall."""
    text, line = ASIDE
    file = _file(tmp_path, text, units, more)
    before = planned(file)
    (stop,) = before.findings("water.spring")
    assert stop["verdict"] == "stop" and "comes out on the ground to be terraced" in stop["text"]
    (cure,) = [one for one in stop["cures"] if one["name"] == "short-of-spring"]
    assert "A1" in cure["text"] and cure["effect"].startswith("stop becomes")
    assert not any(one["name"] == "cut-off-drain" for one in stop["cures"])  # tried, and it finds no way
    after = planned(file, "--with", "short-of-spring", "--effort", "live")
    assert not any(one["verdict"] == "stop" for one in after.data["findings"])
    assert [cut["spring"] for cut in after.data["water"]["cut_offs"]] == ["seep"]
    assert min(bed.distance(line) for bed in _beds(before)) == 0.0
    assert min(bed.distance(line) for bed in _beds(after)) > 0.9


def test_a_drain_under_the_beds_is_offered_where_it_finds_a_way(tmp_path: Path) -> None:
    """Across the middle of the area no edge can be moved past the water; the drain is tried, with what it leads to."""
    file = _file(tmp_path, ACROSS[0])
    (stop,) = planned(file).findings("water.spring")
    assert [one["name"] for one in stop["cures"]] == ["cut-off-drain"] and "stop becomes" in stop["cures"][0]["effect"]
    after = planned(file, "--with", "cut-off-drain", "--effort", "live")
    assert len(after.data["water"]["cut_offs"]) == 1 and not after.findings("water.spring")
