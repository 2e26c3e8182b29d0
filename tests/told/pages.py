"""Every output of a plan as rows of cells, each read back from what is written."""

from __future__ import annotations

import csv
import json
import warnings
from collections.abc import Iterator, Mapping
from dataclasses import replace
from html.parser import HTMLParser
from io import BytesIO, StringIO
from typing import Any
from unittest.mock import patch
from xml.etree import ElementTree

from lynchet.book.make import build_book
from lynchet.book.phone import to_phone
from lynchet.commands.report import all_lines
from lynchet.drawings.model import Dim, Item, Label, Level, Sheet, Symbol, Text
from lynchet.drawings.sheets import sheets_of
from lynchet.exports.dxf import plan_dxf
from lynchet.exports.geojson import place_on_earth, plan_geojson
from lynchet.exports.gltf import plan_glb
from lynchet.exports.landxml import setting_xml
from lynchet.exports.lists_csv import order_csv, pieces_csv, plants_csv
from lynchet.exports.order_xlsx import order_xlsx
from lynchet.exports.plan_json import plan_json
from lynchet.exports.setting_csv import setting_csv
from lynchet.plan.figures import figures
from lynchet.plan.model import Plan
from told.bodies import dxf_rows, dxf_weeps, glb_rows
from told.facts import Row, Told
from told.known import known_of


def told(plan: Plan, *, days: bool = True) -> Told:
    """Everything a plan gives, what is kept back too; sheets and book without their days where those take too long."""
    project, system = plan.project, plan.project.units
    drawn = plan if days else replace(plan, works=replace(plan.works, days=()))
    sheets = sheets_of(drawn, kept_back=True)
    pages: dict[str, tuple[Row, ...]] = {f"sheet {name}": tuple(sheet_rows(sheet)) for name, sheet in sheets.items()}
    with patch("lynchet.book.phone._faces", return_value=""):  # letters are not read
        pages["book"] = phone_rows(to_phone(build_book(drawn, ())))
    pages["screen"] = ((_joined("\n".join(all_lines(plan, ()))),),)
    pages["pieces.csv"] = csv_rows(pieces_csv(plan))
    pages["order-list.csv"] = csv_rows(order_csv(plan.works, system))
    pages["plants.csv"] = csv_rows(plants_csv(plan.planted, system))
    pages["setting-out.csv"] = csv_rows(setting_csv(plan))
    pages |= xlsx_rows(order_xlsx(plan.works, project.name, plan.planted, system))
    pages["setting-out.xml"] = tuple(xml_rows(setting_xml(plan)))
    if (place := place_on_earth(plan)) is not None:
        pages["plan.geojson"] = tuple(map_rows(plan_geojson(plan, place)))
    pages["plan.glb"] = tuple(glb_rows(plan_glb(plan)))
    drawing = plan_dxf(plan, sheets["terraces"].views[0], ())
    pages["plan.dxf"] = tuple(dxf_rows(drawing))
    pages["plan.dxf weep holes"] = tuple(dxf_weeps(drawing))
    known = known_of(json.loads(plan_json(plan, plan.findings))) | {("area of all beds", ""): figures(plan).bed_m2}
    return Told(system, known, pages)


def _joined(text: str) -> str:
    return " ".join(text.split())


def sheet_rows(sheet: Sheet) -> Iterator[Row]:
    """Texts of a sheet: a row of each table or paragraph on paper, and one for each text, label or figure in a picture.

    What stands in a picture begins with its id; of signs there, those of weep holes are rows too.
    """
    papers = [view.items for view in sheet.views if view.kind == "paper"]
    for items in (sheet.marks, *papers):
        lines: dict[float, list[Text]] = {}
        for item in items:
            if isinstance(item, Text):
                lines.setdefault(round(item.at[1], 1), []).append(item)
        for height in sorted(lines):
            yield tuple(one.text for one in sorted(lines[height], key=lambda one: one.at[0]))
    for view in sheet.views:
        for item in view.items:
            if (texts := _texts(item)) and not (view.kind == "paper" and item.id.startswith("text-")):
                yield (item.id, *texts)
    yield ("title block", sheet.fields.title, sheet.fields.status)


def _texts(item: Item) -> tuple[str, ...]:
    if isinstance(item, Text | Level):
        return (item.text,)
    if isinstance(item, Symbol) and item.name == "weep":
        return ("weep hole",)
    return item.lines if isinstance(item, Label) else item.texts if isinstance(item, Dim) else ()


def csv_rows(text: str) -> tuple[Row, ...]:
    """Rows of a table, its heads first."""
    return tuple(tuple(row) for row in csv.reader(StringIO(text)))


def xlsx_rows(data: bytes) -> Mapping[str, tuple[Row, ...]]:
    """Pages of the spreadsheet, with what its formulas carry."""
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = load_workbook(BytesIO(data), data_only=True)
    return {
        f"xlsx {page.title}": tuple(tuple(_cell(cell) for cell in row) for row in page.iter_rows(values_only=True))
        for page in book
    }


def _cell(cell: Any) -> str:
    return "" if cell is None else str(round(cell, 6)) if isinstance(cell, float) else str(cell)


def xml_rows(text: str) -> Iterator[Row]:
    """Points (kind, name, what, northing, easting, level) and surfaces (surface, name, triangles)."""
    root, space = ElementTree.fromstring(text), "{http://www.landxml.org/schema/LandXML-1.2}"
    for point in root.iter(f"{space}CgPoint"):
        yield (point.get("code", ""), point.get("name", ""), point.get("desc", ""), *(point.text or "").split())
    for surface in root.iter(f"{space}Surface"):
        levels = [(one.text or "").split()[2] for one in surface.iter(f"{space}P")]
        yield ("surface", surface.get("name", ""), levels[0])


def map_rows(text: str) -> Iterator[Row]:
    """Things of the map: kind, id, owner, name."""
    for one in json.loads(text)["features"]:
        about = one["properties"]
        level = about.get("level_m")
        yield (str(about.get("kind", "")), str(one.get("id", "")), str(about.get("owner", "")),
               str(about.get("botanical_name", "")), "" if level is None else f"{level:.4f}")  # fmt: skip


class _Reader(HTMLParser):
    """The texts of the phone's file: under their heading, a row for each row of a table, else one for each text."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[Row] = []
        self._heads, self._cells, self._text = ["", ""], list[str](), ""
        self._skip = 0

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        if tag in ("svg", "style", "script"):
            self._skip += 1
        if tag == "tr":
            self._flush()
            self._cells = []
        elif tag not in ("b", "i", "strong", "em", "span", "td", "th"):
            self._flush()
        if tag in ("td", "th", "h1", "h2", "h3", "h4"):
            self._text = ""

    def handle_endtag(self, tag: str) -> None:
        if tag in ("svg", "style", "script"):
            self._skip -= 1
            return
        text = self._text.strip()
        if tag in ("td", "th"):
            self._cells.append(text)
            self._text = ""
        elif tag == "tr":
            self.rows.append((self._heads[-1] or self._heads[0], *self._cells))
        elif tag in ("h1", "h2", "h3", "h4") and text:
            self._heads = [text, ""] if tag in ("h1", "h2") else [self._heads[0], text]
            self._text = ""
        elif tag in ("p", "div", "li", "span", "label", "section", "details", "summary"):
            self._flush()

    def handle_data(self, data: str) -> None:
        if not self._skip:
            self._text += data.replace("\xa0", " ").replace("\u202f", " ")

    def _flush(self) -> None:
        if text := self._text.strip():
            self.rows.append((self._heads[-1] or self._heads[0], text))
        self._text = ""


def phone_rows(text: str) -> tuple[Row, ...]:
    """The book as the phone shows it: heading, then the cells of a row or one text."""
    reader = _Reader()
    reader.feed(text)
    return tuple(reader.rows)
