"""Answers, names and price lists as people write them are taken; what is not is refused in plain words."""

from __future__ import annotations

import csv
import io
import tomllib
from pathlib import Path

import pytest

from by_command import YARDS, changed, command, planned
from lynchet.commands.look import asked
from lynchet.core.errors import InputError
from lynchet.project.read import read_project_text
from lynchet.project.rough import RoughYard, rough_project_text, spoken_system
from lynchet.units.parse import parse_slope

FOOT, INCH = 0.3048, 0.0254
LOOK = ("look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop")


def drop_m(said: str) -> float:
    """The drop of a yard 24 ft deep, as its project file has it."""
    text = rough_project_text(RoughYard("20 ft", "24 ft", said, "level"), "us")
    return parse_slope(tomllib.loads(text)["ground"]["slope"]["fall"]) * 24 * FOOT


@pytest.mark.parametrize(
    ("said", "metres"),
    [
        ("3'", 3 * FOOT), ("3 ft", 3 * FOOT), ("3", 3 * FOOT), ("3 feet 6", 3.5 * FOOT), ("3' 6", 3.5 * FOOT),
        ("3 feet and 6 inches", 3.5 * FOOT), ('36"', 3 * FOOT), ("1.2 m", 1.2), ("1,2 m", 1.2), ("1 m 20", 1.2),
        ("about 3 ft", 3 * FOOT), ("roughly three feet or so", 3 * FOOT), ("two and a half feet", 2.5 * FOOT),
        ("half a metre", 0.5), ("3 ft high.", 3 * FOOT), ("1 in 8", 3 * FOOT), ("12.5 %", 3 * FOOT),
    ],
)  # fmt: skip
def test_sizes_as_they_are_said(said, metres):
    """A size said on the sofa means what the units say it means."""
    assert drop_m(said) == pytest.approx(metres, rel=1e-9)


@pytest.mark.parametrize("said", ["don't know", "dont know", "not sure", "?", "I don't know", "no idea", "unknown", ""])
def test_not_knowing_is_an_answer(said):
    """Whoever does not know the soil, the top or the tape says so in any words."""
    known = rough_project_text(RoughYard("20", "24", "3", "unknown", "unknown", "unknown"), "us")
    assert rough_project_text(RoughYard("20", "24", "3", *(3 * (said or "unknown",))), "us") == known
    if said:
        assert asked({"side_to_side": "20", "up_the_slope": "24", "drop": "3", "soil": said}, None, None, print)


@pytest.mark.parametrize(
    ("held", "top", "soil"), [("along the ground", "the house", "sand"), ("flat", "my neighbour's fence", "clay")]
)
def test_words_people_use(held, top, soil):
    """Common words for the same things are read as the words on offer."""
    text = rough_project_text(RoughYard("20", "24", "3", held, top, soil), "us")
    assert f'held = "{"ground" if "ground" in held else "level"}"' in text
    assert ("[[house]]" in text) == ("house" in top) and ("[[lot_line]]" in text) == ("fence" in top)
    assert f'feel = "{"gritty" if soil == "sand" else "sticky"}"' in text


@pytest.mark.parametrize(
    ("option", "said", "says"),
    [
        ("--drop", "to my waist", ("drop", "to the waist is about")),
        ("--drop", "3 to 4 ft", ("drop", "two sizes", "the larger")),
        ("--drop", "1,200 mm", ("drop", "comma")),
        ("--drop", "steep", ("drop", '"steep"', "1.2 m")),
        ("--soil", "mud", ("soil", '"mud"', "gritty (like sand)")),
        ("--top", "huose", ("top", 'did you mean "house"')),
        ("--top", "lawn and fence", ("top", "house, fence")),
        ("--prices", "nope.csv", ('--prices: "nope.csv": there is no such file',)),
    ],
)
def test_what_cannot_be_meant_is_refused_plainly(option, said, says):
    """A refusal names the question or option, what was said, and what is taken."""
    more = () if option == "--drop" else ("3 ft",)
    ran = command(*LOOK, *more, *((said,) if option == "--drop" else (option, said)))
    assert ran.status == 2 and ran.out == "" and "first look" not in ran.err
    for word in says:
        assert word in ran.err, ran.err


def test_questions_are_put_again():
    """A blank for what is needed, and nonsense, are asked for again; a third time ends it with the question's name."""
    typed = iter(["", "20 ft", "wide", "24", "?", '36"', "dunno", "", "mud", "clay"])
    told: list[str] = []
    rough, system = asked({}, lambda _: next(typed), None, told.append)
    assert (rough.side_to_side, rough.up_the_slope, rough.drop, rough.soil) == ("20 ft", "24", '36"', "clay")
    assert system == "us" and len(told) == 4 and "needed" in told[0] and '"wide"' in told[1]
    blank = iter(["", "", ""])
    with pytest.raises(InputError, match="side to side"):
        asked({}, lambda _: next(blank), None, told.append)


def test_the_answer_comes_in_the_units_of_the_person():
    """Metres anywhere make plain numbers metres and the answer metric; else they are feet; --units decides."""
    assert spoken_system({"side_to_side": "6,5 m", "up_the_slope": "7.4"}) == "metric"
    assert spoken_system({"side_to_side": "20", "up_the_slope": "24'"}) == "us"
    given = {"side_to_side": "6.5 m", "up_the_slope": "7.4", "drop": "1.1"}
    assert asked(given, None, None, print)[1] == "metric" and asked(given, None, "us", print)[1] == "us"
    assert asked(dict.fromkeys(given, "9"), None, None, print)[1] == "us"


def test_the_tape_is_asked_about_as_it_was_read(tmp_path):
    """Ground kept free inside a fence is not taken off what the person taped; a saved look has its file's name."""
    file = tmp_path / "side yard.toml"
    ran = command(*LOOK, "3 ft 6 in", "--top", "fence", "--save", str(file))
    assert "Up the slope 24 ft 0 in along the ground" in " ".join(ran.out.split())
    assert 'name = "side yard"' in file.read_text(encoding="utf-8")
    assert f'lynchet plan "{file}"' in ran.out


@pytest.mark.parametrize("name", ["A & B", "O'Brien & S\u00f6hne, GmbH", "M\u00fcller (Garten)"])
def test_names_of_firms(tmp_path, monkeypatch, name):
    """The name of a firm may hold what names hold; its file says it, and a job can stand on it."""
    monkeypatch.chdir(tmp_path)
    assert command("new", "--firm", name).status == 0
    job = changed(tmp_path, "plain.toml", {"lynchet = 1\n": f'lynchet = 1\nfirm = "{name}.toml"\n'})
    text = job.read_text(encoding="utf-8")
    assert read_project_text(text, str(job), tmp_path).offer.firm.name == name
    refused = command("new", "--firm", 'say "hi"')
    assert refused.status == 2 and "NAME" in refused.err and "cannot stand in the name of a file" in refused.err


def prices(tmp_path: Path, rows: str, name: str = "prices.csv"):
    """The prices of the plain yard with this list beside it."""
    (tmp_path / name).write_text(rows, encoding="utf-8")
    text = (YARDS / "plain.toml").read_text(encoding="utf-8") + f'\n[prices]\nfile = "{name}"\n'
    return read_project_text(text, "yard.toml", tmp_path).prices.items


@pytest.mark.parametrize(
    "rows",
    [
        "item,price,per\ntimber_8_ft,34,each\n", "item,price,per\ntimber 8 ft,4.25,ft\n",
        "item,length,price\ntimber,8,34\n",
        "item,length (ft),price\n6x6 treated,8,$34.00\n",
        "item;price;per\n6x6x8;34,00;each\n",
        'product,price each\n"timber 8\'",34\n', "item\tprice\n8 ft timber\t34 USD\n",
    ],
)  # fmt: skip
def test_lengths_in_price_lists(tmp_path, rows):
    """A stick of 8 ft for 34, however the list says it."""
    from lynchet.project.money import Prices
    from lynchet.works.price_list import PriceList

    found = PriceList(Prices("", prices(tmp_path, rows))).of_stick(8 * FOOT, (5.5 * INCH, 5.5 * INCH))
    assert found == pytest.approx(34.0)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("timber 8,34,", ("prices.csv:2", "a length needs its unit", "timber_8_ft")),
        ("timber 8 ft,34,yd3", ("prices.csv:2", "yd3", "each", "per m or ft")),
        ("timber,34,each", ("prices.csv:2", "3.4 per m", "timber_8_ft")),
        ("gravl,34,", ("prices.csv:2", "gravl", "gravel")),
    ],
)
def test_wrong_rows_offer_the_nearest_name(tmp_path, row, says):
    """A row that cannot be meant: its line, what was found, the nearest that is taken."""
    with pytest.raises(InputError) as raised:
        prices(tmp_path, f"item,price,per\n{row}\n")
    for word in says:
        assert word in str(raised.value)


def test_the_order_list_filled_in_is_a_price_list(tmp_path):
    """Every line of our own order list, with a price written behind it, has that price in the next plan."""
    bare = planned(YARDS / "plain.toml", "--effort", "live").data["works"]["order"]
    out = io.StringIO()
    rows = csv.writer(out)
    rows.writerow(("key", "what", "amount to buy", "sold by", "price each [USD]"))
    rows.writerows((line["key"], line["name"], line["buy_units"], line["unit"], 7) for line in bare)
    (tmp_path / "mine.csv").write_text(out.getvalue(), encoding="utf-8")
    file = changed(tmp_path, "plain.toml", {}, '\n[prices]\nfile = "mine.csv"\n')
    again = planned(file, "--effort", "live").data["works"]
    assert [line["unit_price"] for line in again["order"]] == pytest.approx([7.0] * len(bare))
    assert set(again["price"]["missing"]) <= {"deliveries by truck", "work by the hour"}  # not on that list


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), ("look", "plan", "quote", "Begin with: lynchet look", "Price a job for a client.")),
        (("plna", "yard.toml"), ("No such command 'plna'", "Did you mean 'plan'")),
        (("plan", "yard.toml", "--otu", "out"), ("No such option: --otu", "--out")),
        (("plan", str(YARDS / "plain.toml"), "--out", ""), ("--out", "the name of a folder")),
        (("plan",), ("Missing argument 'FILE'",)),
        (
            ("plan", str(YARDS / "plain.toml"), "--without", "gravity"),
            ('--without: no help is called "gravity"', "pins"),
        ),
        (("quote", str(YARDS / "plain.toml"), "--date", "5/4/27"), ("--date:", "YYYY-MM-DD")),
        (("calc", "nonsense"), ("no calculator is called 'nonsense'",)),
    ],
)
def test_orders_that_cannot_be_meant(words, says):
    """No order, a misspelt one, an option or a word that does not exist: what there is, and how it is spelt."""
    ran = command(*words)
    assert ran.status == 2 and "Traceback" not in ran.err
    for word in says:
        assert word in ran.out + ran.err, ran.err
