"""True scale, measured in the PDF's own coordinates: bars of every scaled sheet, metric and US; text and letters."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from io import BytesIO

import pytest
from pypdf import PageObject, PdfReader

from lynchet.book.sheet_pdf import sheets_pdf
from lynchet.drawings.drawn import Drawn, drawn
from lynchet.drawings.model import ScaleBar, Sheet
from lynchet.drawings.permit_sheets import permit_sheets
from lynchet.drawings.sheets import sheets_of
from lynchet.drawings.stamp import stamp_of
from office_plan import office
from pdf_paths import painted

POINT_MM = 25.4 / 72.0
CASES = (("l_garden", "metric"), ("side_yard", "us"))


@cache
def _drawn(name: str, units: str) -> list[tuple[Sheet, Drawn]]:
    """Sheets with a bar, as made and as written; of the many alike (walls, days) the first."""
    plan, kinds, found = office(name, units), set(), []
    plan = replace(plan, works=replace(plan.works, days=plan.works.days[:1]))
    for sheet in sheets_of(plan, stamp_of(plan)).values():
        barred = any(isinstance(item, ScaleBar) for item in sheet.marks)
        if barred and (sheet.kind not in kinds or sheet.kind == "permit"):
            kinds.add(sheet.kind)
            found.append((sheet, drawn(sheet)))
    return found


def _boxes(page: PageObject) -> list[tuple[float, float, float, float]]:
    """Upright boxes of four corners drawn on a page, mm from its lower left, by every matrix on the way."""
    found = (path for path in painted(page) if len(path) in (2, 4, 5))
    scaled = ([(x * POINT_MM, y * POINT_MM) for x, y in path] for path in found)
    sides = (tuple(zip(*path, strict=True)) for path in scaled)
    return [(min(xs), min(ys), max(xs), max(ys)) for xs, ys in sides]


@pytest.mark.parametrize(("name", "units"), CASES)
def test_bars_measure_what_they_say(name: str, units: str) -> None:
    """A bar of n metres or feet at 1 : s is n / s long in the PDF, at its place on a page of the paper's size."""
    sheets = _drawn(name, units)
    assert {sheet.kind for sheet, _ in sheets} >= {"look", "site", "terraces", "section", "wall", "permit"}
    pdf = PdfReader(BytesIO(sheets_pdf([one for _, one in sheets], "bars")))
    assert len(pdf.pages) == len(sheets)
    for page, (sheet, _) in zip(pdf.pages, sheets, strict=True):
        paper = sheet.paper
        assert float(page.mediabox.width) * POINT_MM == pytest.approx(paper.width_mm, abs=0.02)
        assert float(page.mediabox.height) * POINT_MM == pytest.approx(paper.height_mm, abs=0.02)
        boxes = _boxes(page)
        for bar in (item for item in sheet.marks if isinstance(item, ScaleBar)):
            long = bar.step_m * 1000.0 / bar.scale
            for n in range(bar.steps):
                left, foot = bar.at[0] + n * long, paper.height_mm - bar.at[1] - 1.4
                near = [box for box in boxes if abs(box[0] - left) < 0.05 and abs(box[1] - foot) < 0.05]
                assert any(abs(box[2] - box[0] - long) < 0.02 for box in near), (sheet.id, bar.id, n)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_sheets_are_searchable_and_carry_their_letters(units: str) -> None:
    """Titles and firm can be searched in the PDF of the permit sheets, and every font in it is ours, embedded."""
    plan = office("l_garden", units)
    permit = [drawn(sheet) for sheet in permit_sheets(plan, stamp_of(plan))]
    assert len(permit) == 3
    pdf = PdfReader(BytesIO(sheets_pdf(permit, "Permit sheets")))
    for page, one in zip(pdf.pages, permit, strict=True):
        text = " ".join(page.extract_text().split())
        assert one.sheet.fields.title in text and "Moss and Daughter" in text and "2027-02-20" in text
        assert "sum of tiers" in text or one.name != "permit-2"
