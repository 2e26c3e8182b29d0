"""Plants through the command line: shade behind a house, own plants, unknown ones, food, what is missing.

Yards are invented.
"""

from __future__ import annotations

import pytest

from by_command import YARDS, changed, command, planned

WISH = '\n[planting]\nzone = "7"\nwishes = ["English lavender"]\n'
NORTH = (YARDS / "north_bed.toml").read_text(encoding="utf-8")


def test_sun_plant_behind_a_house_is_kept_and_told(tmp_path):
    """A bed along the north wall of a house: shade or part shade, lavender kept, why it does not suit, what would."""
    plan = planned(changed(tmp_path, "north_bed.toml", {}, WISH))
    (sun,) = plan.data["planted"]["sun"]
    assert sun["light"] in ("shade", "part") and sun["low_h"] < sun["season_h"] < sun["high_h"] < 6.5
    assert sun["months_h"][11] < 0.2 < sun["months_h"][5]
    (told,) = plan.findings("planting.wish")
    assert told["verdict"] == "watch" and "wants full sun" in told["text"] and "It is kept" in told["text"]
    assert "would do" in told["text"]
    own = [row for row in plan.data["planted"]["plantings"] if row["wished"]]
    assert [row["misfits"] for row in own] == [["light"]] and own[0]["points_m"]


def test_the_same_bed_south_of_the_house_has_full_sun(tmp_path):
    """Turn north round and nothing else: the bed lies in full sun and lavender suits it."""
    plan = planned(changed(tmp_path, "north_bed.toml", {"north = 0": "north = 180"}, WISH))
    assert plan.data["planted"]["sun"][0]["light"] == "sun" and not plan.findings("planting.wish")


def test_a_house_without_its_height_leaves_the_light_open(tmp_path):
    """No eaves: what to write is said, the sun is a range, and no class is given."""
    plan = planned(changed(tmp_path, "north_bed.toml", {'eaves = "6 m"\n': ""}, WISH))
    assert plan.data["planted"]["sun"][0]["light"] == "unknown" and "eaves of house" in plan.text("planting.height")
    assert plan.verdicts("planting.height") == {"watch"}
    assert [row for row in plan.data["planted"]["plantings"] if not row["wished"]] == []


@pytest.mark.parametrize("key", ["latitude = 50.5", "longitude = 9.5", "north = 0"])
def test_without_the_place_no_light_is_guessed(tmp_path, key):
    """Latitude, longitude or north missing: unknown, the key is named, the wish is planted untested for light."""
    plan = planned(changed(tmp_path, "north_bed.toml", {key + "\n": ""}, WISH))
    assert f"site.{key.split(' ')[0]}" in plan.text("planting.light_unknown")
    assert plan.data["planted"]["sun"][0]["season_h"] is None
    (row,) = plan.data["planted"]["plantings"]
    assert row["wished"] and "light" in row["unknown"] and row["misfits"] == []


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"English lavender"', '"English lavendar"', ("planting.wishes.1", "no plant", "English lavender")),
        ('"English lavender"', '"thyme"', ("planting.wishes.1", "means", "wild thyme")),
        ('"English lavender"', '"Lavandula angustifolia", "English lavender"', ("planting.wishes.2", "twice")),
        ('"English lavender"', '""', ("planting.wishes.1",)),
        ('zone = "7"', 'zone = "7c"', ("planting.zone", "7c", "1 to 13")),
        ('zone = "7"', 'zone = "7"\navoid = ["ugly"]', ("planting.avoid.1", "ugly", "toxic")),
        ('zone = "7"', 'zone = "7"\nlast_frost = "31-04"', ("planting.last_frost", "31-04", "MM-DD")),
        ('zone = "7"', 'zone = "7"\nph = 12', ("planting.ph", "12")),
        ('zone = "7"', 'zone = "7"\nmoisture = "soggy"', ("planting.moisture", "soggy", "medium")),
        ('eaves = "6 m"', 'eaves = "-6 m"', ("house.1.eaves", "-6 m")),
    ],
)
def test_bad_words_on_plants_are_refused(tmp_path, old, new, says):
    """An unknown plant, one meant twice or by several, a zone, day or word that is none: named, nothing written."""
    text = NORTH + WISH
    assert old in text
    file, out = tmp_path / "yard.toml", tmp_path / "out"
    file.write_text(text.replace(old, new), encoding="utf-8")
    ran = command("plan", str(file), "--out", str(out))
    assert ran.status == 2 and ran.out == "" and not out.exists() and "Traceback" not in ran.err
    for word in says:
        assert word in ran.err, ran.err


def test_food_and_creosote_stop(tmp_path):
    """Food in creosote timber: a stop that keeps the order back; in timber of today: test the soil."""
    food = '\n[planting]\nfood = true\nzone = "7"\n'
    changes = {'treatment = "ground contact"': 'treatment = "creosote"'}
    plan = planned(changed(tmp_path, "north_bed.toml", changes, food))
    (finding,) = plan.findings("planting.food_timber")
    assert finding["verdict"] == "stop" and "Creosote" in finding["text"] and "order-list" in finding["withholds"]
    (tmp_path / "sound").mkdir()
    sound = planned(changed(tmp_path / "sound", "north_bed.toml", {}, food))
    assert sound.verdicts("planting.food_timber") == {"ok"} and "soil" in sound.text("planting.food_timber")
    chosen = sound.data["planted"]["plantings"]
    assert all(row["species"]["edible"] for row in chosen)
