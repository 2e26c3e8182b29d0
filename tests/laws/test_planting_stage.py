"""Laws of plants in their beds: lattices, what must be clear, halves, the choice, what is not known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from lynchet.core.findings import Verdict
from lynchet.core.standing import Standing
from lynchet.planting.choice import MONTHS, Site, Slot, Wanted, candidates, misfits, mix
from lynchet.planting.keep_clear import Buried
from lynchet.planting.names import plant_named
from lynchet.planting.plant_fit import pair_misfits
from lynchet.planting.plants import plant_table, spread_cautions
from lynchet.planting.setting_out import places
from lynchet.planting.stage import planting
from lynchet.project import model as pm
from lynchet.project.things import Hole
from lynchet.stability.stage import stability
from lynchet.terraces.stage import terraces
from lynchet.walls.stage import walls
from lynchet.water.stage import water
from random_yards import realistic
from yards import ell

SITE = pm.Site(45.0, 8.0, 20.0)
WISH = pm.Planting(zone="7", wishes=("Lavandula angustifolia", "Allium schoenoprasum", "Hosta hybrids"))
SUNNY = Site(("sun",), "medium", 7, 6.5, 2.0)
SEASON = (4, 5, 6, 7, 8, 9, 10)
SLOTS = (Slot("front", 1, 0.4), Slot("middle", 2, 0.8), Slot("back", 1, 0.8))


@cache
def _yard(seed: int):
    """A yard up to its drains and ties; the L-shaped one with steps for 0."""
    project, ground = ell() if seed == 0 else realistic(seed)
    houses = tuple(replace(house, eaves_m=4.0) for house in project.houses)
    project = replace(project, site=SITE, planting=WISH, houses=houses)
    laid = terraces(project, ground, Standing())
    built = walls(project, ground, laid, Standing())
    drained = water(project, ground, laid, built, 1)
    return project, ground, laid, built, Buried(drained, stability(project, ground, laid, built, drained, 6))


def _planted(seed: int, **wish: object):
    project, *rest = _yard(seed)
    return planting(replace(project, planting=replace(WISH, **wish)), *rest, "live")


def _shape(rng: np.random.Generator):
    angle = np.sort(rng.uniform(0, 2 * np.pi, 9))
    return shapely.Polygon(np.column_stack([4 * np.cos(angle), 2 * np.sin(angle)])).convex_hull


def test_more_spacing_never_more_plants():
    """Set a fifth and more apart, no shape holds more plants."""
    rng = np.random.default_rng(8)
    for _ in range(150):
        shape, spacing = _shape(rng), float(rng.uniform(0.2, 0.8))
        counts = [len(places(shape, [spacing * more])[0]) for more in (1.0, 1.2, 1.5, 2.0, 3.0)]
        assert counts == sorted(counts, reverse=True)


def test_two_halves_of_a_bed_carry_about_the_same():
    """Cut a strip across in its middle: the halves hold the same, together what the whole does but a column."""
    rng = np.random.default_rng(9)
    for _ in range(60):
        long, wide, spacing = rng.uniform(4, 12), rng.uniform(0.8, 3), rng.uniform(0.2, 0.6)
        left, right, whole = (
            len(places(shapely.box(a, 0, b, wide), [spacing])[0])
            for a, b in ((0, long / 2), (long / 2, long), (0, long))
        )
        rows = int(wide / (spacing * 0.866)) + 1
        assert left == right
        assert abs(left + right - whole) <= 2 * rows


def test_species_side_by_side_keep_half_their_distances():
    """Species that share ground stand half the sum of their planting distances apart, and as far from its edge."""
    rng = np.random.default_rng(10)
    for _ in range(40):
        shape, spacings = shapely.box(0, 0, rng.uniform(5, 9), rng.uniform(1.5, 3)), rng.uniform(0.2, 0.7, 3)
        found = places(shape, spacings)
        for i, one in enumerate(found):
            assert (shapely.distance(shapely.points(one), shape.exterior) >= spacings[i] / 2 - 1e-4).all()
            for j, two in enumerate(found):
                apart = np.hypot(*(one[:, None] - two[None]).transpose(2, 0, 1)) + 99 * (i == j) * np.eye(
                    len(one), len(two)
                )
                assert apart.min(initial=9) >= (spacings[i] + spacings[j]) / 2 - 1e-4


@pytest.mark.parametrize("seed", [0, 3, 11, 24])
def test_every_plant_stands_in_its_bed_clear_of_what_must_be_clear(seed):
    """Inside the bed, off path strip and landings, off timber, pipes, ties and steps its roots reach, off houses."""
    project, _, laid, built, buried = _yard(seed)
    planted = _planted(seed)
    assert planted.plantings
    solid = [(shapely.Polygon(run.outline_m), run.top_m) for run in built.runs]
    solid += [(shapely.Polygon(b.outline_m), b.top_m) for b in buried.water.bodies if b.kind not in ("stone", "fabric")]
    solid += [(shapely.Polygon(t.outline_m), t.top_m) for t in buried.stability.ties]
    solid += [(shapely.Polygon(t.cross_outline_m), t.top_m) for t in buried.stability.ties]
    solid += [(shapely.Polygon(tread.outline_m), 1e9) for flight in laid.flights for tread in flight.treads]
    solid += [(shapely.Polygon(land.outline_m).buffer(-0.07), 1e9) for f in laid.flights for land in f.landings]
    for row in planted.plantings:
        face = laid.face(row.bed)
        roots = row.soil_m - row.species.root_depth_m
        stays = [shapely.Polygon(ring) for ring in face.strip_m] + [shape for shape, top in solid if top > roots]
        blocked = shapely.union_all(stays)
        balls = [shapely.Point(p.point_m).buffer(p.ball_m) for p in row.plants]
        assert all(face.polygon.contains(ball) for ball in balls)
        assert all(shapely.intersection(ball, blocked).area < 1e-6 for ball in balls)
        for house in project.houses:
            away = shapely.distance(shapely.Polygon(house.outline_m), shapely.points(row.points_m))
            assert (away >= row.species.spread_m / 2 + 0.305 - 1e-6).all()
        assert {p.bottom_m < p.soil_m < p.top_m for p in row.plants} == {True}


def test_own_plants_come_first_and_are_kept():
    """Every wish with room is planted, suiting or not; what does not suit is said; nothing is added when not wished."""
    planted = _planted(0, suggest=False)
    names = {row.species.botanical_name for row in planted.plantings}
    assert names | set(planted.unplaced) == set(WISH.wishes) and all(row.wished for row in planted.plantings)
    for row in planted.plantings:
        if row.misfits:
            assert any(f.code == "planting.wish" and row.species.common_name in f.text for f in planted.findings)
    assert planted.counts == {row.species.botanical_name: row.count for row in planted.plantings}


def test_same_file_same_plants():
    """Twice the same yard: the same plants in the same places."""
    assert _planted(3) == _planted(3)


@pytest.mark.parametrize("lights", [("sun",), ("part",), ("sun", "part"), ("shade",)])
def test_what_is_chosen_suits_and_does_no_known_harm(lights):
    """Every light of the band, zone and soil suit; nothing toxic, nothing to be avoided anywhere; all share a bed."""
    site = replace(SUNNY, lights=lights)
    found = [one.plant for one in mix(site, Wanted(False, (), (), SEASON), SLOTS, ())]
    assert found
    shunned = {caution.botanical_name for caution in spread_cautions() if caution.severity == "avoid"}
    for plant in found:
        assert set(lights) <= set(plant.light) and "medium" in plant.moisture
        assert plant.zone_min <= 7 <= plant.zone_max and plant.ph_min <= 6.5 <= plant.ph_max
        assert plant.terrace_fit == "yes" and not plant.toxicity_caution and plant.botanical_name not in shunned
        assert plant.spread_m <= site.width_m
        assert not any(pair_misfits(plant, other) for other in found)


def test_the_mix_flowers_longer_than_its_best_plant():
    """Together the plants chosen flower in more months of the season than any of them alone."""
    found = [one.plant for one in mix(SUNNY, Wanted(False, (), (), SEASON), SLOTS, ())]
    months = [set(SEASON) & set(plant.bloom_months) for plant in found if plant.showy]
    assert len(set.union(*months)) >= max(map(len, months)) and set.union(*months) == set(SEASON)


def test_months_when_nothing_else_flowers():
    """Where a plant is said to flower when nothing else does, no other of its bed flowers in that month: not the
    user's own, not one chosen after it."""
    own = (plant_named("Salvia officinalis"),)
    said = 0
    for food in (True, False):
        found = mix(SUNNY, Wanted(food, (), (), SEASON), SLOTS, own)
        for one in found:
            others = [*own, *(other.plant for other in found if other is not one)]
            elsewhen = {MONTHS[month - 1] for plant in others if plant.showy for month in plant.bloom_months}
            for reason in (text for text in one.reasons if "nothing else" in text):
                said += 1
                assert not [month for month in elsewhen if month in reason]
    assert said


def test_a_plant_named_and_avoided_is_told():
    """A plant that is both wished for and of a kind to be avoided is kept, and both the list and a finding say so."""
    planted = _planted(0, wishes=("Allium schoenoprasum", "Salvia officinalis"), avoid=("toxic",))
    against = {row.species.common_name: row.misfits[-1:] for row in planted.plantings if row.wished}
    assert against["chives"] == ("you avoid: toxic",) and "you avoid: toxic" not in against["common sage"]
    told = [f.text for f in planted.findings if f.code == "planting.wish" and "`planting.avoid`" in f.text]
    assert len(told) == 1 and "chives" in told[0] and "toxic to pets" in told[0]


def test_what_is_not_known_is_never_taken_as_good():
    """Without light or zone nothing is chosen; without moisture or acidity only plants that take the usual range."""
    wanted = Wanted(False, (), (), SEASON)
    assert candidates(replace(SUNNY, lights=()), wanted) == () == candidates(replace(SUNNY, zone=None), wanted)
    known, less = candidates(SUNNY, wanted), candidates(replace(SUNNY, moisture=None, ph=None), wanted)
    assert set(less) < set(known)
    assert all({"dry", "medium"} <= set(p.moisture) and p.ph_min <= 6.0 and p.ph_max >= 7.0 for p in less)
    shade = plant_named("Hosta hybrids")
    assert "light" in misfits(shade, replace(SUNNY, lights=("sun",)))
    assert "light" not in misfits(shade, replace(SUNNY, lights=()))
    assert replace(SUNNY, lights=(), ph=None).unknown == ("light", "ph")


def test_food_beds_kinds_and_what_is_kept_out():
    """Food: only what is eaten; a kind wished comes in; plants, kinds and traits kept out stay out."""
    eaten = mix(SUNNY, Wanted(True, (), (), SEASON), SLOTS, ())
    assert eaten and all(one.plant.edible and not one.plant.toxicity_caution for one in eaten)
    grasses = mix(SUNNY, Wanted(False, ("grass",), (), SEASON), SLOTS, ())
    assert any(one.plant.type == "grass" for one in grasses)
    first = mix(SUNNY, Wanted(False, (), (), SEASON), SLOTS, ())[0].plant
    without = candidates(SUNNY, Wanted(False, (), (first.botanical_name, "grass", "trailing"), SEASON))
    assert first not in without
    assert not any(p.type == "grass" or p.habit == "trailing" for p in without)


def test_a_kind_that_is_wished_and_not_planted_is_told():
    """Whoever wishes for ferns reads that none is planted; a kind that came in, or none wished, is not spoken of."""
    told = [f for f in _planted(0, kinds=("fern",), suggest=False).findings if "of the kind" in f.text]
    assert len(told) == 1 and '"fern"' in told[0].text and told[0].verdict is Verdict.WATCH
    plant = next(p for p in plant_table() if p.type == "herb" and p.terrace_fit == "yes" and p.spread_m < 0.5)
    planted = _planted(0, kinds=("herb",), wishes=(plant.botanical_name,), suggest=False)
    assert not [f for f in planted.findings if f.code == "planting.wish" and "of the kind" in f.text]
    assert not [f for f in _planted(0, suggest=False).findings if "of the kind" in f.text]


def test_poison_is_told_and_weighs_more_where_children_play():
    """A toxic plant of one's own is kept and told: in passing, or with care where those play whom it may harm."""
    grown = [p for p in plant_table() if p.toxicity_caution and p.terrace_fit == "yes" and p.spread_m < 0.6]
    care, none = Verdict.WATCH, Verdict.OK
    for words, playing in (("mildly toxic if eaten", care), ("toxic to pets", none)):
        toxic = next(p for p in grown if p.toxicity_caution == words)
        pets, food = {"pets": True, "children": False}, {"food": True, "children": False}
        for wish, verdict in (({}, none), ({"children": True}, playing), (pets, care), (food, playing)):
            planted = _planted(0, wishes=(toxic.botanical_name,), suggest=False, **wish)
            (finding,) = [f for f in planted.findings if f.code == "planting.poison"]
            assert finding.verdict is verdict and toxic.toxicity_caution in finding.text, (words, wish)
            assert ("picked by mistake" in finding.text) == (wish is food and playing is care and not toxic.edible)
            assert toxic.botanical_name in {caution.botanical_name for caution in planted.cautions}


@pytest.mark.parametrize(
    ("region", "verdict"),
    [("", Verdict.WATCH), ("Canada", Verdict.WATCH), ("New Zealand", Verdict.ASK), ("Auckland", Verdict.ASK)],
)
def test_a_plant_that_escapes_is_told_by_region(region, verdict):
    """Mexican daisy: go with care where the region is not said or another, ask first where it is the listed one."""
    planted = _planted(0, wishes=("Erigeron karvinskianus",), suggest=False, region=region)
    told = [f for f in planted.findings if f.code == "planting.spread" and "New Zealand" in f.text]
    assert [finding.verdict for finding in told] == [verdict]


def test_ground_covered_water_and_calendar_add_up():
    """Gap and own ground make the open ground; an inch of water a week; dates of planting from those of frost."""
    planted = _planted(0, last_frost="05-01", first_frost="10-20")
    for bed, drip in zip(planted.beds, planted.water, strict=True):
        own = sum(row.count * row.species.spacing_m**2 * 3**0.5 / 2 for row in planted.plantings_of(bed.bed))
        assert bed.gap_m2 == pytest.approx(max(0.0, bed.soil_m2 - own))
        assert sum(shapely.Polygon(ring).area for ring in bed.soil_outlines_m) == pytest.approx(bed.soil_m2, rel=0.02)
        assert 0 <= (bed.cover_year1 or 0) <= (bed.cover_grown or 0) <= 1
        assert drip.weekly_l == pytest.approx(min(own, bed.soil_m2) * 25.4 / 0.85)
    days = planted.calendar
    assert (days.spring_from, days.spring_to) == ("05-01", "06-12")
    assert (days.autumn_from, days.autumn_to) == ("08-18", "09-08")
    assert _planted(0).calendar.spring_from is None


@pytest.mark.parametrize("name", ["lavandula angustifolia", "English Lavender", "Lavandula"])
def test_a_plant_is_found_by_any_form_of_its_name(name):
    """Botanical or common, in any case, or a word only its name holds."""
    assert plant_named(name).botanical_name == "Lavandula angustifolia"


def test_every_name_of_the_table_finds_its_plant():
    """Each botanical name, whole, and each part of it that no other plant has."""
    every = [part for plant in plant_table() for part in plant.botanical_name.replace(")", "").split(" (")]
    for plant in plant_table():
        assert plant_named(plant.botanical_name) == plant
        for part in plant.botanical_name.replace(")", "").split(" ("):
            if every.count(part) == 1:
                assert plant_named(part) == plant


@pytest.mark.parametrize(("depth_m", "moisture", "told"), [(0.0, None, True), (0.4, None, True), (0.5, None, False),
                                                           (None, None, False), (0.0, "wet", False)])  # fmt: skip
def test_water_in_a_test_hole_is_told_to_who_plants(depth_m, moisture, told):
    """Standing water within 0.45 m, and nothing said of moisture: it takes care, and names what is no plant for it."""
    project, *rest = _yard(0)
    hole = Hole("hole 1", (1.0, 1.0), 0.6, water_depth_m=depth_m)
    project = replace(project, holes=(hole,), planting=replace(WISH, moisture=moisture))
    found = [one for one in planting(project, *rest, "live").findings if one.code == "planting.wet_ground"]
    assert len(found) == told
    for one in found:
        assert one.verdict is Verdict.WATCH and "test hole 1" in one.text
        for name in WISH.wishes:
            plant = plant_named(name)
            assert (plant.common_name in one.text) == ("wet" not in plant.moisture)
