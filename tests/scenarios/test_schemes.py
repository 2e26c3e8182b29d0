"""Schemes through the command line: set side by side, told as edits of the file, planned one by one."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from types import SimpleNamespace
from typing import Any

import pytest

from by_command import YARDS, changed, command
from lynchet.core.findings import Verdict
from lynchet.project.edit import edit_file
from lynchet.schemes.model import Outcome, Row
from lynchet.schemes.named import NAMES, truthful

OWN = """
[[scheme]]
name = "one bench, pinned"
terraces = 1
pins = true
[[scheme]]
name = "square to the fall"
lines = "fall"
"""


@cache
def compared(name, *words):
    """The comparison of a yard as data."""
    ran = command("compare", str(YARDS / name), "--json", *words)
    assert ran.status == 0, ran.err
    return json.loads(ran.out)


def by_name(data):
    return {one["name"]: one for one in data["schemes"]}


def test_all_schemes_stand_beside_the_file_in_a_fixed_order():
    """The file as written comes first, every scheme of the tool is there or said to be missing, twice the same."""
    data = compared("plain.toml")
    shown = [one["name"] for one in data["schemes"]] + [one["name"] for one in data["none_here"]]
    assert data["base"]["name"] == "as written" and sorted(shown) == sorted(NAMES)
    made = [one["name"] for one in data["schemes"]]
    assert [name for name in NAMES if name in made] == made and len(made) >= 5
    again = command("compare", str(YARDS / "plain.toml"), "--json")
    assert json.loads(again.out) == data


@pytest.mark.parametrize("yard", ["plain.toml", "two_low_walls.toml", "tape_on_ground.toml"])
def test_schemes_keep_their_promise(yard):
    """Each scheme has no more than the file of what it promises the least of, and never worse stops."""
    data = compared(yard)
    base, one = data["base"], by_name(data)
    assert one["lowest-walls"]["highest_m"] <= base["highest_m"] + 1e-9
    assert one["least-soil"]["handled_m3"] <= base["handled_m3"] + 1e-9
    assert one["most-bed"]["bed_m2"] >= base["bed_m2"] - 1e-9
    assert one["fewest-sticks"]["sticks"] <= base["sticks"]
    for name in ("lowest-walls", "least-soil", "most-bed", "fewest-sticks"):
        assert base["verdict"] == "stop" or one[name]["verdict"] != "stop"
    if "one-wall-fewer" in one:
        assert one["one-wall-fewer"]["terraces"] == base["terraces"] - 1
    assert one["no-wall"]["walls"] == 0 and one["no-wall"]["sticks"] == 0


def test_a_steep_slope_gets_lower_walls():
    """On a steep yard more terraces lower the highest wall, and it is said what that costs."""
    data = compared("tape_on_ground.toml")
    low = by_name(data)["lowest-walls"]
    assert low["highest_m"] < data["base"]["highest_m"] - 0.05
    assert any(text.startswith("highest wall") for text in low["gains"]) and low["loses"]


@pytest.mark.parametrize("name", ["one-wall-fewer"])
def test_a_scheme_is_its_edit_made_by_hand(name, tmp_path):
    """Writing the edit of a scheme into the file gives the plan that was compared, and the one of --scheme."""
    yard = "tape_on_ground.toml"
    one = by_name(compared(yard))[name]
    file = changed(tmp_path, yard, {})
    scheme = command("plan", str(file), "--scheme", name, "--effort", "live", "--json")
    assert scheme.status == 0, scheme.err
    edit_file(file, [(edit["key"], edit["value"]) for edit in one["edits"]])
    by_hand = command("plan", str(file), "--json")
    assert json.loads(by_hand.out)["walls"] == json.loads(scheme.out)["walls"]
    data = json.loads(by_hand.out)
    assert data["verdict"] == one["verdict"] and len(data["timber"]["sticks"]) == one["sticks"]
    again = command("compare", str(file), "--schemes", "no-wall", "--json")
    assert json.loads(again.out)["base"]["highest_m"] == pytest.approx(one["highest_m"], abs=1e-9)


def test_own_schemes_come_first_and_are_planned_as_written(tmp_path):
    """[[scheme]]s of the file stand before the tool's; each is the file with those keys in its brief."""
    file = changed(tmp_path, "plain.toml", {}, OWN)
    ran = command("compare", str(file), "--json")
    assert ran.status == 0, ran.err
    data = json.loads(ran.out)
    assert [one["name"] for one in data["schemes"]][:2] == ["one bench, pinned", "square to the fall"]
    own = by_name(data)["one bench, pinned"]
    assert own["own"] and own["terraces"] == 1
    plain = command("plan", str(file), "--scheme", "one bench, pinned", "--effort", "live", "--json")
    edit_file(file, [(edit["key"], edit["value"]) for edit in own["edits"]])
    assert json.loads(command("plan", str(file), "--effort", "live", "--json").out) == json.loads(plain.out)


def test_the_table_fits_the_screen(tmp_path):
    """No line is wider than 80 characters, however many schemes, offered as options too, however long their names."""
    one = '[[scheme]]\nname = "a scheme with a long name {k}"\nlean = 0\noption = "offered as {k}"\n'
    many = "".join(one.format(k=k) for k in range(5))
    file = changed(tmp_path, "plain.toml", {}, many)
    ran = command("compare", str(file))
    assert ran.status == 0, ran.err
    lines = ran.out.splitlines()
    assert max(map(len, lines)) <= 80
    assert sum(line.startswith("highest wall") for line in lines) >= 2  # five of one's own, three beside the file
    assert "Gains:" in ran.out and "no prices" in ran.out


def test_cost_and_hours_come_from_the_works(tmp_path):
    """Hours are those of the plan; without prices that is said, with some the band and what is missing of it."""
    bare = by_name(compared("plain.toml"))["one-wall-fewer"]
    assert bare["cost"] is None and bare["hours"]["low"] < bare["hours"]["high"]
    prices = '\n[prices]\ncurrency = "USD"\nitems = { labour = 48, drain_stone = 60, load_away = 420 }\n'
    file = changed(tmp_path, "plain.toml", {}, prices)
    data = json.loads(command("compare", str(file), "--schemes", "one-wall-fewer", "--json").out)
    cost = by_name(data)["one-wall-fewer"]["cost"]
    assert data["currency"] == "USD" and 0 < cost["low"] < cost["high"]
    assert "no price for" in by_name(data)["one-wall-fewer"]["cost_note"]
    plan = json.loads(command("plan", str(file), "--scheme", "one-wall-fewer", "--effort", "live", "--json").out)
    assert (plan["works"]["price"]["total"]["low"], plan["works"]["price"]["total"]["high"]) == (
        cost["low"],
        cost["high"],
    )
    hours = [task["hours"] for task in plan["works"]["tasks"]]
    assert sum(band["low"] for band in hours) == pytest.approx(bare["hours"]["low"])
    shown = command("compare", str(file), "--schemes", "one-wall-fewer").out
    assert "cost, USD" in shown and "no price for" in shown


def test_write_keeps_a_scheme(tmp_path):
    """--scheme with --write puts the edit into the file and keeps its remarks."""
    file = changed(tmp_path, "tape_on_ground.toml", {})
    ran = command("plan", str(file), "--scheme", "lowest-walls", "--effort", "live", "--write")
    assert ran.status == 0, ran.err
    text = file.read_text(encoding="utf-8")
    assert "# INVENTED" in text and "terraces = 3" not in text


def test_leaving_the_slope_is_no_plan(tmp_path):
    """Where nothing is built the command says so, writes nothing and ends well."""
    out = tmp_path / "out"
    ran = command("plan", str(YARDS / "plain.toml"), "--scheme", "no-wall", "--out", str(out))
    assert ran.status == 0 and "Nothing is built" in ran.out and not out.exists()


def test_a_slope_left_as_it_is_has_no_level_bed_and_no_nought_for_money(tmp_path):
    """Less level ground is never told as more; what planting costs is not counted, and not told as nothing."""
    prices = '\n[prices]\ncurrency = "USD"\nitems = { timber = "5 per ft" }\n'
    ran = command("compare", str(changed(tmp_path, "plain.toml", {}, prices)), "--schemes", "no-wall")
    said = " ".join(ran.out.split())
    assert re.search(r"level bed \d+ sq ft none ~", said) and "~ no-wall: " in said
    assert re.search(r"Loses: level bed \d+ sq ft → none \(\d+ sq ft slope as the ground does\)", said)
    assert re.search(r"Gains: .*cost [\d,–]+ → plants only; hours [\d–]+ → planting only", said)


def test_banks_where_the_file_lets_one_dig(tmp_path):
    """Edges outside which one may dig get banks in place of walls: no wall is left, and the bed stays level."""
    edges = ", ".join(f"{{ from = {edge}, dig_beyond = 6 }}" for edge in range(4))
    file = changed(tmp_path, "plain.toml", {'depth = "14 ft"': f'depth = "14 ft"\nedges = [{edges}]'})
    data = json.loads(command("compare", str(file), "--schemes", "no-wall", "--json").out)
    one = by_name(data)["no-wall"]
    assert one["built"] and one["walls"] == 0 and one["terraces"] == 1 and "banks" in one["what"]


def test_out_folder_gets_text_and_data(tmp_path):
    """--out writes what was shown."""
    ran = command("compare", str(YARDS / "plain.toml"), "--schemes", "no-wall", "--out", str(tmp_path / "x"))
    assert ran.status == 0, ran.err
    assert (tmp_path / "x" / "compare.txt").read_text(encoding="utf-8") == ran.out
    assert json.loads((tmp_path / "x" / "compare.json").read_text(encoding="utf-8"))["schemes"][0]["name"] == "no-wall"


BAD = {
    "unknown name": ("", "--schemes", "lowest", "no scheme is called"),
    "unknown key": ('[[scheme]]\nname = "x"\nterrace = 2\n', "", "", 'did you mean "terraces"'),
    "no name": ("[[scheme]]\nterraces = 2\n", "", "", "scheme.1.name"),
    "two of a name": ('[[scheme]]\nname = "x"\n[[scheme]]\nname = "x"\n', "", "", "scheme"),
    "levels against terraces": ('[[scheme]]\nname = "x"\nterraces = 3\nlevels = [1, 2]\n', "", "", "scheme.1.levels"),
    "levels against its walls": (
        '[[scheme]]\nname = "x"\nterraces = 2\nlevels = ["0 ft", "3 ft"]\nhighest_wall = "1 ft"\n',
        "",
        "",
        "scheme.1.levels",
    ),
    "pieces against themselves": (
        '[[scheme]]\nname = "x"\nlongest_piece = "2 ft"\nshortest_piece = "3 ft"\n',
        "",
        "",
        "scheme.1.longest_piece",
    ),
    "levels against the brief": ('[[scheme]]\nname = "x"\nlevels = [1, 2, 3]\n', "", "", "3 levels for 2 terraces"),
    "out of range": ('[[scheme]]\nname = "x"\nhighest_wall = "-1 m"\n', "", "", "scheme.1.highest_wall"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_schemes_are_refused(case, tmp_path):
    """What is wrong is named with file, line and key; the status is 2 and nothing is written."""
    text, option, value, words = BAD[case]
    file, out = changed(tmp_path, "plain.toml", {}, text), tmp_path / "out"
    ran = command("compare", str(file), "--out", str(out), *([option, value] if option else []))
    assert ran.status == 2 and words in ran.err and not out.exists() and "Traceback" not in ran.err
    if not option:
        line = len(file.read_text(encoding="utf-8").splitlines())
        assert any(f"plain.toml:{k}: scheme" in ran.err for k in range(line - 4, line + 1))


def test_a_yard_that_stops_is_set_beside_its_cure() -> None:
    """Where the file as written stops, the scheme "cured" is the cheapest cure that leaves no stop."""
    data = json.loads(command("compare", str(YARDS / "ladder_three.toml"), "--schemes", "cured", "--json").out)
    cured = by_name(data)["cured"]
    assert data["base"]["verdict"] == "stop" and cured["verdict"] != "stop" and cured["edits"]
    clean = json.loads(command("compare", str(YARDS / "ladder_two.toml"), "--schemes", "cured", "--json").out)
    assert not clean["schemes"] and "nothing stops" in json.dumps(clean)


def test_best_in_nothing_that_another_shown_scheme_has_more_of():
    """Where the file as written stands for an aim and a scheme beside it has more of that, the sheet says which."""
    row = Row(Verdict.STOP, "", 1, None, "", None, 1.0, 1.0, 1, 2.0, 50.0, 0.4, 5, 3, 74)
    plan: Any = SimpleNamespace(refused=False)
    first = Outcome("as written", "", (), plan, row)
    sticks = Outcome("fewest-sticks", "", (), plan, row, 5, "no brief tried needs fewer sticks (5 looked at)")
    other = Outcome("mine", "", (("brief.terraces", 6),), SimpleNamespace(refused=False), replace(row, sticks=70))
    said = truthful(sticks, first, (sticks, other)).note
    assert said.startswith("no brief tried needs fewer sticks and stops no more than the file (5 looked at); ")
    assert said.endswith("; mine does better in this alone")
    assert truthful(sticks, first, (sticks, replace(other, row=row))) == sticks


VERY_LOW = """
[[scheme]]
name = "very low"
highest_wall = "6 in"
"""


def test_a_wish_for_low_walls_that_a_scheme_does_not_keep_is_told(tmp_path):
    """A scheme that asks for walls of 6 in over ground too steep for it: what it holds and what was wished, as its
    plan's own finding says; the file as written has no such wish."""
    path = changed(tmp_path, "plain.toml", {'fall = "8 %"': 'fall = "35 %"'}, VERY_LOW)
    shown = " ".join(command("compare", str(path), "--schemes", "very low").out.split())
    told = re.findall(r"Its highest wall holds (.*?), more than the (.*?) wished\.", shown)
    plan = command("plan", str(path), "--scheme", "very low", "--effort", "live").out
    highest = re.search(r"the highest holds (.*?) \(.*more than the 6 in wished", " ".join(plan.split()))
    assert highest and told == [(highest[1], "6 in")]
