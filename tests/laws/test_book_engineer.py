"""The engineer's folder: every wall, check, origin and working; nothing to build from where the site stops."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO, StringIO

import ezdxf
import pytest
from pypdf import PdfReader

from demo_plans import DEMOS
from lynchet.book.blocks import Picture, Table, Working
from lynchet.book.engineer import build_engineer
from lynchet.book.engineer_texts import heads, said
from lynchet.book.parts.engineer_checks import worst_joints
from lynchet.book.parts.engineer_front import questions
from lynchet.book.parts.engineer_levels import worst_places
from lynchet.calculators.text import EQUATION
from lynchet.core.findings import Verdict
from lynchet.drawings.drawn import Drawn, drawn
from lynchet.drawings.figures import Figures
from lynchet.drawings.section import section_sheet
from lynchet.drawings.site_sheet import site_sheet
from lynchet.drawings.soil_sheet import soil_sheet
from lynchet.drawings.stamp import stamp_of
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.exports.left_out import left_out
from lynchet.exports.office_files import engineer_files
from lynchet.plan.model import Plan
from lynchet.units.format import pressure, unit_weight
from lynchet.walls.seen import all_seen
from office_plan import office, stopped


def _sheets(plan: Plan) -> tuple[Drawn, ...]:
    """A few of the plan's sheets, one of them of no use to an engineer."""
    stamp = stamp_of(plan)
    found = (site_sheet(plan, stamp), terraces_plan(plan, stamp), section_sheet(plan, stamp), soil_sheet(plan, stamp))
    return tuple(drawn(sheet) for sheet in found if sheet is not None)


@pytest.mark.parametrize("name", DEMOS)
def test_every_wall_has_its_levels_and_every_case_its_check(name: str) -> None:
    """Each wall that holds ground has a row of levels; each wall and case that was checked a row of factors."""
    plan = office(name)
    book = build_engineer(plan, _sheets(plan))
    tables = {block.heads: block for block in book.blocks if isinstance(block, Table)}
    levels = tables[heads("levels.heads")]
    assert {row[0] for row in levels.rows} == {place.leg for place in plan.stability.places}
    checks = {(row[0], row[3]) for row in tables[heads("checks.heads")].rows}
    assert checks == {(joint.place.leg, joint.case) for joint in plan.stability.joints}
    verdicts = {row[0]: row[1] for row in tables[heads("checks.verdict_heads")].rows}
    assert verdicts == {wall.leg: wall.verdict.words for wall in plan.stability.walls}


@pytest.mark.parametrize("name", DEMOS)
def test_the_governing_joint_is_the_worst(name: str) -> None:
    """No joint of a wall and case has a lesser factor than the one that is shown, and no place holds more."""
    plan = office(name)
    for shown in worst_joints(plan):
        least = min(
            min(one.sliding, one.overturning) for one in plan.stability.joints
            if one.place.leg == shown.place.leg and one.case == shown.case
        )  # fmt: skip
        assert min(shown.sliding, shown.overturning) == least
    for place in worst_places(plan):
        assert place.retained_m == max(one.retained_m for one in plan.stability.places if one.leg == place.leg)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_check_says_at_which_place_of_its_wall_it_is_made(units: str) -> None:
    """Place and height held beside the factors, by the plan's own places; what is in the bare figures is no help
    beside them; ties as laid, and each place that stands by them once, in the case that uses them most."""
    plan = office("spot_levels", units)
    tables = {block.heads: block for block in build_engineer(plan, _sheets(plan)).blocks if isinstance(block, Table)}
    seen = all_seen(plan.walls.legs, plan.walls.runs, mirrored=plan.project.frame.mirrored)
    figures = Figures(plan.project.units)
    for row, check in zip(tables[heads("checks.heads")].rows, worst_joints(plan), strict=True):
        place = check.place
        assert row[1] == figures.words(seen[place.leg].along(place.station_m))
        assert row[2] == figures.words(place.high_m - place.low_m)
        assert "own weight" not in row[-1] and "back friction" not in row[-1]
    assert len(tables[heads("checks.laid_heads")].rows) == len(plan.stability.ties) > 0
    tied = tables[heads("checks.tie_heads")].rows
    used = {round(one.place.station_m, 2): [] for one in plan.stability.tie_checks}
    for one in plan.stability.tie_checks:
        used[round(one.place.station_m, 2)].append(one.demand_kn / min(one.capacity_kn, one.fixing_kn))
    assert sorted(row[-1] for row in tied) == sorted(f"{100 * max(shares):.0f} %" for shares in used.values())


def test_the_equation_of_a_calculator_stands_at_its_first_working() -> None:
    """The folder promises every check with its formula: at the first run of each calculator, once."""
    plan = office("spot_levels")
    found: dict[str, list[bool]] = {}
    for block in build_engineer(plan, _sheets(plan)).blocks:
        if isinstance(block, Working):
            found.setdefault(block.title, []).append(any(name == EQUATION and lines for name, lines in block.parts))
    assert found and all(told[0] and not any(told[1:]) for told in found.values())


def test_every_working_is_opened() -> None:
    """Each finding on ground, walls, water and stability that comes from a calculator shows its working and source."""
    plan = office("l_garden")
    book = build_engineer(plan, _sheets(plan))
    rooms = ("ground", "terraces", "walls", "water", "stability", "earth", "timber", "plan")
    wanted = sum(
        1 + len(finding.working_also) for finding in plan.findings
        if finding.working is not None and finding.code.partition(".")[0] in rooms
    )  # fmt: skip
    shown = [block for block in book.blocks if isinstance(block, Working)]
    assert wanted > 0 and len(shown) == wanted
    assert all(any("Source" in line for line in block.lines) for block in shown)


def test_soil_stands_with_its_origin() -> None:
    """The soil's weight and cohesion are the project's own, each beside the default it came from or as written."""
    plan = office("l_garden")
    book = build_engineer(plan, _sheets(plan))
    soil = next(block for block in book.blocks if isinstance(block, Table) and block.heads == heads("basis.heads"))
    rows = {row[0]: row[1:] for row in soil.rows}
    project = plan.project
    assert rows[said("basis.weight")][0] == unit_weight(project.soil.unit_weight_kn_m3, project.units)
    assert rows[said("basis.cohesion")][0] == pressure(project.soil.cohesion_kpa, project.units)
    assert "MEMORY" in rows[said("basis.cohesion")][1]
    assert rows[said("basis.class")][1] == said("basis.written")


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_stopped_site_prints_the_folder_without_a_sheet_to_build_from(units: str) -> None:
    """Only site, terraces and section are in it; the stop is asked of the engineer; the drawing has no pieces."""
    plan = stopped(office("l_garden", units))
    files = engineer_files(plan, _sheets(plan))
    pdf = PdfReader(BytesIO(bytes(files["engineer.pdf"])))  # type: ignore[arg-type]
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "Invented stop of the whole site." in text and "DO NOT BUILD" in text
    assert "every sheet to build from is kept back" in text
    pictures = {block.name for block in build_engineer(plan, _sheets(plan)).blocks if isinstance(block, Picture)}
    assert pictures == {"site", "terraces", "section"}
    assert _fonts(pdf) and all("SourceSansPro" in font for font in _fonts(pdf))
    drawing = ezdxf.read(StringIO(str(files["engineer.dxf"])))
    assert drawing.audit().errors == []
    assert drawing.header["$INSUNITS"] == (2 if units == "us" else 6)
    assert not drawing.modelspace().query("INSERT")


def _fonts(pdf: PdfReader) -> set[str]:
    """Names of the fonts used; each must be embedded."""
    found = set()
    for page in pdf.pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            for one in font.get_object()["/DescendantFonts"]:
                assert {"/FontFile2", "/FontFile3"} & one.get_object()["/FontDescriptor"].get_object().keys()
            found.add(str(font.get_object()["/BaseFont"]))
    return found


def test_the_folder_is_written_unasked_where_an_engineer_is_asked() -> None:
    """A stop or a question to an engineer puts the folder among the plan's files; else the reason is told."""
    plan = office("l_garden")
    calm = replace(plan, stability=replace(plan.stability, findings=()), clashes=())
    assert not any(finding.verdict is Verdict.STOP or finding.ask == "engineer" for finding in calm.findings)
    assert questions(calm) == [] and "--engineer" in left_out(calm)["engineer.pdf"]
    assert questions(stopped(plan)) and "engineer.pdf" not in left_out(stopped(plan))
    assert "permit.pdf" in left_out(stopped(plan)) and "permit.pdf" not in left_out(calm)
