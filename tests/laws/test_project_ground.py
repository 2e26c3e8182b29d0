"""Sources of ground: what was read on site becomes the levels it stands for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from lynchet.core.errors import InputError
from lynchet.project.big_points import BIG_LINES, big_points
from lynchet.project.model import GroundSource, Project
from lynchet.project.read import read_project_text
from lynchet.project.thin import thin_points
from lynchet.walls.setting_out import benchmark

AREA = "[area]\noutline = [[0, 0], [8, 0], [8, 6], [0, 6]]\n"


def project(ground: str, units: str = "metric", folder: Path | None = None, area: str = AREA) -> Project:
    return read_project_text(f'lynchet = 1\nunits = "{units}"\n[ground]\n{ground}\n{area}', "yard.toml", folder)


def levels(source: GroundSource) -> dict[str, float]:
    return {reading.name: reading.level_m for reading in source.readings}


def test_a_slope_is_the_plane_it_says() -> None:
    """Low level, fall and cross fall give the plane at every corner: up from edge 0, down along it."""
    read = project('slope = { low_level = 2, fall = "1 m in 5 m", cross_fall = "3 %" }').ground
    for reading in read.readings:
        x, y = reading.point_m
        assert reading.level_m == pytest.approx(2.0 + 0.2 * y - 0.03 * x, abs=1e-6)
    xs, ys = zip(*(reading.point_m for reading in read.readings), strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == (-6.0, 14.0, -6.0, 12.0)


def test_rod_readings_go_down_as_the_ground_goes_up() -> None:
    """One set-up: a point's level is the zero's level plus the zero's reading less its own."""
    laser = (
        'laser = { zero = "1.400 m", zero_level = "10 m", check = "1.403 m", readings = ['
        '{ name = "A", at = [-1, -1], rod = 1.9 }, { name = "B", at = [9, -1], rod = 2.0 },'
        '{ name = "C", at = [9, 7], rod = 0.7 }, { name = "D", at = [-1, 7], rod = 0.6 }] }'
    )
    read = project(laser).ground
    assert levels(read) == pytest.approx({"A": 9.5, "B": 9.4, "C": 10.7, "D": 10.8})
    assert read.misclosure_m == pytest.approx(-0.003)
    assert read.allowed_misclosure_m == pytest.approx(0.005)
    assert read.held == "unknown"
    open_ended = project(laser.replace(' check = "1.403 m",', "")).ground
    assert open_ended.misclosure_m is None
    assert levels(open_ended) == pytest.approx(levels(read))


def test_points_come_in_any_order_of_columns_and_any_separator(tmp_path: Path) -> None:
    """Header names decide the order; semicolons with decimal commas, tabs, blanks and pnez give the same."""
    places = [(-1.0, -1.0, 0.0), (9.5, -1.0, 0.5), (9.5, 7.25, 2.0), (-1.0, 7.25, 1.5)]
    written = {
        "a.csv": ("x,y,level\n" + "".join(f"{x},{y},{z}\n" for x, y, z in places), ""),
        "b.csv": (
            "RL (m);Easting;Northing;Name\n" + "".join(f"{z};{x};{y};q\n".replace(".", ",") for x, y, z in places),
            "",
        ),
        "c.csv": ("# instrument\n\n" + "".join(f"{x}\t{y}\t{z}\n" for x, y, z in places), ""),
        "d.csv": ("".join(f"p{y} {y} {x} {z}\n" for x, y, z in places), 'columns = "pnez", '),
        "e.csv": ("x y z\n" + "".join(f"{x * 100} {y * 100} {z * 100}\n" for x, y, z in places), ""),
    }
    for name, (text, more) in written.items():
        (tmp_path / name).write_text("\ufeff" + text, encoding="utf-8")
        scale = 0.01 if name == "e.csv" else 1.0
        read = project(f'points = {{ file = "{name}", {more}unit = "m" }}', folder=tmp_path, area=_scaled(scale)).ground
        found = [(*reading.point_m, reading.level_m) for reading in read.readings]
        expected = np.array(places) / (scale if scale < 1 else 1.0)
        assert np.allclose(found, expected, atol=1e-5), name


def _scaled(scale: float) -> str:
    return AREA if scale == 1.0 else "[area]\noutline = [[0, 0], [800, 0], [800, 600], [0, 600]]\n"


def test_files_of_feet_and_survey_feet(tmp_path: Path) -> None:
    """Feet are 0.3048 m, US survey feet 1200/3937 m; plain numbers in a US project are feet."""
    (tmp_path / "p.csv").write_text("x,y,z\n-3,-3,0\n30,-3,1\n30,30,2\n-3,30,3\n", encoding="utf-8")
    for unit, size in [("ft", 0.3048), ("us_ft", 1200 / 3937), (None, 0.3048)]:
        more = f', unit = "{unit}"' if unit else ""
        read = project(f'points = {{ file = "p.csv"{more} }}', "us", tmp_path).ground
        assert [reading.level_m for reading in read.readings] == pytest.approx([0, size, 2 * size, 3 * size])


def test_a_place_without_a_level_is_a_hole(tmp_path: Path) -> None:
    """A row with a place and no level is left out; one place read twice alike counts once."""
    rows = "x,y,z\n-1,-1,0\n9,-1,0\n9,7,1\n-1,7,1\n4,3,\n9,7,1.001\n"
    (tmp_path / "p.csv").write_text(rows, encoding="utf-8")
    assert len(project('points = "p.csv"', folder=tmp_path).ground.readings) == 4


def test_a_book_takes_its_places_from_the_file_or_the_project(tmp_path: Path) -> None:
    """The same book with its places in its own columns or in the project gives the same readings."""
    rows = [
        ("BM", 1.2, None, None, 100, -1, -1),
        ("A", None, 1.5, None, None, 9, -1),
        ("TP", 0.9, None, 1.0, None, 9, 7),
        ("B", None, 0.4, None, None, -1, 7),
        ("BM", None, None, 1.105, 100, -1, -1),
    ]
    head = "point,bs,is,fs,known"
    with_places = "\n".join([head + ",x,y", *(",".join("" if c is None else str(c) for c in row) for row in rows)])
    without = "\n".join([head, *(",".join("" if c is None else str(c) for c in row[:5]) for row in rows)])
    (tmp_path / "a.csv").write_text(with_places, encoding="utf-8")
    (tmp_path / "b.csv").write_text(without, encoding="utf-8")
    one = project('level_book = "a.csv"', folder=tmp_path).ground
    places = "places = { BM = [-1, -1], A = [9, -1], TP = [9, 7], B = [-1, 7] }"
    other = project(f'level_book = {{ file = "b.csv", {places} }}', folder=tmp_path).ground
    assert one == other
    # by hand: sums 2.1 and 2.105, so the book ends 5 mm low; half of it belongs to each of two set-ups
    assert one.misclosure_m == pytest.approx(-0.005)
    assert levels(one) == pytest.approx({"BM": 100.0, "A": 99.7025, "TP": 100.2025, "B": 100.705})


def test_sums_that_do_not_follow_from_the_readings_are_noted(tmp_path: Path) -> None:
    """A level booked wrongly is told with its line; the readings stand."""
    rows = "point,bs,is,fs,rise,fall,level,x,y\nBM,1.2,,,,,100,0,0\nA,,1.5,,,0.3,99.7,9,0\n"
    rows += "B,,0.4,,1.1,,100.9,9,7\nC,,0.5,,,0.1,100.7,-1,7\nD,,1,,,,,-1,-1\n"
    (tmp_path / "a.csv").write_text(rows, encoding="utf-8")
    read = project('level_book = "a.csv"', folder=tmp_path, area=AREA.replace("[0, 0]", "[0.1, 0.1]")).ground
    assert len(read.notes) == 1
    assert "line 4" in read.notes[0]
    assert '"B" is booked as 100.9' in read.notes[0]
    assert levels(read)["B"] == pytest.approx(100.8)


def test_grids_and_surfaces_are_points_too(tmp_path: Path) -> None:
    """An ASCII grid gives its cell centres from the north down; a LandXML surface its points in its own unit."""
    grid = "ncols 3\nnrows 2\nxllcorner -3\nyllcorner -5\ncellsize 6\n5 6 7\n1 2 -9999\n"
    (tmp_path / "g.asc").write_text(grid, encoding="utf-8")
    small = "[area]\noutline = [[1, -1], [5, -1], [5, 3], [1, 3]]\n"
    read = project('points = "g.asc"', folder=tmp_path, area=small).ground
    found = {
        tuple(np.round([reading.point_m[0] + 1, reading.point_m[1] - 1], 5)): reading.level_m
        for reading in read.readings
    }
    assert found == {(0.0, 4.0): 5.0, (6.0, 4.0): 6.0, (12.0, 4.0): 7.0, (0.0, -2.0): 1.0, (6.0, -2.0): 2.0}
    points = "".join(
        f'<P id="{i}">{n} {e} {z}</P>' for i, (e, n, z) in enumerate([(0, 0, 1), (9, 0, 2), (9, 9, 3), (0, 9, 4)])
    )
    surface = (
        '<LandXML version="1.2"><Units><Imperial linearUnit="foot"/></Units><Surfaces><Surface name="s">'
        f'<Definition surfType="TIN"><Pnts>{points}</Pnts><Faces><F>0 1 2</F><F>0 2 3</F></Faces></Definition>'
        "</Surface></Surfaces></LandXML>"
    )
    (tmp_path / "s.xml").write_text(surface, encoding="utf-8")
    tiny = "[area]\noutline = [[0, 0], [2, 0], [2, 2], [0, 2]]\n"
    read = project('points = "s.xml"', folder=tmp_path, area=tiny).ground
    assert [reading.level_m for reading in read.readings] == pytest.approx([0.3048, 0.6096, 0.9144, 1.2192])
    with pytest.raises(InputError, match="unit"):
        project('points = { file = "s.xml", unit = "m" }', folder=tmp_path, area=tiny)


def test_long_lists_read_as_short_ones_do() -> None:
    """The quick way for long plain lists gives the rows in file order; a header or a gap sends them the careful way."""
    rows = [f"{n % 300} , {n // 300}, {n / 7:.4f}" for n in range(BIG_LINES + 5)]
    found = big_points("# list\n\n" + "\n".join(rows) + "\n", "xyz")
    assert found is not None
    assert found[301] == ("point 302", 1.0, 1.0, 43.0)
    assert len(found) == len(rows)
    turned = big_points("\n".join(f"p{n} {n} {n + 1} 2" for n in range(BIG_LINES + 1)), "pnez")
    assert turned is not None
    assert turned[4] == ("point 5", 5.0, 4.0, 2.0)
    for odd in (["x,y,level", *rows], [*rows, "1, 2,"], [*rows, "1, 2, nan"], rows[:50]):
        assert big_points("\n".join(odd), "xyz") is None


def test_two_lines_of_steps_stand_for_themselves() -> None:
    """Two lines up the slope give readings on those lines only, each from its own start and level."""
    each = "each = [{ rise = 0.5, run = 4 }, { rise = 0.2, run = 4 }]"
    left = f"{{ name = 'left', from = [0, -1], {each} }}"
    right = f"{{ name = 'right', from = [8, -1], level = 0.3, {each} }}"
    read = project(f"steps = [{left}, {right}]").ground
    found = {reading.name: (*reading.point_m, reading.level_m) for reading in read.readings}
    assert found["left, step 2"] == pytest.approx((0.0, 7.0, 0.7))
    assert found["right, step 1"] == pytest.approx((8.0, 3.0, 0.8))
    assert len(found) == 6
    assert len(set(read.repeat)) == 2


def test_big_files_are_cropped_and_thinned() -> None:
    """Of 60,000 points about 20,000 stay, none is invented, those far from the yard go, the loss is stated."""
    chance = np.random.default_rng(3)
    x, y = chance.uniform(-5, 45, 60_000), chance.uniform(-5, 25, 60_000)
    z = 0.2 * y + 0.1 * np.sin(x / 4) + chance.normal(0, 0.01, x.size)
    rows = [(str(i), *row) for i, row in enumerate(np.column_stack([x, y, z]).tolist())]
    far = [("far", 500.0, 500.0, 9.0)]
    kept, lost_m = thin_points(rows + far, (-5, 45, -5, 25))
    assert 15_000 < len(kept) <= 21_500
    assert set(kept) <= set(rows)
    assert 0.005 < lost_m < 0.1
    assert thin_points(rows[:1500] + far, (-5, 45, -5, 25)) == (rows[:1500] + far, 0.0)


def test_levels_of_a_laser_job_are_counted_from_its_mark() -> None:
    """Rod readings name what they were read from: that mark, with its level, is what the card counts from."""
    text = (
        'lynchet = 1\nunits = "metric"\narea = { length = 8, depth = 5 }\n[ground.laser]\nzero = 1.20\n'
        'zero_name = "door sill"\nzero_level = 0.15\nreadings = [ { name = "A", at = [0, 0], rod = 2.35 }, '
        '{ name = "B", at = [8, 0], rod = 2.40 }, { name = "C", at = [0, 5], rod = 1.50 }, '
        '{ name = "D", at = [8, 5], rod = 1.55 } ]\n'
    )
    yard = read_project_text(text)
    assert yard.ground.mark == ("door sill", 0.15)
    assert benchmark(yard) == ("door sill", 0.15, None)
    assert [r.level_m for r in yard.ground.readings] == pytest.approx([-1.00, -1.05, -0.15, -0.20])
