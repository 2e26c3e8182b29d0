"""The command `lynchet book`, `look --sheet` and the title block's keys, as people type and mistype them."""

from __future__ import annotations

import json
import re
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from by_command import YARDS, changed, command
from lynchet.exports.written_list import LIST
from office_plan import png

SHEET = """
[sheet]
number = "2027-14"
place = "12 Mill Street, Oldtown"
drawn = "R. Moss"
checked = "A. Clerk"
date = 2027-02-20
issue = "C"
status = "for permit"

[firm]
name = "Moss and Daughter"
address = ["Unit 4, Mill Yard", "Oldtown"]
phone = "01234 567 890"
logo = "logo.png"

[[lot_line]]
name = "street"
line = [[-6, -9], [40, -9]]
trust = "survey"
"""


def _text(file: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(file.read_bytes())).pages).split())


def _yard(tmp_path: Path, more: str = SHEET) -> Path:
    (tmp_path / "logo.png").write_bytes(png(80, 40))
    return changed(tmp_path, "plain.toml", {}, more)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plain yard with a firm and a lot line: permit sheets and engineer's folder in one go."""
    home = tmp_path_factory.mktemp("office")
    file = _yard(home)
    done = command("book", str(file), "--permit", "--engineer", "--effort", "live", "--out", str(home / "out"))
    assert done.status == 0, done.err
    assert "wrote" in done.out
    return home / "out"


def test_permit_and_engineer_alone(written: Path) -> None:
    """Only what was asked for is written: three permit sheets and their PDF, the engineer's PDF and DXF."""
    assert {path.name for path in written.iterdir()} == {
        LIST, "permit.pdf", "permit-1.svg", "permit-2.svg", "permit-3.svg", "engineer.pdf", "engineer.dxf",
    }  # fmt: skip


def test_the_permit_set_says_what_the_file_says(written: Path) -> None:
    """Firm, place, issue, status, checker and the distance to the lot line by survey stand on three pages."""
    text = _text(written / "permit.pdf")
    assert len(PdfReader(BytesIO((written / "permit.pdf").read_bytes())).pages) == 3
    for word in ("Moss and Daughter", "12 Mill Street, Oldtown", "2027-02-20, C", "for permit", "A. Clerk", "by survey",
                 "sum of tiers", "locating service", "1 of 3", "3 of 3"):  # fmt: skip
        assert word in text, word
    assert "data:image/png;base64," in (written / "permit-1.svg").read_text(encoding="utf-8")


def test_the_engineers_folder_has_numbers_and_origins(written: Path) -> None:
    """Levels, cases of water, soil with origin, factors and sources can be searched."""
    text = _text(written / "engineer.pdf")
    for word in (
        "Levels of the walls",
        "Pressure under the base",
        "PRACTICE",
        "Sliding bare",
        "Source:",
        "friction angle",
    ):
        assert word in text, word


def test_book_alone_writes_both_books_and_strict_tells_a_stop(tmp_path: Path) -> None:
    """Without options the two books are written; with --strict a stop ends with status 3; no permit is printed."""
    out = tmp_path / "parking"
    done = command("book", str(YARDS / "parking_above.toml"), "--effort", "live", "--strict", "--out", str(out))
    assert done.status == 3 and "STOP" in done.out
    assert {path.name for path in out.iterdir()} == {LIST, "build-book.pdf", "build-book.html"}
    done = command(
        "book", str(YARDS / "parking_above.toml"), "--effort", "live", "--permit", "--out", str(tmp_path / "no")
    )
    assert done.status == 0 and "--engineer prints" in done.out
    assert not (tmp_path / "no").exists()


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """A file in the place of the folder: status 2, one line, the file as it was."""
    taken = tmp_path / "taken"
    taken.write_text("mine", encoding="utf-8")
    done = command("book", str(YARDS / "plain.toml"), "--permit", "--effort", "live", "--out", str(taken))
    assert done.status == 2 and "is a file: name a folder" in done.err and "Traceback" not in done.err
    assert taken.read_text(encoding="utf-8") == "mine"


def test_other_files_of_the_folder_stay(tmp_path: Path) -> None:
    """The permit sheets are laid beside what is there already, also beside other sheets."""
    (tmp_path / "site.svg").write_text("an older sheet", encoding="utf-8")
    done = command("book", str(YARDS / "plain.toml"), "--permit", "--effort", "live", "--out", str(tmp_path))
    assert done.status == 0, done.err
    assert (tmp_path / "site.svg").read_text(encoding="utf-8") == "an older sheet"
    assert (tmp_path / "permit.pdf").exists()


WRONG = {
    'status = "done"': ("sheet.status", '"done"', "one of draft"),
    'status = "for biuld"': ("sheet.status", "for build", "one of draft"),
    'issue = "SEVENTH"': ("sheet.issue", "7 characters", "at most 6 characters"),
    f'drawn = "{"x" * 61}"': ("sheet.drawn", "61 characters", "at most 60 characters"),
    f'place = "{"x" * 121}"': ("sheet.place", "121 characters", "at most 120 characters"),
    "date = 2027-13-01": ("", "cannot be read", "accepted: a day of the calendar as YYYY-MM-DD"),
    'date = "20 Feb 2027"': ("sheet.date", "20 Feb 2027", "YYYY-MM-DD"),
    "number = 14": ("sheet.number", "a number (14)", "text in quotes"),
    'chequed = "A"': ("sheet.chequed", "no such key", "checked"),
}


@pytest.mark.parametrize("line", WRONG)
def test_a_wrong_title_block_is_refused(line: str, tmp_path: Path) -> None:
    """File, line, key, what was found and what is accepted are named; nothing is written."""
    file = changed(tmp_path, "plain.toml", {}, f"\n[sheet]\n{line}\n")
    done = command("book", str(file), "--effort", "live", "--out", str(tmp_path / "out"))
    key, found, accepted = WRONG[line]
    number = file.read_text(encoding="utf-8").splitlines().index(line) + 1
    assert done.status == 2 and not (tmp_path / "out").exists()
    for word in (f"plain.toml:{number}", key, found, accepted):
        assert word in done.err.replace("line ", ":"), (word, done.err)


LOGOS = {
    "none.png": (b"", "no such file"),
    "text.png": (b"this is no picture at all", "no picture of a kind that is known"),
    "wide.png": (png(2100, 100), "far too long"),
    "huge.png": (png(6000, 6000), "dots"),
    "broken.png": (png(40, 40)[:40] + b"\0" * 40, "a broken PNG picture"),
}


@pytest.mark.parametrize("name", LOGOS)
def test_a_logo_that_cannot_be_drawn_is_refused(name: str, tmp_path: Path) -> None:
    """Missing, of no known kind, absurdly shaped or large, or broken inside: status 2 with the key, nothing written."""
    data, found = LOGOS[name]
    if data:
        (tmp_path / name).write_bytes(data)
    file = changed(tmp_path, "plain.toml", {}, f'\n[firm]\nname = "Moss"\nlogo = "{name}"\n')
    done = command("book", str(file), "--permit", "--effort", "live", "--out", str(tmp_path / "out"))
    assert done.status == 2, done.out
    assert "firm.logo" in done.err and found in done.err and "Traceback" not in done.err
    assert not (tmp_path / "out").exists()


def test_a_title_of_300_characters_is_carried_whole(tmp_path: Path) -> None:
    """A very long name does not break a sheet; the engineer's folder and the PDF hold it in full."""
    title = "The long and winding terraces of Mill Street " * 7
    file = changed(tmp_path, "plain.toml", {'name = "Plain slope"': f'name = "{title[:300]}"'})
    done = command("book", str(file), "--permit", "--engineer", "--effort", "live", "--out", str(tmp_path / "out"))
    assert done.status == 0, done.err
    assert " ".join(title[:300].split()) in _text(tmp_path / "out" / "engineer.pdf")


LOOK = ("look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "3 ft 6 in")


def test_the_first_look_as_a_page(tmp_path: Path) -> None:
    """`look --sheet` writes one page, PDF or SVG, with the word, the figures and what to do next."""
    done = command(*LOOK, "--sheet", str(tmp_path / "look.pdf"))
    assert done.status == 0, done.err
    pdf = PdfReader(BytesIO((tmp_path / "look.pdf").read_bytes()))
    text = " ".join(pdf.pages[0].extract_text().split())
    assert len(pdf.pages) == 1
    for word in ("ASK FIRST", "sticks", "barrows", "days", "no price for", "Have buried lines marked"):
        assert word in text, word
    assert command(*LOOK, "--sheet", str(tmp_path / "look.svg")).status == 0
    assert (tmp_path / "look.svg").read_text(encoding="utf-8").startswith("<svg")


def test_a_sheet_of_an_unknown_kind_is_refused_before_planning(tmp_path: Path) -> None:
    """PNG is neither PDF nor SVG: status 2, what is accepted, no file."""
    done = command(*LOOK, "--sheet", str(tmp_path / "look.png"))
    assert done.status == 2 and ".pdf or .svg" in done.err and done.out == ""
    assert not (tmp_path / "look.png").exists()


def test_a_first_look_with_a_stop_prints_what_would_help(tmp_path: Path) -> None:
    """The cure of the screen stands on the page, with the name to plan it by."""
    steep = ("look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "6 ft")
    found = json.loads(command(*steep, "--json").out)
    assert found["verdict"] == "stop" and found["cure"]
    done = command(*steep, "--sheet", str(tmp_path / "look.svg"))
    assert done.status == 0, done.err
    said = " ".join(re.findall(r">([^<>]+)</text>", (tmp_path / "look.svg").read_text(encoding="utf-8")))
    assert "would help" in said and f"--with {found['cure']}" in said
