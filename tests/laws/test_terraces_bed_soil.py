"""A bed's depth is its soil: from the back of its front timber to the front face of the next wall."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from filed_yards import filed
from lawbook.book import broken
from lawbook.case import Case, plan
from lynchet.core.findings import Finding
from lynchet.plan.effort import LIVE
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Brief, EdgeRule
from lynchet.project.things import House
from lynchet.terraces.bed_soil import soil_of
from lynchet.units.format import length
from yards import project_of, readings_over, timber

FT = 0.3048
WIDE, DEEP = 9.0, 6.2
OUTLINE = [(0.0, 0.0), (WIDE, 0.0), (WIDE, DEEP), (0.0, DEEP)]
READINGS = readings_over(OUTLINE, lambda x, y: 100.0 + 0.2 * y)
HOUSE = House("house", ((-1.0, DEEP), (10.0, DEEP), (10.0, 12.0), (-1.0, 12.0)))


def _yard(brief: Brief, thick_m: float = 0.14, **parts: Any) -> Case:
    case = plan(*project_of(OUTLINE, READINGS, brief=brief, timber=timber(0.14, thick_m), **parts))
    assert case.refused == ""
    assert broken(case) == []
    return case


def _soil_depths(case: Case) -> list[float]:
    """Of every bed, up the slope in its middle, between the timbers of the finished walls: the timber alone is read."""
    found = []
    for face in case.terraces.beds:
        timber = [run.polygon for run in case.walls.runs if run.top_m > face.level_m + 1e-6]
        low_x, low_y, high_x, high_y = face.polygon.bounds
        cut = shapely.LineString([((low_x + high_x) / 2 + 0.07, low_y - 1), ((low_x + high_x) / 2 + 0.07, high_y + 1)])
        left = cut.intersection(face.polygon).difference(shapely.union_all(timber, grid_size=1e-6))
        found.append(max(part.length for part in shapely.get_parts(left)))
    return found


def _told(case: Case, code: str) -> list[Finding]:
    return [finding for finding in case.terraces.findings if finding.code == code]


@pytest.mark.parametrize("lean", [0.0, None])
@pytest.mark.parametrize("thick_m", [0.09, 0.2])
@pytest.mark.parametrize("feet", [3.0, 4.0, 4.8])
def test_a_bed_asked_for_is_soil_between_its_timbers(feet: float, thick_m: float, lean: float | None) -> None:
    """Whoever asks for beds of 4 ft has 4 ft of soil on every one, whatever the timber takes and however it leans."""
    case = _yard(Brief(terraces=5, least_bed_m=feet * FT, lean=lean), thick_m)
    assert len(case.terraces.levels_m) > 1
    assert min(_soil_depths(case)) >= feet * FT - 0.002


@pytest.mark.parametrize("edge", ["house", "bank"])
def test_no_timber_is_taken_off_where_none_will_stand(edge: str) -> None:
    """Two beds of the least depth that fit exactly below a house (or a bank) are two beds; a wall there leaves one."""
    least = (DEEP - 2 * 0.14) / 2 - 0.002
    brief = Brief(terraces=2, least_bed_m=least, bench_spacing_m=0.5, lean=0.0)
    parts: dict[str, Any] = {"houses": (HOUSE,)} if edge == "house" else {"edges": (EdgeRule(2, "bank", 0.5),)}
    assert len(_yard(brief, **parts).terraces.levels_m) == 2
    assert len(_yard(brief).terraces.levels_m) == 1


@pytest.mark.parametrize("count", [2, 3])
def test_a_bed_too_deep_to_reach_is_told_with_its_soil(count: int) -> None:
    """The depth told is that between the finished timbers, and what can be reached is reached over soil alone."""
    case = _yard(Brief(terraces=count, lean=0.0, reach_m=0.5))
    told = {finding.place: finding for finding in _told(case, "terraces.reach")}
    assert len(told) == count
    for face, depth in zip(case.terraces.beds, _soil_depths(case), strict=True):
        finding = told[face.id]
        assert finding.demand is not None
        assert 2.0 * finding.demand == pytest.approx(depth, abs=0.008)
        assert length(2.0 * finding.demand, "metric") in finding.text
    within = max(_soil_depths(case)) / 2.0 + 0.005
    assert not _told(_yard(Brief(terraces=count, lean=0.0, reach_m=within)), "terraces.reach")


def test_beds_narrower_than_asked_are_told() -> None:
    """Where no line can be moved any more, one terrace as deep as the yard, the narrow bed is told."""
    assert not _told(_yard(Brief(terraces=1, least_bed_m=DEEP - 0.28 - 0.01, lean=0.0)), "terraces.narrow_bed")
    assert _told(_yard(Brief(terraces=1, least_bed_m=DEEP - 0.28 + 0.01, lean=0.0)), "terraces.narrow_bed")


@pytest.mark.parametrize("strip_m", [1.0, 1.5])
def test_what_a_path_strip_leaves_is_told_as_it_stands(strip_m: float) -> None:
    """The bed told beside a path strip is the soil between the finished timbers less the strip."""
    case = _yard(Brief(terraces=4, lean=0.0, path_strip_m=strip_m))
    told = {finding.place: finding.text for finding in _told(case, "terraces.path_strip")}
    depths = dict(zip((face.id for face in case.terraces.beds), _soil_depths(case), strict=True))
    assert set(told) == {name for name, depth in depths.items() if depth - strip_m < 0.6 - 0.002} and told
    for name, text in told.items():
        left = depths[name] - strip_m
        said = next(part for part in (f"leaves {length(left, 'metric')} of bed", "leaves no bed") if part in text)
        assert (said == "leaves no bed") == (left < 0.001)


def test_a_bed_asked_for_lies_beside_its_path_strip() -> None:
    """Beds of 3 ft and strips of 2 ft: 3 ft of soil are left beside the strip on every bench, and no bed is told."""
    case = _yard(Brief(terraces=5, least_bed_m=3.0 * FT, path_strip_m=2.0 * FT))
    assert len(case.terraces.levels_m) > 1
    assert min(_soil_depths(case)) >= 5.0 * FT - 0.002
    assert not _told(case, "terraces.path_strip") and not _told(case, "terraces.narrow_bed")


def test_why_a_bed_asked_for_costs_a_terrace_is_told() -> None:
    """Two beds that fit but for the timber of the wall along the high edge: the depth needed is told, no corner."""
    least = (DEEP - 2 * 0.14) / 2 - 0.002
    (finding,) = _told(_yard(Brief(terraces=2, least_bed_m=least, bench_spacing_m=0.5, lean=0.0)), "terraces.fewer")
    assert f"need {length(2 * least + 3 * 0.14, 'metric')}" in finding.text


def test_soil_is_ground_and_no_line():
    """Overlays leave lines where timber and a path strip touch a bed's corner; what is told of its depth stays told."""
    plan = plan_project(filed(63358), effort=LIVE)
    for face in plan.terraces.beds:
        soil = soil_of(face, plan.terraces.lines, plan.project, plan.ground.surface)
        assert soil.geom_type in ("Polygon", "MultiPolygon")
    assert any(finding.code == "terraces.reach" for finding in plan.findings)
