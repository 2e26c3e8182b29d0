"""The DXF plan, read back by the library's own reader and auditor."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

import pytest
import shapely
from ezdxf.entitydb import EntityDB
from ezdxf.filemanagement import read

from demo_plans import demo
from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.lower import lower
from lynchet.drawings.roles import LAYERS
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.exports.dxf import PIECES, STOP, plan_dxf
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.units.measures import FOOT
from random_yards import realistic


def _dxf(plan: Plan) -> str:
    sheet = terraces_plan(plan, stamp_of(plan))
    return plan_dxf(plan, sheet.views[0], lower(sheet).by_view[0])


@pytest.mark.parametrize("units", ["metric", "us"])
def test_dxf_opens_without_errors_and_pieces_lie_where_they_are(units: str) -> None:
    """Audit finds nothing; units are set; every piece is a block whose outline is the plan's, in the file's frame."""
    project, _ = realistic(7)
    plan = plan_project(replace(project, units=units), effort=LIVE)  # type: ignore[arg-type]
    document = read(StringIO(_dxf(plan)))
    audit = document.audit()
    assert audit.errors == [] and audit.fixes == []
    unit = FOOT if units == "us" else 1.0
    assert document.header["$INSUNITS"] == (2 if units == "us" else 6)
    assert {layer.dxf.name for layer in document.layers} <= {*LAYERS, PIECES, STOP, "0", "Defpoints"}
    inserts = {entity.dxf.name: entity for entity in document.modelspace().query(f'INSERT[layer=="{PIECES}"]')}
    assert len(inserts) == len(plan.pieces) > 0
    for piece in plan.pieces:
        insert = inserts[piece.id.replace("/", "_")]
        (outline,) = insert.virtual_entities()
        found = shapely.Polygon([(x * unit, y * unit) for x, y, *_ in outline.get_points()])
        expected = shapely.Polygon([plan.project.frame.outward(point) for point in piece.outline_m])
        assert found.symmetric_difference(expected).area < 1e-6
        assert insert.dxf.insert.z * unit == pytest.approx(piece.bottom_m)


def test_text_is_as_high_as_on_paper_times_the_scale() -> None:
    """A TEXT's height is that of its capitals (as ISO 3098 counts it), on the ground."""
    project, _ = realistic(7)
    plan = plan_project(project, effort=LIVE)
    view = terraces_plan(plan, stamp_of(plan)).views[0]
    document = read(StringIO(_dxf(plan)))
    heights = {round(text.dxf.height * 1000 / view.scale, 2) for text in document.modelspace().query("TEXT")}
    assert min(heights) >= 2.2 - 1e-6 and max(heights) <= 5.0


def test_a_sound_plan_carries_no_stop() -> None:
    """Where nothing stops there is no layer, no text and no property called stop; with a stop all three are there."""
    plan = demo("l_garden")
    assert plan.verdict < Verdict.STOP
    sound = read(StringIO(_dxf(plan)))
    assert STOP not in {layer.dxf.name for layer in sound.layers}
    assert not list(sound.modelspace().query(f'*[layer=="{STOP}"]'))
    assert STOP not in {name for name, _ in sound.header.custom_vars}
    stop = Finding("test.stop", Verdict.STOP, "Invented stop.", "W2")
    stopped = read(StringIO(_dxf(replace(plan, clashes=(*plan.clashes, stop)))))
    assert STOP in {layer.dxf.name for layer in stopped.layers}
    assert list(stopped.modelspace().query(f'*[layer=="{STOP}"]'))
    assert STOP in {name for name, _ in stopped.header.custom_vars}


def test_the_order_of_the_class_list_is_not_left_to_chance(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whichever order the library's set of kinds happens to have in this run, the file is the same."""
    plan = demo("side_yard")
    kinds = EntityDB.dxf_types_in_use
    given = []
    for backwards in (False, True):
        monkeypatch.setattr(EntityDB, "dxf_types_in_use", lambda db, b=backwards: sorted(kinds(db), reverse=b))
        given.append(_dxf(plan))
    assert given[0] == given[1]
