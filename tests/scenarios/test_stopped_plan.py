"""A plan with a stop at a wall, through the command line: nobody is told to build it, and every sheet says so."""

from __future__ import annotations

import csv
import json
import re
import struct
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree as Tree
from zipfile import ZipFile

import pytest
from pypdf import PdfReader

from by_command import YARDS, command
from demo_plans import demo
from lynchet.exports.geojson import place_on_earth, plan_geojson
from lynchet.exports.gltf import plan_glb
from lynchet.exports.landxml import setting_xml
from lynchet.exports.setting_csv import setting_csv

MARK = "STOP: not to be built as drawn"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three courses, whose wall tips over: a stop of the wall, none of the site."""
    out = tmp_path_factory.mktemp("stopped")
    done = command("plan", str(YARDS / "ladder_three.toml"), "--out", str(out))
    assert "STOP" in done.out, done.err
    return out


def test_day_sheets_are_kept_back_with_the_cut_sheet(folder: Path) -> None:
    """No day and no cut sheet as SVG, in the PDF, on the phone or in the spreadsheet; the reason is said."""
    assert not list(folder.glob("day-*.svg")) and not list(folder.glob("cut-sheet*.svg"))
    told = " ".join((folder / "findings.txt").read_text(encoding="utf-8").split())
    assert re.search(r"not written: day-1\.svg.*: day sheets tell people what to build, and that is not settled;", told)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(folder / "build-book.pdf").pages]
    assert not any("Before you leave" in text for text in pages)
    assert any("day sheets tell you what to build, and that is not settled" in text for text in pages)
    phone = (folder / "build-book.html").read_text(encoding="utf-8")
    assert 'id="day-1' not in phone and "day sheets tell you what to build" in phone
    book = folder / "order-list.xlsx"
    assert not book.exists() or "Days" not in ZipFile(BytesIO(book.read_bytes())).read("xl/workbook.xml").decode()


def test_every_sheet_that_is_left_carries_the_mark(folder: Path) -> None:
    """The title block of each sheet says the whole sentence, permit sheets too."""
    sheets = sorted(folder.glob("*.svg"))
    assert {"site.svg", "terraces.svg", "permit-1.svg"} <= {sheet.name for sheet in sheets}
    for sheet in sheets:
        told = " ".join(re.findall(r">([^<>]+)</text>", sheet.read_text(encoding="utf-8")))
        assert MARK in told, sheet.name


def test_setting_out_says_stop_first(folder: Path) -> None:
    """The first row of the table has the kind "stop", the place and the reason; the pegs follow."""
    with (folder / "setting-out.csv").open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    kinds = [row["kind"] for row in rows]
    assert kinds[0] == "stop" and rows[0]["name"] == "A0" and len(rows[0]["what"]) > 30
    assert kinds.count("stop") == kinds.index(next(kind for kind in kinds if kind != "stop")) and "peg" in kinds


def test_files_for_instruments_and_programs_say_stop(folder: Path) -> None:
    """Set-out points as LandXML and as a table, the drawing for CAD and the model of the yard carry the sentence."""
    import ezdxf

    root = Tree.parse(folder / "setting-out.xml").getroot()
    named = {part.tag.rpartition("}")[2]: part.get("desc") for part in root.iter() if part.get("desc")}
    assert named["Project"] == named["CgPoints"] == MARK
    with (folder / "setting-out.csv").open(encoding="utf-8", newline="") as table:
        assert next(csv.DictReader(table))["what"].startswith(MARK)
    drawing = ezdxf.readfile(folder / "plan.dxf")
    assert [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="stop"]')] == [MARK]
    assert not drawing.audit().errors
    data = (folder / "plan.glb").read_bytes()
    told = json.loads(data[20 : 20 + struct.unpack("<I", data[12:16])[0]])
    assert told["asset"]["extras"]["stop"] == MARK
    assert MARK in told["nodes"][told["scenes"][0]["nodes"][0]]["name"]


def test_a_map_says_stop_and_a_sound_plan_says_nothing() -> None:
    """The map of a stopped plan carries the sentence; no file of a plan without a stop does."""
    stopped, sound = demo("spot_levels"), demo("side_yard")
    site = replace(stopped.project.site, latitude_deg=41.0, longitude_deg=-81.0, north_deg=0.0)
    stopped = replace(stopped, project=replace(stopped.project, site=site))
    place = place_on_earth(stopped)
    assert place is not None
    assert json.loads(plan_geojson(stopped, place))["stop"] == MARK
    home = place_on_earth(sound)
    assert home is not None
    written = (plan_geojson(sound, home), setting_xml(sound), setting_csv(sound), plan_glb(sound).decode("latin-1"))
    assert not any("STOP" in text for text in written)
