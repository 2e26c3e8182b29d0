"""The commands `calc` and `verify` as a builder meets them."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from lynchet.calculators.registry import entries, find
from lynchet.calculators.text import example_line, page_lines, run, working_text
from lynchet.commands.calc import Asked, lines
from lynchet.commands.verify import run as run_cases
from lynchet.core.errors import InputError, UnknownNameError

ENTRIES = list(entries())
PIECES = "length_m,count\n8 ft,2\n1.2 m,3\n"


def command(*words: str) -> subprocess.CompletedProcess[str]:
    """The installed command, run on its own."""
    code = "import sys; from lynchet.commands.app import main; sys.argv[0] = 'lynchet'; main()"
    return subprocess.run(
        [sys.executable, "-c", code, *words], check=False, capture_output=True, text=True, encoding="utf-8", timeout=60
    )


def shown(*words: str, **options: object) -> str:
    """What `lynchet calc` prints, without starting a process."""
    return "\n".join(lines(Asked(list(words), **options)))


@pytest.mark.parametrize("name", [entry.name for entry in ENTRIES])
def test_printed_example_runs(name):
    """The example on every calculator's page, typed as printed, gives what the declared example gives."""
    declared = find(name)
    page = page_lines(declared)
    typed = shlex.split(example_line(declared))
    assert page[-1].strip() == example_line(declared)
    assert typed[:3] == ["lynchet", "calc", name]
    told = json.loads(shown(*typed[2:], as_json=True))
    assert told["result"] == run(name, declared.example).result
    assert told["source"] and told["known"] in ("SEEN", "MEMORY", "DERIVED", "PRACTICE")


@pytest.mark.parametrize("name", [entry.name for entry in ENTRIES])
def test_page_names_every_key(name):
    """A calculator's page shows each key of its signature, its equation or limits, and its source."""
    declared = find(name)
    page = "\n".join(page_lines(declared))
    code = declared.function.__code__
    for key in code.co_varnames[: code.co_kwonlyargcount]:
        assert f"\n  {key} " in page
    assert "Equation: " in page or "Limits: " in page
    assert f"Source: {declared.source}" in page


def test_list_shows_every_room_and_line():
    """Without a name every calculator is listed under its room with one line."""
    text = shown()
    for entry in ENTRIES:
        assert f"  {entry.name} " in text and entry.line in text
    assert text.index("ground") < text.index("\nwater") < text.index("\ntimber")


def test_list_is_searched_by_word_and_room():
    """A word finds names and lines, a room narrows, and a slip of the pen is answered with the nearest."""
    found = shown(find="notch", room="timber")
    assert "notch_shear" in found and "overflow_weir" not in found
    with pytest.raises(UnknownNameError, match="timber"):
        shown(room="timbr")
    with pytest.raises(UnknownNameError, match="notch"):
        shown(find="noch")


def test_tape_units_are_understood():
    """Tape and pound units give the moment that w L²/8 by hand gives, and are shown as understood."""
    words = ["span_m=6 ft 3 1/2 in", "width_m=5 1/2 in", "depth_m=140mm", "line_load_kn_per_m=300 plf"]
    told = json.loads(shown("member_check", *words, as_json=True))
    span, load = 75.5 * 0.0254, 300 * 4.4482216152605 / 304.8
    assert told["given"]["span_m"] == pytest.approx(span, rel=1e-12)
    assert told["result"]["moment_kn_m"] == pytest.approx(load * span**2 / 8, rel=1e-12)
    text = shown("member_check", *words, units="us")
    assert "6 ft 3 1/2 in (1.9177 m)" in text and 'from "6 ft 3 1/2 in"' in text
    assert "CAUTION" in text and "Working" in text and "Source: " in text and "How known: " in text


def test_lists_and_tables_come_in_many_ways(tmp_path: Path):
    """Commas, JSON, TOML with units, a CSV of rows and a TOML file all give the same arguments."""
    ways = ["piece_lengths_m=8 ft, 1.2", "piece_lengths_m=[2.4384, 1.2]", 'piece_lengths_m=["8 ft", "120 cm"]']
    rest = ["spacing_m=1.2", "end_distance_m=0.3", "timber_height_m=0.14"]
    (tmp_path / "lengths.csv").write_text("length_m\n8 ft\n1.2 m\n", encoding="utf-8")
    ways.append(f"piece_lengths_m=@{tmp_path / 'lengths.csv'}")
    told = [json.loads(shown("pin_layout", way, *rest, as_json=True)) for way in ways]
    file = tmp_path / "pins.toml"
    file.write_text('piece_lengths_m = ["8 ft", 1.2]\nspacing_m = "1200 mm"\nend_distance_m = 0.5\n', encoding="utf-8")
    told.append(json.loads(shown("pin_layout", *rest[1:], from_file=file, as_json=True)))
    assert all(one["given"]["piece_lengths_m"] == pytest.approx([2.4384, 1.2]) for one in told)
    assert all(one["result"] == told[0]["result"] for one in told)


def test_one_row_of_a_csv_gives_the_keys(tmp_path: Path):
    """A CSV with one row under the calculator's keys is a set of arguments; empty cells are left out."""
    file = tmp_path / "given.csv"
    file.write_text("nominal_thickness_in,nominal_width_in,condition,length_m\n6,6,,8 ft\n", encoding="utf-8")
    told = json.loads(shown("timber_size", from_file=file, as_json=True))
    assert told["result"]["board_feet"] == pytest.approx(24.0)


def test_mistakes_are_all_told_at_once():
    """A value with the wrong unit and a flag that is none are both named, with what is accepted."""
    with pytest.raises(InputError) as caught:
        shown("dowel_bearing", "specific_gravity=0.55", "diameter_m=1/2 kg", "end_grain=perhaps")
    text = str(caught.value)
    assert "diameter_m" in text and "a length" in text and "end_grain" in text and "true or false" in text
    assert "lynchet calc dowel_bearing --help" in text


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["total_rise_m=-3ft"], '"-3ft" is -0.9144; accepted: above 0'),
        (["total_rise_m=-1"], "-1.0 found; accepted: above 0"),
        (["total_rise_m=1", "going_m=-14 in"], '"-14 in" is -0.3556'),
        (["steps.toml"], "did you mean --from steps.toml?"),
    ],
)
def test_a_refused_number_is_told_as_it_was_typed(words, told):
    """A tape measure out of range is named as written, with what it is in the key's unit; a file finds its option."""
    with pytest.raises(InputError) as caught:
        shown("stair_flight", *words)
    assert told in str(caught.value)


def test_a_reader_that_stops_early_meets_no_trace():
    """Whoever reads the first line only and closes ends the command without a word of Python."""
    words = ["lynchet", "calc", "stair_flight", "--help"]
    code = f"import sys; from lynchet.commands.app import main; sys.argv[:] = {words}; main()"
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE) as process:  # fmt: skip
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        assert b"Traceback" not in process.stderr.read()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["calc", "timber_siz"], "timber_size"),
        (["calc", "timber_size", "nominal_thicknes_in=6", "nominal_width_in=6"], "did you mean nominal_thickness_in"),
        (["calc", "timber_size", "six"], "key=value"),
        (["calc", "timber_size", "nominal_width_in=6", "nominal_width_in=8"], "written twice"),
        (["calc", "--jsn"], "unknown option --jsn"),
        (["calc", "timber_size", "--from", "no_such_file.toml"], "no_such_file.toml"),
        (["calc", "dowel_bearing", "specific_gravity=0.55", "diameter_m=true"], "diameter_m"),
        (["verify", "no_such_folder"], "no_such_folder"),
    ],
)
def test_bad_input_ends_with_status_two(words, told):
    """Bad input prints its message on the error stream, nothing on the other, and ends with status 2."""
    done = command(*words)
    assert done.returncode == 2, done
    assert told in done.stderr and done.stdout == "" and "Traceback" not in done.stderr


def test_command_runs_in_a_shell():
    """The installed command prints help, a page and a run, with status 0."""
    assert "calc" in command("--help").stdout
    page = command("calc", "dowel_bearing", "--help")
    assert page.returncode == 0 and "diameter_m *" in page.stdout and "Example" in page.stdout
    done = command("calc", "dowel_bearing", "specific_gravity=0.5", "diameter_m=1/2 in")
    assert done.returncode == 0 and "38.61" in done.stdout  # 5600 psi, 11200 x 0.50


def test_help_stays_light():
    """The help and the list of calculators load neither NumPy, SciPy, Shapely nor the checker."""
    code = (
        "import sys; from lynchet.commands.app import main; from lynchet.commands.calc import Asked, lines; "
        "lines(Asked([])); print([m for m in ('numpy', 'scipy', 'shapely', 'pydantic') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True, timeout=60)
    assert done.stdout.strip() == "[]", done.stdout + done.stderr


def test_finding_opens_the_same_text():
    """The working that a finding opens is word for word what the command prints for the same values."""
    given = {"specific_gravity": 0.55, "diameter_m": 0.0127}
    assert working_text("dowel_bearing", given) == shown("dowel_bearing", "specific_gravity=0.55", "diameter_m=0.0127")


CASE = """
[[case]]
id = "{id}"
title = "invented"
source = "invented for this test"
known = "DERIVED"
calculator = "{calculator}"
given = {{ {given} }}
{expect}
"""
SIZE = "nominal_thickness_in = 6, nominal_width_in = 6"


@pytest.fixture
def three_cases(tmp_path: Path) -> Path:
    """A file with one case that agrees, one that does not and one that nobody computes."""
    agrees = "expect = { width_m = { value = 0.1397, tol = 1e-9 } }"
    differs = "expect = { width_m = { value = 0.15, tol = 1e-3 } }"
    refused = 'refused = "width"'
    file = tmp_path / "cases.toml"
    file.write_text(
        CASE.format(id="good", calculator="timber_size", given=SIZE, expect=agrees)
        + CASE.format(id="bad", calculator="timber_size", given=SIZE, expect=differs)
        + CASE.format(id="lost", calculator="timber_colour", given=SIZE, expect=agrees)
        + CASE.format(id="no", calculator="timber_size", given=SIZE.replace("h_in = 6", "h_in = 4"), expect=refused),
        encoding="utf-8",
    )
    return file


def test_verify_tells_each_case(three_cases: Path):
    """One line for each case with ours, published, difference, tolerance, source and how known, then the sum."""
    said: list[str] = []
    assert run_cases([three_cases], "", False, said.append) == 1
    assert said[-1] == "2 passed, 1 failed, 1 missing"
    assert len(said) == 5
    assert said[0].startswith("passed") and "ours 0.1397" in said[0] and "invented for this test | DERIVED" in said[0]
    assert said[1].startswith("failed") and "difference 0.0103" in said[1] and "tolerance 0.001" in said[1]
    assert said[2].startswith("missing") and "timber_colour" in said[2]
    assert said[3].startswith("passed") and "refused" in said[3]


def test_verify_gives_data(three_cases: Path):
    """--json holds the same outcomes as the lines."""
    said: list[str] = []
    run_cases([three_cases.parent], "cases", True, said.append)
    data = json.loads(said[0])
    assert [case["outcome"] for case in data["cases"]] == ["passed", "failed", "missing", "passed"]
    assert data["summary"] == {"passed": 2, "failed": 1, "missing": 1}


def test_verify_runs_what_ships():
    """Without files the cases that ship with the package run; a room narrows them, a wrong room is answered."""
    done = command("verify", "--room", "ground")
    last = done.stdout.strip().splitlines()[-1]
    assert done.returncode == 0 and last.endswith("passed, 0 failed, 0 missing") and not last.startswith("0 ")
    wrong = command("verify", "--room", "grond")
    assert wrong.returncode == 2 and "ground" in wrong.stderr
