"""Names of sticks in price lists: what each stands for by the trade's own sizes; other things are none."""

from __future__ import annotations

import pytest

from lynchet.project.money import ItemPrice, Prices
from lynchet.project.price_names import wrong_price
from lynchet.works.items import amount_of, foreign, item_key, items, plain_key
from lynchet.works.price_list import PriceList
from lynchet.works.stick_names import stick_named

FOOT, INCH = 0.3048, 0.0254
SIX = (6 * INCH, 6 * INCH)


@pytest.mark.parametrize(
    ("name", "length_m", "section_m"),
    [
        ("timber_8_ft", 8 * FOOT, None), ("timber 8'", 8 * FOOT, None), ('timber 96"', 8 * FOOT, None),
        ("8 ft timber", 8 * FOOT, None), ("timber_7_ft_10_1/2_in", 7 * FOOT + 10.5 * INCH, None),
        ("timber 2,4 m", 2.4, None), ("Stick 2.4m", 2.4, None), ("6x6x8", 8 * FOOT, SIX),
        ("6 x 6 x 8'", 8 * FOOT, SIX), ("6\u00d76\u00d78 treated", 8 * FOOT, SIX),
        ("6x6 treated post 8 ft", 8 * FOOT, SIX),
        ("4x6x12", 12 * FOOT, (4 * INCH, 6 * INCH)), ("150x150x2400", 2.4, (0.15, 0.15)),
        ("2400 x 200 x 100", 2.4, (0.1, 0.2)), ("sleeper 200x100 2.4 m", 2.4, (0.1, 0.2)),
        ("Sleeper pine 200x100 UC4 2.4 m", 2.4, (0.1, 0.2)), ("Oak sleeper green 200 x 100 x 2400", 2.4, (0.1, 0.2)),
        ("6x6-12' #2 GC pine", 12 * FOOT, SIX), ("6x6x8 No. 2 southern pine UC4B", 8 * FOOT, SIX),
    ],
)  # fmt: skip
def test_names_of_sticks(name, length_m, section_m):
    """A name as a person writes it has the length, and the section, that it says."""
    stick = stick_named(name)
    assert stick is not None and stick.length_m == pytest.approx(length_m, abs=1e-9)
    assert (stick.section_m is None) == (section_m is None)
    if section_m is not None:
        assert stick.section_m == pytest.approx(section_m, abs=1e-9)


@pytest.mark.parametrize(
    "name",
    [
        "timber",
        "timber 8",
        "timber_long",
        "timber screws 8 in",
        "6x6",
        "drain pipe 8 ft",
        "plant_6x6",
        "timber 0 ft",
        "timber 2,400 mm",
        "sleeper bracket 200x100 2.4 m",
    ],
)
def test_names_of_no_stick(name):
    """Without a length, with one that no stick has or without its unit, or for another thing, a name is no stick."""
    assert stick_named(name) is None


@pytest.mark.parametrize("name", ["6x6-12' #2 GC pine", "6x6 12 ft No. 2"])
def test_a_grade_is_no_inch(name):
    """The key a price is kept by names the stick of the name: a grade is not two inches more."""
    stick = stick_named(plain_key(name))
    assert stick is not None and stick.length_m == pytest.approx(12 * FOOT, abs=1e-9)


@pytest.mark.parametrize(
    ("per", "count"), [("100", 100), ("100 pcs", 100), ("box of 100", 100), ("pack of 25 pieces", 25)]
)
def test_screws_by_the_hundred(per, count):
    """A price per 100 is the price of a hundred."""
    assert amount_of(items("metric")["screw"], per) == count


def test_a_bare_number_measures_nothing():
    """A hundred of stone says nothing, and a metre of fabric neither."""
    assert amount_of(items("metric")["drain_stone"], "100") is None
    assert amount_of(items("metric")["fabric"], "50 m") is None


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("load of soil taken away", "load_away"), ("Load of soil taken away, tipping paid", "load_away"),
        ("drain pipe with holes", "drain_pipe"), ("structural timber screws", "screw"),
        ("work by the hour", "labour"), ("pipe bend", "pipe_bend"),
    ],
)  # fmt: skip
def test_the_first_words_of_a_name_are_enough(name, key):
    """An item is known by its name up to the first comma, where no other begins so."""
    assert item_key(name) == key


@pytest.mark.parametrize("name", ["loads of soil taken away", "drain pipe with hole", "structural timber screw"])
def test_a_name_all_but_right_is_not_of_something_else(name):
    """It is refused with what is near, and not left out in silence."""
    assert not foreign(name)


def test_words_that_keep_a_name_from_being_a_stick_are_told():
    """What is wrong says which words are not understood, not that a length is missing that stands there."""
    wrong = wrong_price("Sleeper bracket 200x100 2.4 m", "each")
    assert wrong is not None and "bracket" in wrong[0] and "length" not in wrong[0]


def test_a_section_of_another_size_is_never_taken():
    """A 4x6 has no say in what a 6x6 costs; its own section goes before a length alone."""
    rows = (ItemPrice("timber_8_ft", 30.0), ItemPrice("4x6x8", 20.0), ItemPrice("6x6x8", 40.0))
    sawn = (5.5 * INCH, 5.5 * INCH)
    assert PriceList(Prices("", rows)).of_stick(8 * FOOT, sawn) == 40.0
    assert PriceList(Prices("", rows[:2])).of_stick(8 * FOOT, sawn) == 30.0
    assert PriceList(Prices("", rows[1:2])).of_stick(8 * FOOT, sawn) is None
    assert PriceList(Prices("", rows)).of_stick(12 * FOOT, sawn) is None
