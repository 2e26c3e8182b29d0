"""The build book as people use it: the PDF on the desk, the file on the phone."""

from __future__ import annotations

import json
import re
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

import lynchet.demos
from browser import page
from by_command import command


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The side yard planned into a folder."""
    out = tmp_path_factory.mktemp("book")
    file = Path(lynchet.demos.__file__).with_name("side_yard.toml")
    done = command("plan", str(file), "--out", str(out))
    assert done.status == 0, done.err
    return out


def test_pdf_has_bookmarks_numbers_and_its_own_letters_only(folder: Path) -> None:
    """Every part is bookmarked, text can be searched, and no font but ours is in the file, embedded."""
    pdf = PdfReader(BytesIO((folder / "build-book.pdf").read_bytes()))
    marks = [str(entry.title) for entry in pdf.outline if not isinstance(entry, list)]
    parts = ["Drawings", "Setting-out card", "Cut sheet", "Soil account"]
    assert [mark for mark in marks if mark in parts] == parts
    first = " ".join(pdf.pages[0].extract_text().split())
    assert "ask first" in first and "buried lines" in first
    assert f"1 / {len(pdf.pages)}" in first
    fonts = {name for sheet in pdf.pages for name in _fonts(sheet)}
    assert fonts and all("SourceSansPro" in name for name in fonts), fonts


def _fonts(sheet: object) -> set[str]:
    found = set()
    resources = sheet["/Resources"].get_object()  # type: ignore[index]
    for font in (resources.get("/Font") or {}).values():
        base = font.get_object()
        holder = base["/DescendantFonts"][0].get_object() if "/DescendantFonts" in base else base
        kept = holder["/FontDescriptor"].get_object()
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(kept), "a font is not embedded"
        found.add(str(base["/BaseFont"]))
    for form in (resources.get("/XObject") or {}).values():
        if "/Resources" in form.get_object():
            found |= _fonts(form.get_object())
    return found


def test_sheets_print_true_to_scale(folder: Path) -> None:
    """A drawing page of a US yard is a Tabloid, its carried pages Letter (ANSI/ASME Y14.1 sizes B and A)."""
    pdf = PdfReader(folder / "build-book.pdf")
    sizes = {(round(float(sheet.mediabox.width)), round(float(sheet.mediabox.height))) for sheet in pdf.pages}
    assert sizes == {(612, 792), (1224, 792)}


def test_every_day_has_its_sheets_with_bookmarks(folder: Path) -> None:
    """The printed book has the pages of each day, bookmarked and searchable; the folder has them by themselves."""
    pdf = PdfReader(folder / "build-book.pdf")
    names = [path.stem for path in folder.glob("day-*.svg")]
    first = [name for name in names if "page" not in name]
    assert len(first) == len(json.loads((folder / "plan.json").read_text(encoding="utf-8"))["works"]["days"]) > 3
    marks = {str(one.title): pdf.get_destination_page_number(one) for one in _flat(pdf.outline)}
    found = [title for title in marks if re.match(r"Day (sheet )?\d", title)]
    assert [title for title in found if "page" not in title] == [f"Day sheet {n + 1}" for n in range(len(first))]
    assert len(found) == len(names)
    start = min(marks[title] for title in found)
    pages = [pdf.pages[number].extract_text() for number in range(start, max(marks[title] for title in found) + 1)]
    assert len(pages) == len(found)
    for n in range(len(first)):
        own = [text for text in pages if f"DAY {n + 1}" in text]
        assert len(own) == sum(name == f"day-{n + 1}" or name.startswith(f"day-{n + 1}-") for name in names)
        assert sum("Before you leave" in text for text in own) == 1


def _flat(outline: list[Any]) -> list[Any]:
    return [one for entry in outline for one in (_flat(entry) if isinstance(entry, list) else [entry])]


@pytest.mark.browser
def test_phone_book_has_dark_and_sun(folder: Path) -> None:
    """In the dark the page is dark; the sun button turns it white, and it stays so."""
    address = (folder / "build-book.html").as_uri()
    with page(dark=True) as phone:
        phone.goto(address)
        colour = "getComputedStyle(document.body).backgroundColor"
        assert phone.evaluate(colour) == "rgb(18, 22, 26)"
        phone.click("#sun")
        assert phone.evaluate(colour) == "rgb(255, 255, 255)"
        phone.reload()
        assert phone.evaluate(colour) == "rgb(255, 255, 255)"
