"""Bad input is refused whole and clearly, nothing is written; odd input is planned and said to be odd.

Yards are invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from by_command import YARDS, Ran, changed, command, planned
from lynchet.core.errors import InputError
from lynchet.project.edit import edit_file
from lynchet.project.read import read_project, read_project_text

PLAIN = (YARDS / "plain.toml").read_text(encoding="utf-8")
OUTLINE = 'length = "20 ft"\ndepth = "14 ft"'
TWENTY = """lynchet = 1
units = "furlongs"
colour = "red"

[ground]
slope = { fall = "downhill", low_level = "9 bananas" }
held = "loosely"

[area]
length = "-20 ft"
depth = 0
edges = [{ from = -1, finish = "cliff" }]

[soil]
feel = "crunchy"
cohesion = "-3 kPa"

[rain]
runoff = "350 %"

[[timber]]
section = "5 1/2 in"
unit_weight = "heavy"

[[load]]
outline = [[0, 0]]
pressure = "0 kPa"

[brief]
terraces = 0
freeboard = "-2 in"
reach = "9 m"
ties = "perhaps"
helps_off = ["prayer"]
"""


def refused(tmp_path: Path, text: str | bytes, *says: str) -> Ran:
    """The plan of this file is refused with status 2, says these words, and writes nothing."""
    file, out = tmp_path / "yard.toml", tmp_path / "out"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    before = file.read_bytes()
    ran = command("plan", str(file), "--out", str(out), "--with", "ties", "--write")
    assert ran.status == 2 and ran.out == ""
    assert not out.exists() and file.read_bytes() == before and list(tmp_path.iterdir()) == [file]
    assert "Traceback" not in ran.err
    for word in says:
        assert word in ran.err, ran.err
    return ran


def test_missing_file(tmp_path):
    """No such file: its name, what is wrong, status 2, nothing written."""
    ran = command("plan", str(tmp_path / "nowhere.toml"), "--out", str(tmp_path / "out"))
    assert ran.status == 2 and "nowhere.toml" in ran.err and list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (OUTLINE, "outline = [[0, 0], [20, 14], [20, 0], [0, 14]]", ("area", "cross")),
        ('fall = "8 %"', 'fall = "8 cubits"', ("ground.slope.fall", "cubits")),
        ('units = "us"', 'units = "imperial"', ("units", "imperial", "metric")),
        ("terraces = 2", 'terraces = 2\\nhighest_wall = "-2 ft"', ("brief.highest_wall", "-2 ft")),
        ("terraces = 2", "terraces = 0", ("brief.terraces", "0", "1")),
        ("[brief]", "[brief]\\nterrace = 2", ("brief.terrace", "terraces")),
        ("lynchet = 1", "lynchet = 7", ("lynchet", "7")),
        ("[brief]", "[[wall_line]]\\nterrace = 2\\npoints = [[50, 7], [70, 7]]\\n[brief]", ("wall_line", "area")),
        ('depth = "14 ft"', 'depth = "1 in 6"', ("area.depth", "1 in 6")),
        (
            'depth = "14 ft"',
            'depth = "14 ft"\\nedges = [{ from = 2, finish = "house" }]',
            ("area.edges.1.finish", "the file has no [[house]]"),
        ),
        (
            'depth = "14 ft"',
            'depth = "14 ft"\\nedges = [{ from = 2, finish = "house" }]\\n[[house]]\\n'
            "outline = [[0, 30], [20, 30], [20, 50], [0, 50]]",
            ("area.edges.1.finish", "stands 16 ft 0 in from this edge"),
        ),
        (
            'depth = "14 ft"',
            'depth = "14 ft"\\nedges = [{ from = 2, finish = "fence" }]',
            ("area.edges.1.finish", '"fence"', "[[lot_line]]", "inset"),
        ),
        (
            'depth = "14 ft"',
            'depth = "14 ft"\\nedges = [{ from = 3, inset = 1 },\\n{ from = 2, inset = 15 }]',
            ("yard.toml:14: area.edges.2.inset: 15 ft 0 in inside edge 2", "less than 13 ft 11 7/8 in"),
        ),
    ],
)
def test_one_fault(tmp_path, old, new, says):
    """One thing wrong: the key, what was found, what is accepted, and its line."""
    assert old in PLAIN
    ran = refused(tmp_path, PLAIN.replace(old, new.replace("\\n", "\n")), *says)
    assert "yard.toml:" in ran.err and "accepted" in ran.err


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("[brief]", "[brief]\nx = 1\n[[drain]]\nfall = 0.01\n[[earth]]\ntopsoil = 0.1\n", ("drain", "earth", "keys")),
        ("[ground]", "drain = 5\n[ground]", (": drain: 5 found", "a table of keys")),
        (
            "[ground]",
            'scheme = 3\nearth = "loose"\nmoved = [4]\n[ground]',
            (": scheme: 3 found", ': earth: "loose" found'),
        ),
        ('slope = { fall = "8 %" }', 'points = "nowhere.csv"', (": ground.points", '"nowhere.csv": there is no')),
        ("terraces = 2", "terraces = 2\nlevels = [0, 330]", (": brief.levels: 330 ft", "off all measured ground")),
        ("[brief]", '[prices]\nfile = "nowhere.csv"\n[brief]', (": prices.file", '"nowhere.csv": there is no such')),
        ("[brief]", '[prices]\nfile = "yard.toml"\n[brief]', (": prices.file", "a TOML file", "CSV or XLSX")),
        ("[brief]", '[[fixed]]\nkind = "tree"\nat = [1e9, 2]\n[brief]', (": fixed.1.at", "within 10 km")),
        ("[brief]", "[[path]]\nline = [[0, 1], [0, 1e9]]\n[brief]", (": path.1.line", "within 10 km")),
        ('slope = { fall = "8 %" }', "steps = []", (": ground.steps: 0 found", "1 or more")),
        ('depth = "14 ft"', "depth = 1e-300", (": area.depth", "from 3/8 in")),
        ('depth = "14 ft"', f"depth = {10**400}", (": area.depth", "000... found", "up to")),
        ('depth = "14 ft"', f"depth = {'7' * 5000}", ("a number of 5000 digits",)),
        (
            'depth = "14 ft"',
            f'depth = "{"7" * 5000} ft"',
            (
                ": area.depth",
                "777...",
            ),
        ),
        ("[brief]", '[prices]\nfile = "a\\u0000b.csv"\n[brief]', (": prices.file", "'\\x00' cannot stand")),
        ("[brief]", '[prices]\nfile = "my\\table.csv"\n[brief]', (": prices.file", "cannot stand", "parted by /")),
        ("lynchet = 1", 'lynchet = 1\nfirm = "a\\u0000b"', (": firm: ",)),
    ],
)
def test_wrong_tables_files_and_far_places_name_their_key(tmp_path, old, new, says):
    """A plain value for a table, a file that is not there, a place far off: the line and key that say so."""
    assert old in PLAIN
    refused(tmp_path, PLAIN.replace(old, new.replace("\\n", "\n"), 1), "yard.toml:", "accepted", *says)


def test_area_off_the_ground(tmp_path):
    """An area far from every reading: each corner with how far off it lies, and what readings are wanted."""
    points = "\n[ground.points]\nreadings = [{ at = [0, 0], level = 0 }, { at = [9, 0], level = 0 }, "
    points += "{ at = [0, 9], level = 1 }]\n"
    text = PLAIN.replace('slope = { fall = "8 %" }\nheld = "level"', 'held = "level"' + points)
    text = text.replace(OUTLINE, "outline = [[200, 0], [220, 0], [220, 14], [200, 14]]")
    ran = refused(tmp_path, text, "area.outline", "off the measured ground", "readings at or beyond every corner")
    assert ran.err.count("corner ") >= 4


def test_wrong_encoding(tmp_path):
    """A file saved in another encoding: said so, with the line and the word, and how to mend it."""
    odd = PLAIN.replace("Plain slope", "Böschung")
    refused(tmp_path, odd.encode("latin-1"), "yard.toml:4:", '"Böschung"', "save as, encoding UTF-8")
    refused(tmp_path, odd.encode("utf-16"), "yard.toml:1:", "UTF-16")
    refused(tmp_path, b"\x89PNG\r\n\x1a\n\0\0", "yard.toml:1:", "no text file")


@pytest.mark.parametrize("mark", ["\ufeff", ""])
@pytest.mark.parametrize("ends", ["\r\n", "\r", "\n"])
def test_line_ends_and_marks_of_other_systems(tmp_path, mark, ends):
    """A mark at the beginning, tabs, and line ends of any system are read; a program's edit keeps the line ends."""
    file = tmp_path / "yard.toml"
    file.write_bytes((mark + PLAIN.replace("terraces = 2", "\tterraces\t=\t2").replace("\n", ends)).encode())
    assert read_project(file).brief.terraces == 2
    if ends != "\r":
        edit_file(file, [("brief.terraces", 1)])
        assert file.read_bytes().count(b"\r") == (PLAIN.count("\n") if ends == "\r\n" else 0)
    assert read_project(file).brief.terraces == (2 if ends == "\r" else 1)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('units = "us"', 'units = "us"\nunits = "us"', ("yard.toml:4:", "units stands twice")),
        ("[soil]", "[area]\n[soil]", ("yard.toml:14:", "[area] stands twice")),
        ('length = "20 ft"', "length = 20 ft", ("yard.toml:11:", "length = 20 ft", 'in quotes: "20 ft"')),
        ('length = "20 ft"', "length = \u201c20 ft\u201d", ("yard.toml:11:", "curly quotes", "straight")),
        ('length = "20 ft"', "length = 6,5", ("yard.toml:11:", "a point for decimals")),
        ('length = "20 ft"', 'length = "6,5 m"', ("yard.toml:11:", "has a comma", "a point for decimals")),
        ('fall = "8 %"', 'fall = "1,2 m in 7,4 m"', ("has a comma", "a point for")),
        ("[brief]", '[prices]\nfile = "C:\\Users\\list.csv"\n[brief]', ("a backslash between quotes", "with /")),
        ('length = "20 ft"', 'length: "20 ft"', ("yard.toml:11:", "no = after the key")),
        ('length = "20 ft"', 'length = "20 ft', ("yard.toml:11:", "not closed")),
        ('length = "20 ft"', 'length = "20\' 6""', ("yard.toml:11:", "inches as in")),
        ('length = "20 ft"', "length = nan", ("yard.toml:11:", "nan found", "a length from 3/8 in up to 32,808 ft")),
        ('length = "20 ft"', "length = 1e300", ("yard.toml:11:", "1e+300 found", "up to 32,808 ft")),
        ("terraces = 2", "terraces = 2\nhighest_wall = inf", ("brief.highest_wall: inf found", "a length over 0")),
        ("terraces = 2", 'terraces = "2"', ("brief.terraces", "from 1 to 50, without quotes")),
        ("lynchet = 1\n", "", ("lynchet: missing", "lynchet = 1")),
        ("[brief]", "[[path]]\nline = [[5, 1], [5, 1]]\n[brief]", ("path.1.line", "places 1 and 2 are one place")),
        (
            "[brief]",
            "[[wall_line]]\nterrace = 2\npoints = [[0, 7], [5, 7], [5, 7]]\n[brief]",
            ("wall_line.1.points", "places 2 and 3 are one place"),
        ),
        ('length = "20 ft"', 'length = "20 ft 6"', ("area.length", '"20 ft 6 in" for feet and inches')),
        ("[brief]", '[site]\nlatitude = "51 N"\n[brief]', ("site.latitude", "negative for south and west")),
        ("terraces = 2", "terraces = 2\npins = Yes", ("yard.toml:24", "true or false")),
        ("terraces = 2", 'terraces = 2\nlean = "1:12"', ("brief.lean", "a colon is read in two ways", "1 in 6")),
        ('section = "5 1/2 in x 5 1/2 in"', 'section = "6x6"', ('"6x6"', '"5 1/2 in x 5 1/2 in" (a 6x6)')),
        ('"8 ft", "12 ft"', '"1 ft"', ("timber.1.stock.1.length", "shorter than the shortest piece")),
        ("[brief]", '[planting]\nwishes = ["Englsh lavendar"]\n[brief]', ("wishes.1", "English lavender")),
        ("[brief]", '[[scheme]]\nname = "b"\nlevels = [1, 2, 3]\nterraces = 2\n[brief]', ("scheme.1.levels",)),
    ],
)
def test_slips_of_the_pen_are_told_in_plain_words(tmp_path, old, new, says):
    """What people mistype in such files: the line, what stands there, and what to write instead."""
    assert old in PLAIN
    refused(tmp_path, PLAIN.replace(old, new, 1), "accepted", *says)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('slope = { fall = "8 %" }', 'slope = "8 %"'),
        ('["8 ft", "12 ft"]', '"8 ft"'),
        ('"5 1/2 in x 5 1/2 in"', '"5 1/2 x 5 1/2 in"'),
        ('"5 1/2 in x 5 1/2 in"', '"140x140 mm"'),
        ('feel = "gritty"', 'feel = "don\'t know"'),
    ],
)
def test_shorter_ways_of_writing(old, new):
    """A plain value where a table or a list could stand, one unit for both sides of a section, not knowing the soil."""
    project, plain = read_project_text(PLAIN.replace(old, new)), read_project_text(PLAIN)
    assert project.ground == plain.ground and project.timber.course_m == pytest.approx(plain.timber.course_m, abs=1e-3)
    assert project.soil.known == ("know" not in new)


def test_no_toml_at_all(tmp_path):
    """A letter to the tool is no project file: the line where reading stopped."""
    refused(tmp_path, "Dear garden,\nI would like three beds.\n", "yard.toml")


def test_a_name_too_long_for_a_file_is_told(tmp_path, monkeypatch):
    """No system holds a name of 300 letters: told, and nothing written."""
    monkeypatch.chdir(tmp_path)
    look = ("look", "--side-to-side", "6 m", "--up-the-slope", "4 m", "--drop", "1 m", "--save", "x" * 300)
    for words in (("new", "x" * 300), look):
        ran = command(*words)
        assert ran.status == 2 and "cannot be written" in ran.err and not list(tmp_path.iterdir())


def test_twenty_faults_at_once(tmp_path):
    """Every fault of a bad file comes at once, each with its line and key."""
    ran = refused(tmp_path, TWENTY)
    lines = [line for line in ran.err.splitlines() if "yard.toml:" in line]
    keys = (
        "units", "colour", "ground.slope.fall", "ground.slope.low_level", "ground.held", "area.length",
        "area.depth", "from", "finish", "soil.feel", "soil.cohesion", "rain.runoff", "section", "unit_weight",
        "outline", "pressure", "brief.terraces", "brief.freeboard", "brief.reach", "brief.ties", "brief.helps_off",
    )  # fmt: skip
    assert len(lines) >= 20
    for key in keys:
        assert any(key in line for line in lines), f"{key} is not told"


def test_unknown_cure_and_unknown_help(tmp_path):
    """A cure or help that does not exist: the names that do, and the file as it was."""
    file = changed(tmp_path, "plain.toml", {})
    before = file.read_bytes()
    wrong = command("plan", str(file), "--with", "miracle", "--write")
    assert wrong.status == 2 and "miracle" in wrong.err and file.read_bytes() == before
    nameless = command("plan", str(file), "--scheme", " ", "--write")
    assert nameless.status == 2 and "--scheme: an empty name" in nameless.err and file.read_bytes() == before
    unknown = command("plan", str(file), "--without", "gravity", "--write")
    assert unknown.status == 2 and "gravity" in unknown.err and "pins" in unknown.err and file.read_bytes() == before


def test_flat_ground_is_planned_and_said(tmp_path):
    """Level ground: a plan, and the word that no wall is needed."""
    plan = planned(changed(tmp_path, "plain.toml", {'fall = "8 %"': "fall = 0"}))
    assert plan.verdicts("ground.flat") == {"watch"} and "No wall is needed" in plan.text("ground.flat")
    assert not plan.data["walls"]["runs"]


@pytest.mark.parametrize("drop", ["0 in", "2 in", "5 in"])
def test_flat_ground_is_told_what_fits_it(drop, tmp_path):
    """Under 2 %, planned or looked at: no terraces, one edging or raised bed, and what to ask about water; the look
    still fits one screen."""
    words = ("needs no terraces", "one low edging", "one raised bed", "stand after rain", "lower ground for a drain")
    size = ("--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--held", "level", "--top", "lawn", "--soil", "silky")
    looked = command("look", "--drop", drop, *size)
    shown = command("plan", str(changed(tmp_path, "plain.toml", {'fall = "8 %"': f'fall = "{drop} in 24 ft"'})))
    for ran in (looked, shown):
        assert ran.status == 0 and all(word in " ".join(ran.out.split()) for word in words), ran.out + ran.err
    assert len(looked.out.splitlines()) <= 24 and all(len(line) <= 80 for line in looked.out.splitlines())


def test_ground_that_falls_is_not_called_flat():
    """At 8 % nothing is said of flat ground."""
    assert "Flat ground" not in command("plan", str(YARDS / "plain.toml")).out


def test_readings_that_do_not_close_are_planned_and_said():
    """A loop that misses: the band widens and the readings to repeat are named."""
    plan = planned(YARDS / "tape_on_ground.toml")
    assert plan.verdicts("ground.misclosure") == {"watch"} and plan.data["walls"]["runs"]


SURVEY = "x,y,level\n-1,-1,0\n30,-1,0\n30,30,2\n-1,30,2\n"


def surveyed(tmp_path: Path, rows: str, more: str = ""):
    """The readings of the plain yard over a list of points."""
    (tmp_path / "p.csv").write_text(rows, encoding="utf-8")
    text = PLAIN.replace('slope = { fall = "8 %" }', f'points = {{ file = "p.csv"{more} }}')
    return [reading.level_m for reading in read_project_text(text, "yard.toml", tmp_path).ground.readings]


def test_lists_of_points_as_they_come(tmp_path):
    """Semicolons with decimal commas, tabs, other names, units in the heads or in a cell: the same ground."""
    plain = surveyed(tmp_path, SURVEY)
    assert max(plain) == pytest.approx(2 * 0.3048)
    for rows in (
        SURVEY.replace(",", ";").replace(";2\n", ";2,0\n"), SURVEY.replace(",", "\t"),
        SURVEY.replace("x,y,level", "Easting,Northing,Elevation"), SURVEY.replace(",2\n", ",2 ft 0 in\n"),
        SURVEY.replace("x,y,level", "x (ft),y (ft),z (ft)"),
    ):  # fmt: skip
        assert surveyed(tmp_path, rows) == pytest.approx(plain)
    metres = SURVEY.replace("x,y,level", "x (m),y (m),z (m)")
    assert max(surveyed(tmp_path, metres)) == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("rows", "more", "says"),
    [
        ("x,y,level\n", "", ("p.csv:1", "no rows")),
        ("", "", ("ground.points.file", '"p.csv": no rows')),
        ("a,b,c\n1,2,3\n", "", ("p.csv:1", "columns a, b, c", "x, y, level")),
        ("x,y,level\n1,two,3\n", "", ("p.csv:2", "1, two, 3", "numbers")),
        (SURVEY.replace("level", "level (m)"), ', unit = "ft"', ("ground.points.unit", "(m)")),
    ],
)
def test_lists_that_are_none(tmp_path, rows, more, says):
    """No rows, unknown heads, words for numbers, two units: refused with file and line."""
    with pytest.raises(InputError) as raised:
        surveyed(tmp_path, rows, more)
    for word in says:
        assert word in str(raised.value), raised.value


def test_steps_without_a_step(tmp_path):
    """An empty list of steps is a fault of its own, no accident."""
    refused(
        tmp_path, PLAIN.replace('slope = { fall = "8 %" }', "steps = { each = [] }"), "ground.steps.each", "1 or more"
    )


def surface_file(tmp_path: Path, rows: list[tuple[float, float, float]]) -> Path:
    """The plain yard over these readings."""
    readings = ",\n  ".join(f"{{ at = [{x}, {y}], level = {z:.3f} }}" for x, y, z in rows)
    ground = f'held = "level"\n[ground.points]\nreadings = [\n  {readings},\n]'
    file = tmp_path / "surface.toml"
    file.write_text(PLAIN.replace('slope = { fall = "8 %" }\nheld = "level"', ground), encoding="utf-8")
    return file


GRID = [(x, y) for x in (-4, 2, 8, 14, 20, 26) for y in (-4, 2, 8, 14, 20)]


def test_saddle_is_planned_and_said(tmp_path):
    """Ground that rises two ways and falls two ways is no plain slope: planned, and said to be odd."""
    plan = planned(surface_file(tmp_path, [(x, y, 0.01 * ((x - 10) ** 2 - (y - 7) ** 2)) for x, y in GRID]))
    assert "watch" in plan.verdicts("ground.shape") or "ask" in plan.verdicts("ground.shape")


def test_one_reading_far_out_is_planned_and_named(tmp_path):
    """One reading 3 ft off the plane through all others is named, to be read again."""
    rows = [(x, y, 0.1 * y + (3.0 if (x, y) == (8, 8) else 0.0)) for x, y in GRID]
    plan = planned(surface_file(tmp_path, rows))
    odd = [f for f in plan.findings("ground.") if f["verdict"] in ("watch", "ask") and "gain" in f["text"]]
    assert odd, [f["text"] for f in plan.findings("ground.")]


def test_a_folder_that_cannot_be_written_leaves_the_project_file(tmp_path):
    """--out on a file: status 2, and neither that file nor the project file is changed, --write or not."""
    file = changed(tmp_path, "plain.toml", {})
    out = tmp_path / "out"
    out.write_text("mine", encoding="utf-8")
    before = file.read_bytes()
    ran = command("plan", str(file), "--effort", "live", "--without", "pins", "--write", "--out", str(out))
    assert ran.status == 2 and str(out) in ran.err and "is a file: name a folder" in ran.err
    assert file.read_bytes() == before and out.read_text(encoding="utf-8") == "mine"
