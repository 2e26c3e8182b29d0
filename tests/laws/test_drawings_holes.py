"""Test holes on paper and in the drawing file: where they were dug, with what they told; weep holes where they are."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

import pytest
from ezdxf.filemanagement import read

from demo_plans import demo
from lynchet.drawings.faults import faults
from lynchet.drawings.figures import Figures
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Label, Symbol
from lynchet.drawings.plan_holes import TESTS, WEEPS, told_lines
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.drawings.water_sheet import water_sheet
from lynchet.exports.dxf import plan_dxf
from lynchet.plan.model import Plan
from lynchet.project.things import Hole
from lynchet.units.measures import FOOT

HOLES = (
    Hole("low", (9.0, -2.0), 1.0, water_depth_m=0.6),
    Hole("by the fence", (-1.0, 4.0), 0.8, soak_min=150.0),
    Hole("in bed 2", (4.0, 5.4), 0.9, refusal_depth_m=0.9, soak_min=45.0),
    Hole("beside it", (4.3, 5.5), 0.9, water_depth_m=0.3),
    Hole("beside both", (4.2, 5.2), 0.7, soak_min=2880.0),
    Hole("somewhere", None, 1.2, water_depth_m=1.1),
    Hole("next town", (900.0, 40.0), 1.2),
)


def _plan(units: str) -> Plan:
    plan = demo("l_garden")
    return replace(plan, project=replace(plan.project, units=units, holes=HOLES))  # type: ignore[arg-type]


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("make", [site_sheet, water_sheet])
def test_each_hole_stands_where_it_was_dug_with_what_it_told(make, units) -> None:  # type: ignore[no-untyped-def]
    """A sign at the place in the file, its words beside it; without a place on the sheet the words stand in the strip
    or the notes. Nothing meets, even of three holes within half a metre."""
    plan = _plan(units)
    sheet = make(plan, stamp_of(plan))
    signs = {item.id: item.at for item in sheet.views[0].items if isinstance(item, Symbol) and item.name == "test hole"}
    assert signs == {f"hole-{hole.name}": hole.point_m for hole in HOLES[:5]}
    told = {item.id: item.lines for item in sheet.views[0].items if isinstance(item, Label)}
    for hole in HOLES[:5]:
        assert told[f"hole-told-{hole.name}"] == told_lines(hole, Figures(plan.project.units))
    display = lower(sheet)
    assert faults(display, sheet.paper) == []
    printed = " ".join((*(text.text for text in display.texts), *(str(note) for note in sheet.notes)))
    for hole in HOLES:
        assert all(word in printed for word in hole.name.split()), hole.name
    assert "no place in the file" in printed and "off this sheet" in printed


def test_what_a_hole_told_is_said_with_its_figures() -> None:
    """Depth, water, what stopped the spade and how long the water took, each as the file has it; nothing not said."""
    metric, us = Figures("metric"), Figures("us")
    every = Hole("A", None, 1.5, water_depth_m=0.6, refusal_depth_m=1.5, soak_min=150.0)
    assert told_lines(every, metric) == (
        "A, 1.50 m deep", "water 0.60 m down", "spade stopped 1.50 m down", "150 mm of water went in 2 h 30 min"
    )  # fmt: skip
    feet = Hole("A", None, 3 * FOOT, water_depth_m=2.25 * FOOT, soak_min=60.0)
    assert told_lines(feet, us) == ("A, 3′-0″ deep", "water 2′-3″ down", "6″ of water went in 1 h")
    assert told_lines(Hole("B", None, 0.5), metric) == ("B, 0.50 m deep",)
    assert told_lines(Hole("B", None, 0.5, soak_min=0.2), metric)[1] == "150 mm of water went in under a minute"


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_drawing_file_has_both_kinds_of_holes_on_layers_of_their_own(units: str) -> None:
    """Read back: a ring about each test hole with all it told, and each weep hole's mouth, back and bore."""
    plan = _plan(units)
    view = terraces_plan(plan, stamp_of(plan)).views[0]
    document = read(StringIO(plan_dxf(plan, view, ())))
    assert not document.audit().errors
    unit = FOOT if units == "us" else 1.0
    space, out = document.modelspace(), plan.project.frame.outward
    texts = {text.dxf.text for text in space.query(f'TEXT[layer=="{TESTS}"]')}
    rings = [line for line in space.query(f'LWPOLYLINE[layer=="{TESTS}"]') if len(line) > 10]
    for hole in HOLES:
        lines = set(told_lines(hole, Figures(plan.project.units)))
        assert (lines <= texts) == (hole.point_m is not None)
        if hole.point_m is not None:
            x, y = out(hole.point_m)
            middles = [[sum(v) / len(v) * unit for v in zip(*(p[:2] for p in ring), strict=True)] for ring in rings]
            assert any(abs(a - x) < 1e-3 and abs(b - y) < 1e-3 for a, b in middles)
    found = {insert.dxf.name: insert for insert in space.query(f'INSERT[layer=="{WEEPS}"]')}
    assert len(found) == len(plan.stability.weeps) > 20
    for hole in plan.stability.weeps:
        insert = found[hole.id.replace("/", "_")]
        x, y = out(hole.point_m)
        assert (insert.dxf.insert.x * unit, insert.dxf.insert.y * unit) == pytest.approx((x, y))
        assert insert.dxf.insert.z * unit == pytest.approx(hole.level_m)
        ring, bore = insert.virtual_entities()
        assert ring.dxf.radius * unit == pytest.approx(0.0125)  # 1 in: PRACTICE, as the day sheets say it
        leg = plan.walls.leg(hole.leg)
        long = ((bore.dxf.end - bore.dxf.start) * unit).vec2.magnitude
        assert long == pytest.approx(leg.thickness_m, abs=1e-6)
        assert (bore.dxf.end.z - bore.dxf.start.z) * unit == pytest.approx(0.01)


def test_each_weep_hole_is_on_the_water_sheet_at_its_mouth() -> None:
    """Its ring at the mouth, its line through the timber; no other ring is there; the key says what it is."""
    plan = demo("l_garden")
    sheet = water_sheet(plan, stamp_of(plan))
    assert sheet is not None
    rings = {item.of: item.at for item in sheet.views[0].items if isinstance(item, Symbol) and item.name == "weep"}
    assert rings == {hole.id: hole.point_m for hole in plan.stability.weeps}
    assert any(text.text.startswith("weep hole") for text in lower(sheet).texts)


def test_a_plan_with_weep_holes_and_no_pipe_has_a_water_sheet() -> None:
    """It says to keep them open, and nothing of cleanouts and outlets that are not there."""
    plan = demo("l_garden")
    bare = replace(plan.water, drains=(), solids=(), roof_pipes=(), cut_offs=(), outlets=(), fittings=(), notches=())
    sheet = water_sheet(replace(plan, water=bare), stamp_of(plan))
    assert sheet is not None
    printed = " ".join(text.text for text in lower(sheet).texts)
    assert "weep hole" in printed and "cleanout" not in printed
    none = replace(plan, water=bare, stability=replace(plan.stability, weeps=()))
    assert water_sheet(none, stamp_of(plan)) is None
