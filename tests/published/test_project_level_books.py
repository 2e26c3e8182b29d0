"""Published level books, booked as a CSV file beside a project, give the published levels."""

from __future__ import annotations

from pathlib import Path

import pytest

from lynchet.project.model import GroundSource
from lynchet.project.read import read_project_text

# Papua New Guinea University of Technology, Department of Surveying, Lecture Two: Level books and arithmetic checks,
# booking table (height of collimation; the negative reading is a staff held upside down). SEEN. Places invented.
PNG = """\
point,bs,is,fs,hpc,rl,x,y
BM1,6.482,,,46.482,40.000,0,0
CP1,5.844,,2.159,50.167,44.323,20,0
C,,3.141,,,47.026,20,20
D (under the bridge),,-2.956,,,53.123,10,25
E,,5.600,,,44.567,0,20
CP2,4.298,,7.318,47.147,42.849,-10,10
F,,3.015,,,44.132,-5,5
BM2,,,4.264,,42.883,5,-5
"""
PNG_LEVELS = [40.0, 44.323, 47.026, 53.123, 44.567, 42.849, 44.132, 42.883]

# NPTEL course 105107122 (IIT Roorkee), Surveying, module 4, Ex 13-1: rise and fall, back to the starting mark;
# misclosure 0.050 m as printed. SEEN. The print gives the second fall as 1.7290 (the readings give 1.790) and one level
# as 149.450 (the readings and the printed last level give 149.400): both slips are booked here as printed.
# Places invented.
NPTEL = """\
point;backsight;foresight;rise;fall;rl;known;x;y
BM;1.205;;;;150.485;150.485;0;0
P1;0.125;1.860;;0.655;149.830;;10;0
P2;0.395;1.915;;1.7290;148.040;;20;0
P3;0.880;2.615;;2.220;145.820;;20;10
P4;1.960;1.760;;0.880;144.940;;20;20
P5;2.595;0.920;1.040;;145.980;;10;20
P6;2.255;0.915;1.680;;147.660;;0;20
P7;2.305;0.515;1.740;;149.450;;-5;10
BM;;1.170;1.135;;150.535;150.485;0;0
"""
AREA = "[area]\noutline = [[1, 1], [8, 1], [8, 8], [1, 8]]\n"


def _read(tmp_path: Path, book: str, more: str = "") -> GroundSource:
    (tmp_path / "book.csv").write_text(book, encoding="utf-8")
    text = f'lynchet = 1\nunits = "metric"\n[ground]\nlevel_book = {{ file = "book.csv"{more} }}\n{AREA}'
    return read_project_text(text, folder=tmp_path).ground


def test_collimation_book_gives_the_printed_levels(tmp_path: Path) -> None:
    """Height of collimation: every printed level, an open book, and booked columns that agree with the readings."""
    source = _read(tmp_path, PNG)
    assert [reading.level_m for reading in source.readings] == pytest.approx(PNG_LEVELS, abs=0.0005)
    assert source.misclosure_m is None
    assert source.notes == ()


def test_rise_and_fall_book_closes_as_printed_and_its_slips_are_found(tmp_path: Path) -> None:
    """Rise and fall: the printed misclosure of 0.050 m, and both slips of the print found on their lines."""
    source = _read(tmp_path, NPTEL, ', spread = "none"')
    assert source.misclosure_m == pytest.approx(0.050, abs=0.0005)
    levels = {reading.name: reading.level_m for reading in source.readings}
    assert levels["P2"] == pytest.approx(148.040, abs=0.0005)
    assert levels["P7"] == pytest.approx(149.400, abs=0.0005)
    assert [note.split(":")[0] for note in source.notes] == ["book.csv, line 4", "book.csv, line 9"]
    assert source.misclosure_m > source.allowed_misclosure_m  # 5 mm per root set-up, eight set-ups: 14 mm
    assert len(source.repeat) == 2
