"""The job that is balanced on paper: cut equals fill, and there are loads to cart away that somebody must pay."""

from __future__ import annotations

import pytest

from by_command import YARDS, changed, command, planned
from lynchet.units.parse import parse

BALANCED = YARDS / "balanced.toml"
AREA_M2 = 36 * 24 * 0.3048**2


def account(*words: str):
    """The soil account of the balanced yard."""
    return planned(BALANCED, *words).data["earth"]["account"]


def test_cut_equals_fill_and_loads_go_away():
    """Cut in bank measure is fill over compaction; two loads leave, since stone, timber and compost need room."""
    soil = account()
    assert soil["bench_cut_m3"] == pytest.approx(soil["plain_fill_m3"] / soil["compacted_per_bank"], abs=1e-6)
    assert soil["loads"] >= 2 and soil["barrows"] > 100
    assert soil["away_bank_m3"] > 2.0 * soil["bench_cut_m3"]
    pushed = {row["what"]: row["bank_m3"] for row in soil["pushed"]}
    assert pushed["stone"] > pushed["timber"] > 1.0
    text = planned(BALANCED).text("earth.pushed_out")
    assert "balance" in text and f"{soil['loads']} loads" in text and "stone" in text and "yd³" in text


def test_stone_and_timber_pushed_out_are_no_more_than_there_is():
    """By hand: what a material pushes out is at most its whole volume over compaction; compost is 2 in of the beds."""
    soil = account()
    pushed = {row["what"]: row["volume_m3"] for row in soil["pushed"]}
    assert pushed["timber"] + pushed["ties"] <= soil["timber_m3"] + 1e-6
    assert pushed["stone"] <= soil["stone_m3"] + 1e-6
    assert 0.5 * AREA_M2 * 0.0508 < pushed["bed soil"] < AREA_M2 * 0.0508


def test_benches_up_by_a_course_is_offered_with_its_figures_and_applies_by_name():
    """The cure is an edit of levels by whole courses; applied, it keeps at least half of the soil in the yard."""
    finding = planned(BALANCED).findings("earth.pushed_out")[0]
    cure = {cure["name"]: cure for cure in finding["cures"]}["benches-up"]
    assert "course" in cure["text"] and "soil away" in cure["effect"]
    edits = dict(map(tuple, cure["edits"]))
    before = planned(BALANCED).data["terraces"]["levels_m"]
    after = [parse(text, "length", "us") for text in edits["brief.levels"]]
    lifts = [text - level for text, level in zip(after, before, strict=True)]
    mark = 0.0254 / 16 + 1e-6  # the lowest is written to an eighth of an inch, the others stay courses above it
    assert all(abs(lift - round(lift / 0.1397) * 0.1397) < mark and lift > -mark for lift in lifts) and max(lifts) > 0.1
    whole = [(one - after[0]) / 0.1397 for one in after]
    assert whole == pytest.approx([round(one) for one in whole], abs=1e-3)
    after = account("--with", "benches-up")
    assert 0.0 <= after["away_loose_m3"] < 0.5 * account()["away_loose_m3"]


def test_spread_it_takes_the_loads_off_the_bill(tmp_path):
    """A lawn that may be raised takes what is left over; the finding says how large it would have to be."""
    cure = {cure["name"]: cure for cure in planned(BALANCED).findings("earth.pushed_out")[0]["cures"]}["spread-it"]
    assert "sq ft" in cure["text"] and "fewer to cart" in cure["effect"]
    lawn = '\n[earth]\nspread = [{ name = "lawn", outline = [[0, 40], [36, 40], [36, 80], [0, 80]], most = "4 in" }]\n'
    found = planned(changed(tmp_path, "balanced.toml", {}, lawn)).data["earth"]
    assert found["account"]["loads"] == 0 and found["account"]["spread_m3"] > 5.0
    assert [row["place"] for row in found["moves"] if row["kind"] == "spread"] == ["lawn"]


def test_heap_and_run_are_places_in_the_files_own_coordinates():
    """The heap lies outside the yard, the run begins at the truck stop and passes the gate as the file has them."""
    found = planned(BALANCED).data["earth"]
    heap = next(heap for heap in found["heaps"] if heap["id"] == "heap")
    area = (36 * 0.3048, 24 * 0.3048)
    assert all(not (0.0 < x < area[0] and 0.0 < y < area[1]) for x, y in heap["outline_m"])
    run = found["barrow_run"]
    assert run["points_m"][0] == pytest.approx([18 * 0.3048, -25 * 0.3048], abs=1e-4)
    assert any(point == pytest.approx([18 * 0.3048, -12 * 0.3048], abs=1e-4) for point in run["points_m"])
    assert run["narrowest_m"] == pytest.approx(38 * 0.0254) and found["truck_reaches"] is False


def test_a_narrow_street_takes_a_smaller_truck(tmp_path):
    """Nine feet of street: the small tipper, more loads, and the default is told as assumed."""
    small = planned(changed(tmp_path, "balanced.toml", {"[access]": '[access]\nstreet = "9 ft"'})).data["earth"]
    assert small["account"]["load_m3"] == pytest.approx(4 * 0.764554858)
    assert small["account"]["loads"] > account()["loads"]


@pytest.mark.parametrize(
    "more,key,accepted",
    [
        ('[earth]\ntopsoil = "-2 in"\n', "topsoil", "from 0"),
        ('[earth]\nheap_slope = "2 in 1"\n', "heap_slope", "100 %"),
        ('[earth]\nspread = [{ name = "lawn" }]\n', "outline", "corners"),
        ('[earth]\nspread = [{ outline = [[0, 0], [4, 4], [4, 0], [0, 4]] }]\n', "outline", "cross"),
        ('[earth]\nwork_rom = "4 in"\n', "work_rom", "work_room"),
        ('[planting]\nmulch = "2 ft"\n', "mulch", "up to"),
        ('[planting]\nbed_soil = "deep"\n', "bed_soil", "length"),
    ],
)  # fmt: skip
def test_bad_digging_is_refused(tmp_path, more, key, accepted):
    """A fault of each new key names file, line, key, what was found and what is accepted; nothing is planned."""
    ran = command("plan", str(changed(tmp_path, "balanced.toml", {}, "\n" + more)), "--json")
    assert ran.status == 2 and not ran.out
    assert key in ran.err and accepted in ran.err and "balanced.toml:" in ran.err


@pytest.mark.parametrize("old,new,key", [
    ('gate = "38 in"', 'gate = "38 in"\npayload = "0 kg"', "payload"),
    ('gate = "38 in"', 'gate = "38 in"\nstreet = "0 ft"', "street"),
    ("gate_at = [18, -12]", "gate_at = [18]", "gate_at"),
])  # fmt: skip
def test_bad_access_is_refused(tmp_path, old, new, key):
    """A weight or width of nothing, and half a place, are refused by name."""
    ran = command("plan", str(changed(tmp_path, "balanced.toml", {old: new})), "--json")
    assert ran.status == 2 and key in ran.err
