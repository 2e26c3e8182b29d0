"""Bad input: everything at once, each with file, line, key, what was found, what is accepted; nothing is written."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from lynchet.core.errors import Fault, InputError
from lynchet.project.keys import Key, Table
from lynchet.project.keys_build import FILE
from lynchet.project.read import read_project, read_project_text
from lynchet.project.values import leaf

GOOD = """\
lynchet = 1
units = "metric"
[ground]
slope = { fall = "1.25 m in 7.4 m" }
[area]
outline = [[0, 0], [6.2, 0], [6.2, 7.4], [0, 7.4]]
"""

MANY = """\
lynchet = 1
units = "imperial"
nam = "x"
[ground]
slope = { fall = "1 in 6", low_lvel = 3 }
held = "lvl"
[area]
outline = [[0, 0], [6, 6], [6, 0], [0, 6]]
edges = [{ from = 9 }, { from = -1, finish = "wal" }, { finish = "bank" }]
[[house]]
outline = [[0, 0], [1, 0]]
floor = "1 in 6"
[[path]]
line = [[0, 0], [1, "3 fet"]]
width = -3
[[fixed]]
kind = "tree"
stem = "14 kg"
[[fixed]]
kind = "oak"
at = [1, 2, 3]
[soil]
class = "XX"
unit_weight = "120 psf"
[brief]
terraces = 0
levels = [1, 0.5]
highest_wall = "-2 m"
lean = "1:6"
[rain]
intensity = true
[[timber]]
section = "5"
stock = [{ length = "x" }]
[drain]
outlet = [[1, 2], [3]]
[[scheme]]
terraces = 2.5
"""


def faults(text: str, folder: Path | None = None) -> tuple[Fault, ...]:
    with pytest.raises(InputError) as raised:
        read_project_text(text, "yard.toml", folder)
    return raised.value.faults


def only(text: str, folder: Path | None = None) -> Fault:
    found = faults(text, folder)
    assert len(found) == 1, [fault.text() for fault in found]
    return found[0]


def changed(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new)


def test_the_good_file_is_good() -> None:
    """What the tests below break is a file without faults."""
    assert read_project_text(GOOD).area.outline_m[2] == (6.2, 7.4)


def test_many_faults_come_together_each_with_its_line() -> None:
    """More than twenty faults of one file are told at once, in the order of the file, each on the line it stands on."""
    found = faults(MANY)
    assert len(found) >= 28
    lines = MANY.split("\n")
    assert [fault.line for fault in found] == sorted(fault.line for fault in found)
    for fault in found:
        assert fault.file == "yard.toml"
        assert fault.found
        assert fault.accepted
        last = fault.key.rsplit(".", 1)[-1]
        header = last.isdigit() or fault.found in ("missing", "no place")
        assert header or last in lines[fault.line - 1] or fault.key.split(".")[-2] in lines[fault.line - 1], (
            fault.text()
        )


@pytest.mark.parametrize(
    ("old", "new", "key", "line", "words"),
    [
        ("lynchet = 1", "lynchet = 2", "lynchet", 1, "later"),
        ('"metric"', '"imperial"', "units", 2, "metric, us"),
        ("[area]", "[brief]\nterraces = 0\n[area]", "brief.terraces", 6, "from 1"),
        ("[area]", "[brief]\nterrace = 2\n[area]", "brief.terrace", 6, "terraces"),
        ("[area]", '[brief]\nhighest_wall = "-2 ft"\n[area]', "brief.highest_wall", 6, "over"),
        ("[area]", '[brief]\nhighest_wall = "2 furlong"\n[area]', "brief.highest_wall", 6, "furlong"),
        ("[area]", '[brief]\nhighest_wall = "1 in 6"\n[area]', "brief.highest_wall", 6, "slope"),
        ("[6.2, 7.4], [0, 7.4]", "[0, 7.4], [6.2, 7.4]", "area.outline", 6, "cross"),
        ("[6.2, 7.4], [0, 7.4]", "[6.2, 7.4], [6.2, 7.4]", "area.outline", 6, "twice"),
        ("[6.2, 7.4], [0, 7.4]", "[12, 0]", "area.outline", 6, "back on itself"),
        ("[6.2, 7.4], [0, 7.4]", "[3, 0]", "area.outline", 6, "cross or touch|back on itself|one line"),
        ("[6.2, 7.4], [0, 7.4]", '[6.2, 7.4], [0, "7.4 kg"]', "area.outline", 6, "place 4"),
        ("[6.2, 7.4], [0, 7.4]", "[6.2, 20000], [0, 20000]", "area.outline", 6, "10 km"),
        ("outline =", "edges = [{ from = 4 }]\noutline =", "area.edges.1.from", 6, "no edge 4"),
        ("outline =", "edges = [{ from = 1, finish = 'bank' }]\noutline =", "area.edges.1", 6, "width"),
        ("outline =", "length = 3\noutline =", "area", 5, "both"),
        ('fall = "1.25 m in 7.4 m"', 'fall = "3 m"', "ground.slope.fall", 4, "slope"),
        ('fall = "1.25 m in 7.4 m"', "fall = 5", "ground.slope.fall", 4, "200 %"),
        ("[area]", "steps = { each = [{ rise = 1, run = 2 }] }\n[area]", "ground", 3, "several"),
        ("[area]", '[[load]]\noutline = [[0,8],[1,8],[1,9]]\npressure = "3 N"\n[area]', "load.1.pressure", 7, "force"),
        ("[area]", '[timber]\nsection = "150 mm"\n[area]', "timber.section", 6, "x"),
        ("[area]", "[[wall_line]]\nterrace = 1\npoints = [[0, 2], [9, 2]]\n[area]", "wall_line.1.points", 7, "leaves"),
        ("[area]", "[[wall_line]]\nterrace = 1\npoints = [[20,9], [30,9]]\n[area]", "wall_line.1.points", 7, "outside"),
        ("[area]", "[[wall_line]]\nterrace = 1\npoints = [[0, 1], [4, 2]]\n[[wall_line]]\nterrace = 2\n"
         "points = [[0, 2], [4, 1]]\n[area]", "wall_line.2.points", 10, "crosses that of wall_line.1"),
        ("[area]", '[[on_wall]]\nkind = "fence"\nat = "A7"\n[area]', "on_wall.1.at", 7, "A7"),
        ("[area]", "[soil]\njar = { sand = 0.5, silt = 0.2, clay = 0.1 }\n[area]", "soil.jar", 6, "80 %"),
        ("[area]", "[soil]\nfriction_angle = 30\nwall_friction = 35\n[area]", "soil.wall_friction", 7, "30"),
        ("[area]", "[[hole]]\ndepth = 0.5\nwater = 0.9\n[area]", "hole.1.water", 7, "deeper"),
        ("[area]", "[brief]\nterraces = 2\nlevels = [1, 2, 3]\n[area]", "brief.levels", 7, "3 levels"),
        ("[area]", '[brief]\ntimber = "oak"\n[area]', "brief.timber", 6, "oak"),
        ("[area]", '[brief]\nhelps_off = ["pin"]\n[area]', "brief.helps_off", 6, "pins"),
        ("[area]", "[[fixed]]\nkind = 'tree'\n[area]", "fixed.1", 5, "at, line, outline"),
        ("[area]", "[[spring]]\nname = 's'\n[area]", "spring.1", 5, "at, line"),
        ("[area]", "[brief]\nhighest_wall = 1979-05-27\n[area]", "brief.highest_wall", 6, "date"),
        ("[area]", "[brief]\nfreeboard = nan\n[area]", "brief.freeboard", 6, "nan"),
        ("[area]", "[brief]\npins = 1\n[area]", "brief.pins", 6, "true or false"),
    ],
)  # fmt: skip
def test_single_faults(old: str, new: str, key: str, line: int, words: str) -> None:
    """One slip gives one fault, on its key and line, in words that help."""
    fault = only(changed(old, new))
    assert (fault.key, fault.line) == (key, line)
    assert any(word.lower() in fault.text().lower() for word in words.split("|"))


def test_what_is_required_is_named() -> None:
    """An empty file says all that is required, and only that."""
    assert [fault.key for fault in faults("")] == ["lynchet", "units", "ground", "area"]
    found = faults('lynchet = 1\nunits = "us"\n[ground]\n[area]\n')
    assert {(fault.key, fault.line) for fault in found} == {("ground", 3), ("area", 4)}


@pytest.mark.parametrize("table", ["path", "steps", "lot_line"])
def test_two_things_of_one_name(table: str) -> None:
    """Names tell things apart: the second of two alike is the fault."""
    one = f"[[{table}]]\nname = 'main'\nline = [[1, 1], [1, 2]]\n"
    fault = only(GOOD + one + one)
    assert fault.key == f"{table}.2.name"
    assert fault.line == 11


def test_two_loads_or_houses_of_one_name() -> None:
    """The same for outlines."""
    house = "[[house]]\nname = 'shed'\noutline = [[0, 8], [2, 8], [2, 9]]\n"
    assert only(GOOD + house + house).key == "house.2.name"


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """A missing file, a folder, another encoding and text that is no TOML say so, with the line where one is known."""
    path = tmp_path / "yard.toml"
    for wrong, words, line in [
        (None, "no such file", 0),
        (b'lynchet = 1\nname = "caf\xe9"\n', "UTF-8", 2),
        (b"\xff\xfel\x00y\x00", "UTF-8", 1),
        (b"lynchet = 1\nunits = metric\n", "cannot be read", 2),
        (b"lynchet = 1\nlynchet = 1\n", "lynchet stands twice", 2),
    ]:
        if wrong is not None:
            path.write_bytes(wrong)
        with pytest.raises(InputError, match=words) as raised:
            read_project(path)
        assert raised.value.faults[0].line == line
        assert raised.value.faults[0].file == str(path)
    with pytest.raises(InputError):
        read_project(tmp_path)


def test_the_area_must_lie_on_measured_ground() -> None:
    """A corner beyond the readings is named, with its place and how far it lies off."""
    points = (
        "points = { readings = ["
        + ", ".join(
            f'{{ name = "{n}", at = [{x}, {y}], level = {y / 5} }}'
            for n, (x, y) in {"a": (0, 0), "b": (7, 0), "c": (7, 8), "d": (0, 7)}.items()
        )
        + "] }"
    )
    slope = 'slope = { fall = "1.25 m in 7.4 m" }'
    fault = only(changed(slope, points))
    assert fault.key == "area.outline"
    assert "corner 3" in fault.found
    assert fault.line == 6
    read_project_text(changed(slope, points).replace("[0, 7.4]]", "[0, 7.0]]"))


@pytest.mark.parametrize(
    ("rows", "words", "line"),
    [
        ("x,y,level\n0,0,1\n5,zero,2\n5,5,3\n", "zero", 3),
        ("x,y\n0,0\n5,0\n", "only", 1),
        ("x,x,y,level\n0,0,0,1\n", "two columns", 0),
        ("", "no rows", 0),
        ("x,y,level\n0,0,1\n1,0,1\n2,0,1\n", "on one line", 5),
        ("x,y,level\n0,0,1\n0,0,9\n20,0,1\n20,20,1\n0,20,1\n", "two levels", 4),
    ],
)
def test_point_files_that_cannot_be_used(tmp_path: Path, rows: str, words: str, line: int) -> None:
    """A bad row is named with the line of its own file; a file too thin for a surface is refused."""
    (tmp_path / "p.csv").write_text(rows, encoding="utf-8")
    text = changed('slope = { fall = "1.25 m in 7.4 m" }', 'points = "p.csv"').replace("[ground]", "[ground]")
    found = faults(text, tmp_path)
    assert any(words in fault.text() for fault in found)
    if line:
        assert line in {fault.line for fault in found} or "on one line" in words or "two levels" in words


def test_a_book_that_cannot_be_reduced_names_its_row(tmp_path: Path) -> None:
    """A missing backsight is told with the line of the book where it is missing."""
    book = "point,backsight,intermediate,foresight,known,x,y\n"
    book += "BM,1.2,,,100,0,0\nA,,1.1,,,5,0\nTP,,,1.4,,5,9\nB,,1.0,,,0,9\n"
    (tmp_path / "b.csv").write_text(book, encoding="utf-8")
    fault = only(changed('slope = { fall = "1.25 m in 7.4 m" }', 'level_book = "b.csv"'), tmp_path)
    assert (fault.file, fault.line, fault.key) == ("b.csv", 4, "backsight")


def test_a_firm_file_has_its_own_lines(tmp_path: Path) -> None:
    """A fault in the firm's file is told with that file's name and line; a missing one on the job's line."""
    (tmp_path / "firm.toml").write_text('# ours\n[access]\nbarrow = "3 kg"\n', encoding="utf-8")
    fault = only('firm = "firm.toml"\n' + GOOD, tmp_path)
    assert (fault.file, fault.line, fault.key) == ("firm.toml", 3, "access.barrow")
    fault = only('firm = "none.toml"\n' + GOOD, tmp_path)
    assert (fault.file, fault.line, fault.key) == ("yard.toml", 1, "firm")


def _word_keys(table: Table) -> Iterator[Key]:
    for key in table.keys.values():
        if key.table is not None:
            yield from _word_keys(key.table)
        elif key.kind == "word":
            yield key


def test_a_word_is_taken_as_it_was_offered() -> None:
    """What an error offers may be typed over as it stands, with what its brackets say: "sticky (clay)"."""
    offered = [
        (key, word, phrase.group())
        for key in _word_keys(FILE)
        for word in key.words
        if (phrase := re.search(rf"\b{word} \([^)]*\)", key.said))
    ]
    assert len(offered) >= 6
    for key, word, phrase in offered:
        assert leaf(key, phrase, "metric") == word
