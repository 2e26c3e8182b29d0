"""A published rain table beside a project gives the rain to drain for."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from lynchet.calculators.verify import shipped
from lynchet.project.read import read_project_text

CASES = shipped() / "water.toml"
YARD = 'lynchet = 1\nunits = "us"\nground.slope.fall = "10 %"\narea = { length = 20, depth = 10 }\n'


def test_the_cell_asked_for_becomes_an_intensity(tmp_path: Path) -> None:
    """NOAA Atlas 14, Champaign, Illinois: ten years, ten minutes, printed 0.999 in: 5.994 in/h."""
    text = next(
        case["given"]["text"]
        for case in tomllib.loads(CASES.read_text(encoding="utf-8"))["case"]
        if case["calculator"] == "read_rain_table"
        and "Champaign" in str(case["given"])
        and "depth_mm" in case["expect"]
    )
    (tmp_path / "rain.txt").write_text(text, encoding="utf-8")
    plain = read_project_text(YARD + 'rain = { table = "rain.txt" }\n', folder=tmp_path)
    assert plain.rain.intensity_mm_h / 25.4 == pytest.approx(5.994, abs=0.003)
    assert {"rain.years", "rain.minutes"} <= {default.key for default in plain.defaults}
    other = read_project_text(YARD + 'rain = { table = "rain.txt", years = 25, minutes = 15 }\n', folder=tmp_path)
    assert other.rain.intensity_mm_h / 25.4 == pytest.approx(1.40 * 4, abs=0.02)
