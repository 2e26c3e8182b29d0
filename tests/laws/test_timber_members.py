"""Laws of strength, demands and handling: hand arithmetic and the tables themselves as rivals."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from lynchet.core.tables import read_table
from lynchet.project.model import Stock, Timber
from lynchet.stability.constants import FACE_SCREWS_KN, fixings
from lynchet.stability.model import Place, Tie, TieCheck
from lynchet.timber.buying import buy
from lynchet.timber.fixing_strength import fixings_of
from lynchet.timber.grades import strength_of
from lynchet.timber.handling import lifts, mass_per_m, preservative_of, weights_of
from lynchet.timber.members import Job, check_members
from lynchet.timber.model import Strength

PSI = 0.00689475729
SIX = Timber(0.1397, 0.1397, 7.85)


def _wood(species: str, grade: str = "unknown", side: float = 0.1397) -> Timber:
    return replace(SIX, species=species, grade=grade, course_m=side, thickness_m=side)


@pytest.mark.parametrize(
    ("species", "grade", "psi"),
    [("Southern Pine", "No. 2", 850), ("southern yellow pine", "#1", 1350), ("Douglas fir", "no 2", 750),
     ("hem-fir", "Select Structural", 1200), ("SOUTHERN PINE", "No. 2 dense", 850)],
)  # fmt: skip
def test_a_stamp_as_people_write_it_finds_its_row(species: str, grade: str, psi: float) -> None:
    """Six-inch timbers: the bending value of the Supplement's table, times 0.9 for lasting loads, nothing else."""
    found = strength_of(_wood(species, grade), "us")
    assert found.bending_mpa == pytest.approx(0.9 * psi * PSI, rel=1e-6) and not found.assumed


def test_what_is_not_said_is_the_weakest_of_the_table() -> None:
    """No timber of the tables, of any species and grade, is weaker in bending than what stands in for the unknown."""
    rows = [
        row
        for row in read_table("timber", "us_reference_values").rows
        if row["size_class"] in ("timber", "posts_timbers")
    ]
    weakest = min(float(row["bending_psi"]) for row in rows)
    unknown = strength_of(SIX, "us")
    assert unknown.assumed and unknown.bending_mpa == pytest.approx(0.9 * weakest * PSI, rel=1e-6)
    classes = [row for row in read_table("timber", "eu_strength_classes").rows if row["edition"] == "2016"]
    low = min(float(row["bending_mpa"]) for row in classes)
    metric = strength_of(_wood("pine", side=0.15), "metric")
    assert metric.assumed and metric.practice == "eu" and metric.bending_mpa == pytest.approx(low * 0.5 / 1.3, rel=1e-6)
    for species, grade in (("southern pine", "No. 2"), ("douglas fir", "No. 1"), ("hem-fir", "No. 1")):
        assert strength_of(_wood(species, grade), "us").bending_mpa >= unknown.bending_mpa


def test_a_species_without_a_grade_takes_its_lowest_and_says_so() -> None:
    """Southern pine, grade unsaid: No. 2, marked assumed; a European class in the species is not assumed."""
    found = strength_of(_wood("southern pine"), "us")
    assert found.assumed and found.label == "southern pine No. 2"
    assert not strength_of(_wood("spruce", "C24"), "metric").assumed
    assert strength_of(_wood("C24"), "us").practice == "eu"


def test_better_grades_hold_more() -> None:
    """Bending and pins never fall from C14 to C30, nor from hem-fir to southern pine."""
    classes = [strength_of(_wood(f"C{n}", side=0.15), "metric") for n in (14, 16, 18, 20, 22, 24, 27, 30)]
    values = [(s.bending_mpa, fixings_of(s, 0.15, 0.15).corner_pin_kn) for s in classes]
    assert values == sorted(values)
    weak, strong = (fixings_of(strength_of(_wood(s, "No. 2"), "us"), 0.14, 0.14) for s in ("hem-fir", "southern pine"))
    assert weak.corner_pin_kn < strong.corner_pin_kn and weak.tie_screw_kn < strong.tie_screw_kn


def test_tie_screws_by_hand() -> None:
    """3/8 in lag screw, 5 in of thread, G 0.43, end grain 0.75, wet 0.7, lasting 0.9: 1800 G^1.5 D^0.75 lb per inch."""
    pounds = 1800 * 0.43**1.5 * (9.5 / 25.4) ** 0.75 * 5 * 0.75 * 0.7 * 0.9
    found = fixings_of(strength_of(SIX, "us"), 0.1397, 0.1397)
    assert found.tie_screw_kn == pytest.approx(pounds * 0.0044482216, rel=1e-3)


def _tied(demand_kn: float, strength: Strength | None = None, bored: str = "") -> tuple[Job, TieCheck]:
    place = Place("W1", 1, 2.0, 0, 6, 0.0, 0.84, 0.14, 0.84, 0.0, 0.0, "undug", 0.0, None, None, None)
    check = TieCheck(place, "dry", demand_kn, 9.0, "cross-piece", 5.0, 0.0, 1.0, 4)
    ties = [Tie(f"W1/3/tie{n}", "W1", 1, 3, s, 1.8, 0.4, 0.54, (), (), 1.2) for n, s in enumerate((1.0, 2.5, 4.5), 1)]
    holes = (SimpleNamespace(leg=bored),) if bored else ()
    held = SimpleNamespace(walls=(), corners=(), tie_checks=(check,), ties_of=lambda leg: ties, weeps=holes)
    strong = strength or strength_of(SIX, "us")
    job = Job(
        SimpleNamespace(timber=SIX), SimpleNamespace(runs=()), (), held, strong, fixings_of(strong, 0.1397, 0.1397)
    )
    return job, check


def test_demands_of_a_tied_course_by_hand() -> None:
    """4 kN in a tie, ties 1.5 and 2.0 m apart, 1.2 m cross-piece: M = 4 x 2/8 and 4 x 1.2/8 kN m over h t²/6; V = 2."""
    job, _ = _tied(4.0)
    checks = {check.what: check for check in check_members(job).checks}
    modulus = 0.1397**3 / 6
    assert checks["bending"].demand == pytest.approx(1.0 / modulus / 1000)
    assert checks["cross-piece bending"].demand == pytest.approx(0.6 / modulus / 1000)
    assert checks["shear"].demand == pytest.approx(1.5 * 2.0 / 0.1397**2 / 1000)
    assert checks["bending"].span_m == 2.0 and checks["tie fixing"].demand == 4.0


def test_a_weep_hole_takes_its_bore_from_the_timber_that_bends() -> None:
    """25 mm bored out of 139.7 mm: bending and shear of the wall's courses grow as what is left of its height asks; the
    cross-piece is whole, and so is another wall."""
    whole, bored, other = ({c.what: c.demand for c in check_members(_tied(4.0, bored=leg)[0]).checks}
                           for leg in ("", "W1", "W2"))  # fmt: skip
    left = (0.1397 - 0.025) / 0.1397
    for what in ("bending", "shear"):
        assert bored[what] == pytest.approx(whole[what] / left)
    assert bored["cross-piece bending"] == whole["cross-piece bending"] and other == whole


@pytest.mark.parametrize("demand", [0.5, 3.0, 5.0, 6.0, 8.0, 10.0, 14.0])
def test_as_many_tie_screws_as_the_pull_asks(demand: float) -> None:
    """Two at least, four at most; below four they hold the pull, and one fewer would not."""
    job, _ = _tied(demand)
    needs, each = check_members(job), job.fixings.tie_screw_kn
    count = needs.tie_screws["W1"]
    assert 2 <= count <= 4
    holds = next(check for check in needs.checks if check.what == "tie fixing")
    assert holds.capacity == pytest.approx(count * each)
    if count < 4:
        assert holds.ratio >= 1.0 - 1e-9
    if count > 2:
        assert (count - 1) * each < demand


def test_european_demands_carry_their_load_factor() -> None:
    """The same pull in C24: demands 1.35 times those in United States practice."""
    us, _ = _tied(3.0)
    eu, _ = _tied(3.0, strength_of(_wood("C24"), "metric"))
    ours = {c.what: c.demand for c in check_members(us).checks}
    theirs = {c.what: c.demand for c in check_members(eu).checks}
    assert all(theirs[what] == pytest.approx(1.35 * ours[what]) for what in ours)


def test_weights_and_hands() -> None:
    """8 ft of a 6x6 at 50 lb/ft³ is 84 lb: three; a metre of it one; what is too heavy for three is one more."""
    wood = replace(SIX, unit_weight_kn_m3=50 * 0.157087)
    assert 2.4384 * mass_per_m(wood) == pytest.approx(84 * 0.45359, rel=2e-3)
    found = weights_of(wood, [("a", 1.0), ("b", 2.4384), ("c", 4.8768), ("d", 2.0)])
    assert [(one.piece, one.people) for one in found] == [("c", 4), ("b", 4), ("d", 2), ("a", 1)]
    assert list(lifts().limits_kg) == sorted(lifts().limits_kg)


def test_sawn_ends_by_hand() -> None:
    """A stick cut in two with a rest: three sawn ends; two pieces that fill their stick: two; a whole stick: none."""
    wood = Timber(0.1, 0.2, 7.85, stock=(Stock(2.0, 1.0),), kerf_m=0.0)
    for sizes, ends in (([0.7, 0.8], 3), ([1.2, 0.8], 2), ([2.0], 0), ([1.9], 1)):
        bought = buy(wood, [(f"p{n}", size) for n, size in enumerate(sizes)], 0)
        liquid = preservative_of(wood, bought.sticks)
        assert (liquid.cut_ends, liquid.area_m2) == (ends, pytest.approx(ends * 0.02))


@pytest.mark.parametrize("side", [0.0889, 0.1397, 0.1842])
def test_both_stages_carry_the_same_where_nothing_is_known(side):
    """In a United States file without a species the stability stage counts with the timber stage's own values of
    screws, corner pin and the two screws of a tie; a stronger species is never counted weaker."""
    mine, theirs = fixings(side, side), fixings_of(strength_of(_wood("unknown", side=side), "us"), side, side)
    assert (mine.screws_kn_per_m, mine.corner_kn) == (theirs.screws_kn_per_m, theirs.corner_pin_kn)
    assert pytest.approx(2.0 * theirs.tie_screw_kn, rel=1e-12) == FACE_SCREWS_KN
    for species in ("southern pine", "douglas fir", "spruce"):
        found = fixings_of(strength_of(_wood(species, "No. 2", side=side), "us"), side, side)
        assert found.screws_kn_per_m > 0.97 * mine.screws_kn_per_m and found.corner_pin_kn > 0.97 * mine.corner_kn
