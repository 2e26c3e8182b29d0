"""Timber through the command line: the one-stick box bed cut, sticks on hand, over-length pieces, bad stock.

Yards are invented. Expected figures by hand: courses, corners and saw cuts counted on the drawing.
"""

from __future__ import annotations

import json
from collections import Counter

import pytest

from by_command import YARDS, changed, command, planned

FT = 0.3048
IN = 0.0254
ONE_STICK = {"terraces = 1": "terraces = 1\none_stick = true"}


def test_box_bed_is_cut_of_single_sticks(tmp_path):
    """12 ft front and back, 4 ft 11 in returns, laps alternating: no joint but the notch, four courses of each front
    from whole 12 ft sticks or butted 11 ft 1 in between the returns; sums and counts by hand; told that nothing breaks
    the wish but the drain."""
    data = planned(changed(tmp_path, "box_bed.toml", ONE_STICK)).data
    wood, pieces = data["timber"], data["pieces"]
    runs = Counter(piece["run"] for piece in pieces)
    notched = {run for notch in data["water"]["notches"] for run in notch["runs"]}
    assert {run for run, count in runs.items() if count > 1} <= notched
    cut = sorted(size for stick in wood["sticks"] for size in stick["lengths_m"])
    lengths = sorted(max(p["end_m"]) - min(p["start_m"]) for p in pieces)
    assert cut == pytest.approx(lengths, abs=1e-5)
    assert max(cut) == pytest.approx(12 * FT, abs=1e-5)
    for stick in wood["sticks"]:
        assert stick["stock_m"] == pytest.approx(12 * FT)
        assert sum(stick["lengths_m"]) + (len(stick["pieces"]) - 1) * IN / 8 <= 12 * FT + 1e-6
    assert wood["proof"]["proven"] and wood["proof"]["cost"] == pytest.approx(12 * FT * len(wood["sticks"]), abs=1e-3)
    told = [f for f in data["findings"] if f["code"] == "timber.one_stick"]
    assert all("a notch for the drain cuts it" in f["text"] for f in told)


def test_box_bed_corner_pins_and_strength(tmp_path):
    """Its corners carry what the stability stage hands on (126 lb a course by hand), bending stays under the 518 psi of
    hem-fir No. 2 for lasting loads; every course but the lowest is pinned at both corners."""
    data = planned(YARDS / "box_bed.toml").data
    checks = {check["what"]: check for check in data["timber"]["checks"] if check["leg"] == "A0"}
    assert checks["bending"]["capacity"] == pytest.approx(0.9 * 575 * 0.00689476, rel=1e-4)
    assert checks["bending"]["demand"] < checks["bending"]["capacity"]
    assert checks["corner pin"]["demand"] < checks["corner pin"]["capacity"]
    worst = max(corner["corner_pull_kn"] for corner in data["stability"]["corners"] if corner["leg"] == "A0")
    assert checks["corner pin"]["demand"] <= worst + 1e-9
    pins = Counter(one["course"] for one in data["timber"]["fasteners"] if one["kind"] == "corner pin")
    courses = sorted({piece["course"] for piece in data["pieces"]})
    assert set(pins) <= set(courses[1:]) and len(set(pins.values())) == 1


def test_a_front_longer_than_the_sticks_breaks_the_wish_and_is_told(tmp_path):
    """8 ft sticks cannot make a 12 ft course: go with care, with both lengths."""
    file = changed(tmp_path, "box_bed.toml", ONE_STICK | {'stock = ["12 ft"]': 'stock = ["8 ft"]'})
    plan = planned(file)
    found = plan.findings("timber.one_stick")
    assert found and {f["verdict"] for f in found} == {"watch"}
    assert "12 ft 0 in long, and the longest stick gives 8 ft 0 in" in plan.text("timber.one_stick")
    assert "The wall 4 ft 0 in shorter would do" in plan.text("timber.one_stick")


def test_one_stick_goes_before_the_longest_piece_one_can_carry(tmp_path):
    """Pieces of 6 ft at most, but one stick a course wished: whole sticks, held by its corners, no lighter pieces
    offered; without the wish every long course has joints."""
    short = {"terraces = 1": 'terraces = 1\nlongest_piece = "6 ft"'}
    whole = {"terraces = 1": 'terraces = 1\nlongest_piece = "6 ft"\none_stick = true'}
    parts, one = (planned(changed(tmp_path, "box_bed.toml", text)) for text in (short, whole))
    notched = {run for notch in one.data["water"]["notches"] for run in notch["runs"]}
    counts = [Counter(piece["run"] for piece in plan.data["pieces"]) for plan in (parts, one)]
    assert {run for run, count in counts[1].items() if count > 1} <= notched
    assert sum(count > 1 for count in counts[0].values()) > 3
    longest = max(max(p["end_m"]) - min(p["start_m"]) for p in one.data["pieces"])
    assert longest == pytest.approx(12 * FT, abs=1e-5)
    assert one.wall("A0")["by_corners"] and not parts.wall("A0")["by_corners"]
    assert all(not finding["cures"] for finding in one.findings("timber.lift"))


def test_sticks_on_hand_are_used_first_and_cost_nothing(tmp_path):
    """Five sticks at hand: five fewer are bought, the price is for the rest."""
    plain = planned(changed(tmp_path, "box_bed.toml", {'stock = ["12 ft"]': "stock = [{ length = 12, price = 50 }]"}))
    hand = planned(changed(tmp_path, "box_bed.toml",
                           {'stock = ["12 ft"]': "stock = [{ length = 12, price = 50, on_hand = 5 }]"}))  # fmt: skip
    before, after = plain.data["timber"], hand.data["timber"]
    assert before["price"] == 50 * len(before["sticks"])
    assert sum(stick["source"] == "on hand" for stick in after["sticks"]) == 5
    assert after["price"] == before["price"] - 250 and len(after["sticks"]) == len(before["sticks"])


def test_sticks_that_nobody_sells_are_used_and_not_ordered(tmp_path):
    """Three sticks of 16 ft, on hand only: used where they serve, none bought, no piece cut longer for them."""
    stock = 'stock = [{ length = 12, price = 50 }, { length = "16 ft", on_hand = 3, sold = false }]'
    plan = planned(changed(tmp_path, "box_bed.toml", {'stock = ["12 ft"]': stock}))
    (odd,) = (line for line in plan.data["timber"]["stock"] if line["length_m"] == pytest.approx(16 * FT))
    assert odd["on_hand"] == 3 and odd["bought"] == 0
    assert max(max(p["end_m"]) - min(p["start_m"]) for p in plan.data["pieces"]) == pytest.approx(12 * FT, abs=1e-5)
    (line,) = (line for line in plan.data["works"]["order"] if line["key"] == "timber_16_ft")
    assert line["buy"] == 0 and line["money"] == 0 and line["note"].startswith("3 are on hand")


def test_pieces_longer_than_the_stock_are_special_and_told(tmp_path):
    """A longest piece of 12 ft asked of 8 ft stock: whole courses of 12 ft as special lengths, no price, with a way
    out."""
    file = changed(tmp_path, "box_bed.toml", {
        'stock = ["12 ft"]': "stock = [{ length = 8, price = 30 }]",
        "terraces = 1": 'terraces = 1\nlongest_piece = "12 ft"',
    })  # fmt: skip
    plan = planned(file)
    special = [line for line in plan.data["timber"]["stock"] if line["special"]]
    assert special and all(line["price_each"] is None for line in special)
    assert plan.data["timber"]["price"] is None
    (found,) = plan.findings("timber.special")
    assert found["verdict"] == "watch" and "12 ft 0 in" in found["text"] and "8 ft 0 in" in found["text"]
    assert found["cures"][0]["edits"][0][0] == "brief.longest_piece"


@pytest.mark.parametrize(
    ("stock", "key", "words"),
    [
        ('stock = ["12 ft", "1 ft"]', "timber.1.stock.2.length", "shorter than the shortest piece"),
        ("stock = [{ length = 12, price = -3 }]", "timber.1.stock.1.price", "-3"),
        ("stock = [{ length = 12, on_hand = 2.5 }]", "timber.1.stock.1.on_hand", "2.5"),
        ("stock = [{ length = 12, on_hand = -1 }]", "timber.1.stock.1.on_hand", "-1"),
        ("stock = [{ length = 12, price = 0, on_hand = 2 }]", "timber.1.stock.1.price", "for nothing"),
        ("stock = []", "timber.1.stock", "no length in it is sold"),
        ('stock = [{ length = "12 ft", on_hand = 9, sold = false }]', "timber.1.stock", "no length in it is sold"),
        ('stock = ["12 ft", { length = "8 ft", sold = false }]', "timber.1.stock.2.sold", "none is on hand"),
        ('stock = ["12 ft", "144 in"]', "timber.1.stock.2.length", "twice"),
        ('stock = ["12 ft"]\nkerf = "2 in"', "timber.1.kerf", "2 in"),
        ('stock = ["4 ft"]\nend_trim = "-1 in"', "timber.1.end_trim", "-1 in"),
        ('stock = ["2 ft 6 in"]\nend_trim = "8 in"', "timber.1.stock.1.length", "once its end is trimmed"),
    ],
)  # fmt: skip
def test_bad_stock_is_refused_and_nothing_is_written(tmp_path, stock, key, words):
    """Short, negative, broken, double stock and saw cuts out of range: the key and what was found, no plan."""
    file = changed(tmp_path, "box_bed.toml", {'stock = ["12 ft"]': stock})
    before = sorted(tmp_path.iterdir())
    ran = command("plan", str(file), "--out", str(tmp_path / "out"))
    assert ran.status != 0 and key in ran.err and words in ran.err, ran.err
    assert sorted(tmp_path.iterdir()) == before


def test_lists_agree_in_the_plan_file(tmp_path):
    """Counts of fasteners, pieces, sticks and litres in plan.json are sums of what it lists."""
    data = planned(YARDS / "plain.toml").data
    wood = data["timber"]
    lines = {line["kind"]: line["count"] for line in wood["fastener_lines"]}
    assert lines.get("base pin", 0) == len(data["stability"]["pins"])
    for kind in ("screw", "corner pin", "tie screw"):
        assert lines.get(kind, 0) == sum(one["kind"] == kind for one in wood["fasteners"])
    assert sum(line["bought"] + line["on_hand"] for line in wood["stock"]) == len(wood["sticks"])
    assert len(wood["weights"]) == sum(len(stick["pieces"]) for stick in wood["sticks"])
    liquid = wood["preservative"]
    assert liquid["area_m2"] == pytest.approx(liquid["cut_ends"] * (5.5 * IN) ** 2, rel=1e-6)
    assert liquid["litres"] == pytest.approx(liquid["rate_l_m2"] * liquid["area_m2"])
    assert json.dumps(data)


def test_pieces_to_carry_is_a_cure_by_its_name(tmp_path):
    """Heavy pieces are told with the length two can lift; asked for by name, no piece is over it any more."""
    plan = planned(YARDS / "plain.toml")
    (found,) = plan.findings("timber.lift")
    assert found["demand"] > found["capacity"] == 33.0 and found["verdict"] == "ok"
    lighter = planned(YARDS / "plain.toml", "--with", "pieces-to-carry")
    assert lighter.findings("timber.lift") == []
    assert max(one["mass_kg"] for one in lighter.data["timber"]["weights"]) <= 33.0
    per_m = 50 * 16.01846 * (5.5 * IN) ** 2  # 50 lb/ft3
    heaviest = plan.data["timber"]["weights"][0]
    assert heaviest["mass_kg"] == pytest.approx(per_m * heaviest["length_m"], rel=1e-4)
