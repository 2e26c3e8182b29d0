"""Slips of the pen a builder makes with `calc`, and what is read off the answer in feet, inches and gallons."""

from __future__ import annotations

import json
import re

import pytest

from lynchet.commands.calc import Asked, lines
from lynchet.core.errors import InputError

STOCK, KERF = 'stock=[{length_m = "8 ft", price_money = 12.5}]', "kerf_m=1/8 in"


def shown(*words: str, **options: object) -> str:
    """What `lynchet calc` prints."""
    return "\n".join(lines(Asked(list(words), **options)))


def refused(*words: str) -> str:
    """What it says instead of an answer."""
    with pytest.raises(InputError) as error:
        shown(*words)
    return str(error.value)


def test_half_a_key_is_answered_with_the_missing_one():
    """Of two keys with the word in it, the one that must still be given is offered."""
    text = refused("active_coefficient", "friction=30")
    assert "did you mean friction_angle_deg?" in text and "wall_friction_deg" not in text


def test_a_wrong_column_is_answered_with_the_right_one():
    """A table's column without its unit is told apart, with the column meant, and its row."""
    text = refused("cut_stock", STOCK, 'pieces=[{length = "4 ft"}]', KERF)
    assert "pieces[0].length" in text and "did you mean length_m?" in text
    text = refused("cut_stock", STOCK, 'pieces=[{length_m = "4 ft", colour = "red"}]', KERF)
    assert "one of: length_m, count" in text


def test_a_length_for_an_angle_names_angles():
    """Feet where degrees are meant: degrees and slopes are offered, no bare ratio (a plain number is degrees)."""
    text = refused("active_coefficient", "friction_angle_deg=30 ft")
    assert "30 deg" in text and "ratio" not in text


def test_an_empty_file_is_told_once(tmp_path):
    """A file with keys and no rows is one fault with the file's name."""
    file = tmp_path / "empty.csv"
    file.write_text("length_m,count\n", encoding="utf-8")
    text = refused("cut_stock", STOCK, f"pieces=@{file}", KERF)
    assert text.count("no rows found") == 1 and text.count("empty.csv") == 1


def test_tables_stand_row_by_row():
    """Each row of a table has its line among the givens, with feet and inches; each stick its line in the result."""
    text = shown("cut_stock", STOCK, 'pieces=[{length_m = "4 ft", count = 2}, {length_m = "7 ft"}]', KERF, units="us")
    assert re.search(r"\n  pieces +length 4 ft 0 in \(1\.2192 m\), count 2\n +length 7 ft 0 in \(2\.1336 m\)", text)
    cuts = text.split("\nResult")[1].split("cuts")[1]
    assert len(re.findall(r"\n(?:  cuts)? +\d[^()\n]* in \([\d., ]+ m\)", cuts)) == 2


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (("curve_number_runoff", "curve_number=70", "rain_mm=6 in"), "6 in (152.4 mm)"),  # TR-55, Example 2-1: 2.81 in
        (("curve_number_runoff", "curve_number=70", "rain_mm=6 in"), "2.805 in ("),
        (
            ("pipe_part_full_flow", "diameter_m=4 in", "slope=1 in 100", "roughness=0.013", "flow_m3_s=10 gpm"),
            "10 gpm (",
        ),
        (("bearing_factors", "method=vesic", "friction_angle_deg=30"), "n c      30.1396\n"),
    ],
)
def test_us_units_stand_first(words, answer):
    """Rain in inches, flow in gallons a minute, SI behind; a factor's letter is no degree Celsius."""
    assert answer in shown(*words, units="us")


def test_keys_as_a_schema():
    """--help --json gives the keys as a JSON schema with ranges, and kind and unit in words."""
    schema = json.loads(shown("active_coefficient", "--help", as_json=True))
    friction = schema["properties"]["friction_angle_deg"]
    assert schema["required"] == ["friction_angle_deg"] and not schema["additionalProperties"]
    assert (friction["minimum"], friction["maximum"]) == (0, 50) and friction["description"] == "number 0 to 50, °"


def test_the_same_slip_in_every_row_is_told_once():
    """A column too many in a long table is one line with the number of rows; a far word brings the keys there are."""
    rows = ", ".join('{name = "a", quantity = 1, unit = "m3", price_money = 2}' for _ in range(30))
    text = refused("price_rollup", f"items=[{rows}]")
    assert text.count("unknown key") == 1 and "so in 30 rows" in text and "one of: name, quantity" in text
