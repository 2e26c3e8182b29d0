"""A plan written as a folder: data, text, drawings, lists. Nothing is left half written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from lynchet.book.make import build_book
from lynchet.book.pdf import to_pdf
from lynchet.book.phone import to_phone
from lynchet.book.texts import FIRST
from lynchet.core.beside import beside
from lynchet.core.findings import Finding
from lynchet.drawings.drawn import Drawn
from lynchet.drawings.sheets import drawn_sheets
from lynchet.exports.dxf import plan_dxf
from lynchet.exports.geojson import place_on_earth, plan_geojson
from lynchet.exports.gltf import plan_glb
from lynchet.exports.into import Into
from lynchet.exports.landxml import setting_xml
from lynchet.exports.left_out import left_out
from lynchet.exports.lists_csv import order_csv, pieces_csv, plants_csv
from lynchet.exports.office_files import Files, engineer_files, permit_files
from lynchet.exports.order_xlsx import order_xlsx
from lynchet.exports.setting_csv import setting_csv
from lynchet.exports.write_made import write_made
from lynchet.plan.model import DAY_SHEETS, Plan
from lynchet.plan.told_places import order_told


def write_folder(
    plan: Plan, findings: tuple[Finding, ...], text: Sequence[str], out: Path, lang: str = FIRST
) -> list[Path]:
    """Write ``plan.json``, ``findings.txt``, the build book (PDF, and HTML for a phone), sheets and lists.

    What is kept back is not written; ``findings.txt`` ends with the files left out and why. Everything is made first,
    in a folder beside; files of an earlier plan are replaced, those that are left out now are taken away.
    Day sheets, the days on the phone and the cautions come in the language ``lang``, as far as it has the texts.

    Raises:
        NoRoomError: the folder cannot be written; what stood there stands as it was.
    """
    return write_made(plan, findings, text, Into(out), lambda: made_files(plan, lang))


def made_files(plan: Plan, lang: str = FIRST) -> Files:
    """All files but the two that tell what cures lead to; the same bytes on one core as on two.

    Args:
        plan: the plan.
        lang: as for the folder.
    """
    left = left_out(plan)
    with beside(lambda: {name: make() for name, make in _lists(plan).items() if name not in left}) as lists:
        sheets = drawn_sheets(plan, lang)
        book = build_book(plan, sheets, lang)
        with ThreadPoolExecutor(1) as printer:  # Typst works outside the interpreter's lock: on another core
            printed = printer.submit(to_pdf, book)
            dxf: Files = {} if "plan.dxf" in left else {"plan.dxf": _dxf(plan, sheets)}
            asked = "engineer.pdf" not in left
            engineer = printer.submit(engineer_files, plan, sheets, dxf.get("plan.dxf")) if asked else None
            files: Files = {f"{one.name}.svg": one.svg() for one in sheets}
            phone = to_phone(book)
            files |= dxf | lists() | permit_files(plan, sheets) | (engineer.result() if engineer else {})
            return files | {"build-book.pdf": printed.result(), "build-book.html": phone}


def _dxf(plan: Plan, sheets: Sequence[Drawn]) -> str:
    return plan_dxf(plan, *next(one.plan for one in sheets if one.plan is not None))


def _lists(plan: Plan) -> Mapping[str, Callable[[], str | bytes]]:
    """How each file of ``TO_BUILD_FROM`` is made that no sheet is needed for."""
    system, name = plan.project.units, plan.project.name or "Plan"
    works = replace(plan.works, order=order_told(plan))
    if DAY_SHEETS in plan.withheld:
        works = replace(works, days=())

    def on_map() -> str:
        place = place_on_earth(plan)
        return "" if place is None else plan_geojson(plan, place)

    return {
        "plan.glb": lambda: plan_glb(plan),
        "plan.geojson": on_map,
        "setting-out.csv": lambda: setting_csv(plan),
        "setting-out.xml": lambda: setting_xml(plan),
        "pieces.csv": lambda: pieces_csv(plan),
        "order-list.csv": lambda: order_csv(works, system),
        "order-list.xlsx": lambda: order_xlsx(works, name, plan.planted, system),
        "plants.csv": lambda: plants_csv(plan.planted, system),
    }
