"""Slips a builder makes in tables and units, through the command line: each is answered with what was meant."""

from __future__ import annotations

import pytest

from by_command import command

PIECES = "length_m,count\n6 ft 2 in,4\n3 ft 1 1/2 in,8\n"
STOCK = '[[stock]]\nlength_m = "8 ft"\nprice_money = 21.5\n[[stock]]\nlength_m = "10 ft"\nprice_money = 28\n'


def _files(tmp_path, pieces=PIECES):
    (tmp_path / "pieces.csv").write_text(pieces, encoding="utf-8")
    (tmp_path / "stock.toml").write_text(STOCK, encoding="utf-8")
    return [f"pieces=@{tmp_path / 'pieces.csv'}", "--from", str(tmp_path / "stock.toml"), "kerf_m=1/8 in"]


def test_pieces_from_csv_and_stock_from_toml_in_tape_units(tmp_path):
    """Feet and inches in both files are cut as typed: 12 pieces on 2 sticks of 8 ft and 4 of 10 ft at most."""
    ran = command("calc", "cut_stock", *_files(tmp_path), "--units", "us")
    assert ran.status == 0 and "6 ft 2 in" in ran.out and "count 8" in ran.out
    cost = next(line.split()[-1] for line in ran.out.splitlines() if line.strip().startswith("cost "))
    assert 0 < float(cost) <= 2 * 21.5 + 4 * 28.0


def test_a_column_without_its_unit_is_told_once(tmp_path):
    """A heading "length" for "length_m" is told once for all rows, with the name that was meant."""
    ran = command("calc", "cut_stock", *_files(tmp_path, PIECES.replace("length_m", "length")))
    assert ran.status == 2
    assert ran.err.count("did you mean length_m?") == 1 and "in 2 rows" in ran.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["mulch_cover", "area_m2=12 yd", "depth_mm=3 in"], 'area_m2: "12 yd" is a length'),
        (["mulch_cover", "area_m2=12 sq yd", "depth_mm=3 lb"], 'depth_mm: "3 lb" is a force'),
        (["stair_flight", "rise_m=2 ft 4 in"], "did you mean total_rise_m?"),
        (["earth_states", "volume_m3=3 cu yd", "state=bank", "loose_per_bnk=1.25"], "did you mean loose_per_bank?"),
        (["direct_sun_hours", "latitude=47"], "did you mean latitude_deg?"),
        (["active_coefficient", "friction_angle_deg=30", "method=coulom"], "rankine or coulomb"),
        (["wall_lean", "wall_height_m=3 ft", 'readings=[{height_m="1 ft", offset_mm="1/4 in"}]'],
         "one of: height_m, distance_mm"),
        (["active_coeficient", "friction_angle_deg=30"], "did you mean active_coefficient"),
    ],
)  # fmt: skip
def test_slips_are_answered_with_what_was_meant(words, told):
    """Wrong kinds of unit, keys and names half remembered end with status 2 and the way on."""
    ran = command("calc", *words)
    assert ran.status == 2 and told in ran.err, ran.err
