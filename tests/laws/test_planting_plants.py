"""Laws of hardiness zones, frost tables, plant fit, bloom, and the plant table itself."""

from collections import Counter

import numpy as np
import pytest

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.planting.bloom import bloom_calendar, bloom_months, months_of
from lynchet.planting.frost import day_of_risk, day_text, frost_date, risk_of_day
from lynchet.planting.hardiness import hardiness_zone, zone_of_temperature
from lynchet.planting.plant_fit import BedSite, plant_pair_compatible, plant_site_fit, site_misfits
from lynchet.planting.plants import plant_table, spread_cautions


def refused(function, given, word):
    """The call is refused with a text that holds the word."""
    with pytest.raises(InputError) as error:
        call(function, given)
    assert word in str(error.value).lower(), str(error.value)


def test_zones_cover_the_scale_without_gaps():
    """Half zones follow each other from -60 to 70 F; a boundary is the warmer zone's, a hair under it too."""
    labels = [f"{number}{half}" for number in range(1, 14) for half in "ab"]
    before = (-60 - 32) / 1.8
    for label in labels:
        zone = call(hardiness_zone, {"zone": label.upper()})
        assert zone.zone == label
        assert zone.lower_c == pytest.approx(before)
        before = zone.upper_c
        for inside in (zone.lower_c, zone.lower_c - 2e-7, (zone.lower_c + zone.upper_c) / 2, zone.upper_c - 1e-5):
            assert call(hardiness_zone, {"min_temperature_c": inside}).zone == label
    assert before == pytest.approx((70 - 32) / 1.8)
    assert [zone_of_temperature(f) for f in (-60.1, 70.0, 69.9)] == [None, None, "13b"]


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({}, "temperature"), ({"zone": "6a", "min_temperature_c": 0.0}, "temperature"),
        ({"min_temperature_c": 21.2}, "temperature"),
        ({"zone": "0"}, "zone"), ({"zone": "6c"}, "zone"), ({"zone": "06"}, "zone"), ({"zone": ""}, "zone"),
        ({"zone": 6}, "zone"),
    ],
)  # fmt: skip
def test_zone_refusals(given, word):
    """A zone off the scale, or none, is refused by its word."""
    refused(hardiness_zone, given, word)


COLUMNS = [10, 30, 50, 70, 90]


@pytest.mark.parametrize("season", ["spring", "autumn"])
def test_frost_round_trip_stays_on_the_safe_side(season):
    """The date read for a risk leaves no more than that risk, and a day nearer the other way would leave more."""
    rng = np.random.default_rng(1)
    for _ in range(25):
        days = np.sort(rng.integers(30, 150, 5) if season == "spring" else rng.integers(240, 350, 5))
        days = (days[::-1] if season == "spring" else days).tolist()
        row = {"threshold_c": 0.0, "dates": [day_text(day) for day in days]}
        common = {"season": season, "probability_pct": COLUMNS, "dates_by_threshold": [row], "threshold_c": 0.0}
        risk = float(rng.uniform(10, 90))
        day = call(frost_date, {**common, "risk_pct": risk}).date
        left = call(frost_date, {**common, "date": day}).risk_pct
        exact = np.interp(risk, COLUMNS, days)
        number = next(n for n in range(1, 366) if day_text(n) == day)
        assert 0 <= (number - exact if season == "spring" else exact - number) < 1
        assert left <= risk + 1e-9 or days.count(number) > 1
        assert day_of_risk(COLUMNS, days, risk) == pytest.approx(exact)
        assert risk_of_day(COLUMNS, days, number) == left


def test_autumn_runs_into_the_new_year():
    """An autumn table that ends in January reads January as after December."""
    rows = [{"threshold_c": 0.0, "dates": ["12-01", "12-22", "01-11"]}]
    common = {"season": "autumn", "probability_pct": [10, 50, 90], "dates_by_threshold": rows, "threshold_c": 0.0}
    assert call(frost_date, {**common, "risk_pct": 70}).date == "01-01"
    assert call(frost_date, {**common, "date": "01-01"}).risk_pct == pytest.approx(70)
    assert call(frost_date, {**common, "risk_pct": 50 + 1e-10}).date == "12-22"


SPRING = {
    "season": "spring", "probability_pct": [10, 50, 90], "threshold_c": 0.0, "risk_pct": 50.0,
    "dates_by_threshold": [{"threshold_c": 0.0, "dates": ["05-10", "04-24", "04-07"]},
                           {"threshold_c": -2.0, "dates": ["05-01", "04-14", "03-30"]}],
}  # fmt: skip


def rows_with(number, dates, threshold=None):
    """The table of SPRING with another row."""
    rows = [dict(row) for row in SPRING["dates_by_threshold"]]
    rows[number] = {"threshold_c": rows[number]["threshold_c"] if threshold is None else threshold, "dates": dates}
    return {"dates_by_threshold": rows}


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"season": "summer"}, "season"), ({"threshold_c": 0.006}, "threshold"), ({"risk_pct": 9.9}, "risk"),
        (rows_with(1, ["05-01", "04-14", "03-30"], 0.004), "threshold"), ({"risk_pct": 91.0}, "risk"),
        ({"risk_pct": None}, "risk"), ({"risk_pct": None}, "date"), ({"date": "05-01"}, "risk"),
        ({"date": "05-01"}, "date"),
        ({"risk_pct": None, "date": "05-11"}, "date"), ({"risk_pct": None, "date": "10-01"}, "date"),
        ({"risk_pct": None, "date": "02-29"}, "date"), ({"risk_pct": None, "date": "5-1"}, "date"),
        (rows_with(1, ["05-01", "04-14"]), "dates"), (rows_with(1, ["05-01", "05-14", "03-30"]), "order"),
        (rows_with(1, ["05-01", "04-31", "03-30"]), "dates"), ({"probability_pct": [10, 10, 90]}, "order"),
        ({"probability_pct": [10, 50, 101]}, "probability_pct"), ({"probability_pct": []}, "probability_pct"),
        ({"dates_by_threshold": []}, "dates_by_threshold"),
    ],
)  # fmt: skip
def test_frost_refusals(given, word):
    """A table or a question that cannot be read is refused by its word, in any row."""
    assert call(frost_date, SPRING).date == "04-24"
    refused(frost_date, {key: value for key, value in {**SPRING, **given}.items() if value is not None}, word)


PLANT = {"light": ["sun", "part"], "moisture": ["medium"], "zone_min": 4, "zone_max": 7, "ph_min": 5.5, "ph_max": 7.0,
         "soil_texture": ["coarse"]}  # fmt: skip
SITE = {"light": "sun", "moisture": "medium", "zone": "5b", "ph": 6.0, "soil_texture": "coarse"}


@pytest.mark.parametrize(
    ("changes", "misfits"),
    [
        ({}, []), ({"light": "shade"}, ["light"]), ({"moisture": "wet"}, ["moisture"]), ({"zone": "3"}, ["zone"]),
        ({"zone": "8A"}, ["zone"]), ({"zone": "7b"}, []), ({"zone": "4a"}, []), ({"ph": 5.5 - 1e-10}, []),
        ({"ph": 7.1}, ["ph"]), ({"soil_texture": "fine"}, ["soil_texture"]), ({"ph": None, "soil_texture": None}, []),
        ({"light": "shade", "moisture": "dry", "zone": "9", "ph": 8.0, "soil_texture": "fine"},
         ["light", "moisture", "zone", "ph", "soil_texture"]),
    ],
)  # fmt: skip
def test_fit_one_need_at_a_time(changes, misfits):
    """Each need that is not met is named, in the fixed order; limits count as inside; unknowns are not tested."""
    site = {key: value for key, value in {**SITE, **changes}.items() if value is not None}
    got = call(plant_site_fit, {"plant": PLANT, "site": site})
    assert (got.fits, got.misfits) == (not misfits, misfits)


@pytest.mark.parametrize(
    ("plant", "site", "word"),
    [
        ({"ph_min": 7.0}, {}, "ph_min"), ({"zone_min": 8}, {}, "zone_min"), ({"zone_max": 14}, {}, "zone_max"),
        ({"light": []}, {}, "light"), ({"soil_texture": []}, {}, "soil_texture"),
        ({"soil_texture": ["loam"]}, {}, "soil_texture"),
        ({"ph_max": 14.1}, {}, "ph_max"), ({"spread_m": 1.0}, {}, "spread_m"), ({"light": "sun"}, {}, "light"),
        ({}, {"zone": "14"}, "zone"), ({}, {"light": "dappled"}, "light"), ({}, {"ph": 15.0}, "ph"),
        ({}, {"moisture": None}, "moisture"),
    ],
)  # fmt: skip
def test_fit_refusals(plant, site, word):
    """Words outside their lists, limits the wrong way round and wrong keys are refused by the key."""
    site = {key: value for key, value in {**SITE, **site}.items() if value is not None}
    refused(plant_site_fit, {"plant": {**PLANT, **plant}, "site": site}, word)


def test_pairs_over_the_whole_table():
    """Swapping two plants of the table changes nothing, a plant goes with itself, and shared words are shared."""
    rng = np.random.default_rng(2)
    table = plant_table()
    for i, j in rng.integers(0, len(table), (80, 2)):
        a, b = table[i].needs(), table[j].needs()
        one, two = plant_pair_compatible(plant_a=a, plant_b=b), plant_pair_compatible(plant_a=b, plant_b=a)
        assert one == two
        assert set(one.shared_light) == set(a.light) & set(b.light)
        assert set(one.shared_moisture) == set(a.moisture) & set(b.moisture)
        assert ("ph" in one.reasons) == (one.ph_overlap < 0.5 - 1e-9)
        assert one.centre_distance_m == pytest.approx((a.spread_m + b.spread_m) / 2)
        assert plant_pair_compatible(plant_a=a, plant_b=a, min_ph_overlap=0.0).compatible
    plant = {key: value for key, value in PLANT.items() if key != "soil_texture"} | {"spread_m": 0.5}
    refused(plant_pair_compatible, {"plant_a": plant, "plant_b": {**plant, "spread_m": 0.0}}, "spread")
    refused(plant_pair_compatible, {"plant_a": plant, "plant_b": {**plant, "ph_min": 9.0}}, "ph_min")
    refused(plant_pair_compatible, {"plant_a": plant, "plant_b": plant, "min_ph_overlap": 8.0}, "min_ph_overlap")
    kept = call(plant_pair_compatible, {"plant_a": PLANT | {"spread_m": 0.5}, "plant_b": plant})
    assert kept.compatible


def test_bloom_over_the_new_year():
    """Spans and seasons run over the new year; covered and empty months of a whole-year season make the year."""
    assert bloom_months("11-4") == [11, 12, 1, 2, 3, 4]
    assert months_of(5, 5) == [5]
    plants = [{"name": "a", "bloom_months": "11-2"}, {"name": "b", "bloom_months": "2"}]
    got = call(bloom_calendar, {"plants": plants, "season_from": 10, "season_to": 3})
    assert got.plants_per_month == [1, 2, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1]
    assert got.empty_months == [10, 3]
    year = call(bloom_calendar, {"plants": plants, "season_from": 1, "season_to": 12})
    assert sorted(year.months_covered + year.empty_months) == list(range(1, 13))
    assert call(bloom_calendar, {"plants": []}).empty_months == [4, 5, 6, 7, 8, 9, 10]
    for text in ("may", "5-", "5-6-7", "5 - 6", "-5", "2.5"):
        refused(bloom_calendar, {"plants": [{"name": "a", "bloom_months": text}]}, "month")
    refused(bloom_calendar, {"plants": [], "season_from": 0}, "month")
    refused(bloom_calendar, {"plants": [], "season_to": 13}, "month")


def test_plant_table_as_described():
    """The table holds the plants its description counts: by type, and by light, moisture and zone."""
    table = plant_table()
    assert len(table) == 398
    assert Counter(plant.type for plant in table) == {
        "annual": 2, "bulb": 14, "fern": 23, "grass": 26, "groundcover": 76, "herb": 23, "perennial": 107, "sedge": 7,
        "shrub": 64, "small fruit": 18, "subshrub": 13, "vegetable": 16, "vine": 9,
    }  # fmt: skip
    counted = {
        ("sun", "dry"): [67, 134, 155, 165, 179, 185, 124, 56, 31],
        ("sun", "medium"): [110, 211, 242, 252, 264, 259, 169, 69, 48],
        ("sun", "wet"): [20, 47, 55, 55, 58, 58, 31, 6, 6], ("part", "dry"): [43, 87, 103, 107, 115, 118, 68, 30, 21],
        ("part", "medium"): [94, 187, 220, 229, 242, 237, 135, 46, 34],
        ("part", "wet"): [23, 48, 57, 57, 60, 58, 31, 6, 6],
        ("shade", "dry"): [14, 34, 45, 48, 50, 53, 29, 9, 7],
        ("shade", "medium"): [31, 73, 92, 97, 102, 103, 55, 13, 9],
        ("shade", "wet"): [7, 15, 17, 17, 17, 17, 11, 2, 2],
    }  # fmt: skip
    for (light, moisture), wanted in counted.items():
        got = []
        for zone in range(3, 12):
            site = BedSite(light=light, moisture=moisture, zone=str(zone))
            got.append(sum(not site_misfits(plant.needs(), site, zone) for plant in table))
        assert got == wanted, (light, moisture)
    fitting = [sum(p.zone_min <= zone <= p.zone_max and p.terrace_fit == "yes" for p in table) for zone in range(3, 12)]
    assert fitting == [116, 226, 264, 279, 298, 304, 202, 87, 58]


def test_plant_table_is_sound():
    """Every row keeps the rules of the table: limits in order, words from the lists, sizes above 0, names once."""
    table = plant_table()
    assert len({plant.botanical_name for plant in table}) == len(table)
    for plant in table:
        assert 1 <= plant.zone_min <= plant.zone_max <= 13
        assert 0 < plant.ph_min < plant.ph_max < 14
        assert min(plant.height_m, plant.spread_m, plant.plant_spacing_m, plant.root_depth_m) > 0
        assert set(plant.light) <= {"sun", "part", "shade"}
        assert plant.light
        assert set(plant.moisture) <= {"dry", "medium", "wet"}
        assert plant.moisture
        assert bool(plant.bloom_months) == bool(plant.flower_colour)
        assert plant.showy or not plant.bloom_months


def test_every_caution_names_a_plant():
    """Cautions about spreading belong to plants of the table, with a severity."""
    names = {plant.botanical_name for plant in plant_table()}
    cautions = spread_cautions()
    assert (len(cautions), len({caution.botanical_name for caution in cautions})) == (148, 136)
    assert {caution.botanical_name for caution in cautions} <= names
    assert {caution.severity for caution in cautions} == {"watch", "avoid"}
