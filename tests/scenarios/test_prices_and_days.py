"""Money and days as people meet them: the balanced job that loses money, price lists, bad prices, a first look.

Yards and prices are invented.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from openpyxl import Workbook

from by_command import YARDS, Planned, changed, command, planned

LOSES = YARDS / "balanced_that_loses.toml"
ROUGH = ["look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "3 ft", "--top", "house"]


def _line(plan: Planned, key: str) -> dict[str, object]:
    return next(line for line in plan.data["works"]["order"] if line["key"] == key)


def test_the_balanced_job_that_loses_money() -> None:
    """Cut equals fill, and still soil must go by the load: what stone, timber and bed soil push out. The loads stand on
    the order list with their price, a finding says so with its money, and without them the profit would be gone."""
    plan = planned(LOSES, "--effort", "live")
    account, works = plan.data["earth"]["account"], plan.data["works"]
    assert abs(account["plain_away_bank_m3"]) < 0.02 * account["plain_fill_m3"]
    assert account["away_loose_m3"] > 0 and account["loads"] >= 1
    away = _line(plan, "load_away")
    assert away["buy"] == account["loads"] and away["money"] == pytest.approx(420.0 * account["loads"])
    assert not plan.findings("works.haul_off"), "one finding, not two"
    finding = plan.findings("earth.pushed_out")[0]
    assert finding["verdict"] == "watch" and f"{away['money']:,.0f} USD" in finding["text"]
    assert "Cut and fill alone balance" in finding["text"] and finding["cause"] == "earth.soil"
    assert works["price"]["words"].startswith("all ") and not works["price"]["missing"]
    part = next(part for part in works["price"]["parts"] if part["name"] == "soil away")
    carried = next(task for task in works["tasks"] if task["id"] == "site/haul away")
    lost = part["money"]["likely"] + 48.0 * carried["hours"]["likely"]
    profit = 0.07 * works["price"]["total"]["likely"]
    assert lost > profit, "the haul-off forgotten eats more than the whole profit"
    assert any(one["name"] == "soil away" and one["money"] == away["money"] for one in works["deliveries"])


def test_days_have_dates_and_end_before_the_next_begins() -> None:
    """From the start in the file the days run over working days, each with hours within the day and an evening."""
    works = planned(LOSES, "--effort", "live").data["works"]
    dates = [day["date"] for day in works["days"]]
    assert dates[0] == "2027-04-05" and dates == sorted(set(dates)) and works["programme"]["finish"] == dates[-1]
    assert not {day["weekday"] for day in works["days"]} & {"sat", "sun"}
    assert all(day["used_h"] <= 8 + 1e-9 and day["evening"] for day in works["days"])


def test_lists_are_the_same_at_both_efforts() -> None:
    """Live leaves nothing out: the same stone, drain goods, soil and days as the full plan, sticks aside."""
    live, full = (planned(LOSES, "--effort", effort).data["works"] for effort in ("live", "full"))
    lines = [
        [
            (line["key"], pytest.approx(line["quantity"]))
            for line in works["order"]
            if line["group"] in ("stone", "soil")
        ]
        for works in (live, full)
    ]
    assert lines[0] == lines[1] and lines[0]
    assert [day["date"] for day in live["days"]] == [day["date"] for day in full["days"]]
    assert full["programme"]["least_days"] and live["programme"]["least_days"] is None


def test_prices_may_be_left_out() -> None:
    """Without prices every quantity is there, and one line says that money is not, in the words of any gap."""
    ran = command("plan", str(YARDS / "plain.toml"), "--effort", "live")
    assert ran.status == 0
    assert re.search(r"money: no price for (\d+) of \1 lines", ran.out) and "work: about" in ran.out


def test_some_prices_are_missing(tmp_path: Path) -> None:
    """With some prices the rest are counted: "no price for 9 of 11 lines"."""
    file = changed(tmp_path, "plain.toml", {}, '\n[prices]\nitems = { base_stone = "40 per ton" }\n')
    ran = command("plan", str(file), "--effort", "live")
    price = planned(file, "--effort", "live").data["works"]["price"]
    assert f"no price for {len(price['missing'])} of {price['lines']} lines" in ran.out
    assert 0 < len(price["missing"]) < price["lines"]


def _refused(tmp_path: Path, prices: str, *says: str) -> None:
    """The plan of a yard with these prices is refused with status 2, says these words, and writes nothing."""
    file = changed(tmp_path, "plain.toml", {}, f"\n[prices]\n{prices}\n")
    before, out = sorted(tmp_path.iterdir()), tmp_path / "out"
    ran = command("plan", str(file), "--out", str(out))
    assert ran.status == 2 and ran.out == ""
    assert sorted(tmp_path.iterdir()) == before and not out.exists()
    for text in says:
        assert text in ran.err, ran.err


@pytest.mark.parametrize(
    ("items", "says"),
    [
        ("{ drain_stone = -4 }", ("drain_stone", "-4", "from 0")),
        ('{ drain_stone = "dear" }', ("drain_stone", '"dear"')),
        ("{ drain_stone = nan }", ("drain_stone", "nan")),
        ("{ drain_stone = true }", ("drain_stone", "yes or no")),
        ("{ dran_stone = 4 }", ("dran_stone", "drain_stone")),
        ('{ drain_stone = "4 per furlong" }', ("furlong", "t", "yd3")),
        ('{ fabric = "4 per ton" }', ("ton", "m2")),
        ("{ timber = 4 }", ("timber", "per ft")),
        ("{ timber_long = 4 }", ("timber_long", "timber_8_ft")),
        ('{ labour = "48 per yd3" }', ("labour", "yd3", "h")),
    ],
)
def test_bad_prices(tmp_path: Path, items: str, says: tuple[str, ...]) -> None:
    """A price below zero, no number, of an unknown item (the nearest is named) or in no unit of it is refused."""
    _refused(tmp_path, f"items = {items}", *says)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", ("prices.csv", "no rows")),
        ("# nothing yet\n\n", ("prices.csv", "no rows")),
        ("item,price\n", ("prices.csv", "without a row")),
        ("article,costs\nstone,4\n", ("prices.csv", "no column item", "no column price", "article")),
        ("item,colour\nstone,grey\n", ("prices.csv", "no column price")),
        ("item,price\nstone,dear\n", ("prices.csv:2", "dear")),
        ("item,price\nstone,-1\n", ("prices.csv:2", "-1")),
        ("item,price\nstone,4\nstoen,5\n", ("prices.csv:3", "stoen", "stone")),
        ("item,price,per\nstone,4,m2\n", ("prices.csv:2", "m2")),
        ("stone\nfabric\n7\n", ("prices.csv",)),
        (
            "item,price\njoist hanger,4\ngarden chair,5\n",
            ("prices.csv:2", "no row of an item", "joist hanger", "fabric"),
        ),
        ("item,price\nstone,4\n6x6 treated,5\n", ("prices.csv:3", "6x6 treated", "needs its length")),
    ],
)
def test_bad_price_files(tmp_path: Path, text: str, says: tuple[str, ...]) -> None:
    """An empty list, other columns, a word for a price, one below zero, an unknown item: each with file and line."""
    (tmp_path / "prices.csv").write_text(text, encoding="utf-8")
    _refused(tmp_path, 'file = "prices.csv"', *says)


def _xlsx(path: Path, rows: list[list[object]]) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    book.save(path)


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([], ("prices.xlsx", "no rows")),
        ([["Date", "Shop", "Sum"], ["May", "Yard", "much"]], ("prices.xlsx", "no column item", "date, shop, sum")),
        ([["item", "price"], ["stone", "dear"]], ("prices.xlsx:2", "dear")),
        ([["item", "price"], ["stone", -3.5]], ("prices.xlsx:2", "-3.5")),
        ([["item", "price"], ["stoen", 3]], ("prices.xlsx:2", "stone")),
    ],
)
def test_bad_spreadsheets(tmp_path: Path, rows: list[list[object]], says: tuple[str, ...]) -> None:
    """A spreadsheet without rows, with other columns or bad prices is refused like a CSV file, row by row."""
    _xlsx(tmp_path / "prices.xlsx", rows)
    _refused(tmp_path, 'file = "prices.xlsx"', *says)


def test_a_text_called_a_spreadsheet(tmp_path: Path) -> None:
    """A file that only ends in .xlsx, and one that is not there, are refused by name."""
    (tmp_path / "prices.xlsx").write_text("item,price\nstone,4\n", encoding="utf-8")
    _refused(tmp_path, 'file = "prices.xlsx"', "prices.xlsx", "no spreadsheet")
    (tmp_path / "prices.xlsx").unlink()
    _refused(tmp_path, 'file = "prices.xlsx"', "prices.xlsx", "no such file")


def test_a_merchants_whole_list(tmp_path: Path) -> None:
    """Rows of things that no wall needs are left out and told, whatever stands in them; the price is what it is
    without them."""
    rows = "item,price,per\nstone,42,ton\nfabric,1.5,sq yd\n"
    totals = []
    for others in ("", "joist hanger,1.75,each\ngarden chair,on request,\nroof felt,=A2*2,roll\n"):
        (tmp_path / "prices.csv").write_text(rows + others, encoding="utf-8")
        plan = planned(changed(tmp_path, "plain.toml", {}, '\n[prices]\nfile = "prices.csv"\n'), "--effort", "live")
        totals.append(plan.data["works"]["price"]["total"])
        told = [one["text"] for one in plan.findings("works.price_rows")]
        assert len(told) == bool(others)
    assert totals[0] == totals[1] and totals[0]["likely"] > 0
    assert told[0].startswith("3 rows") and all(
        name in told[0] for name in ("joist hanger", "garden chair", "roof felt")
    )


def test_csv_and_spreadsheet_say_the_same(tmp_path: Path) -> None:
    """One list as CSV, as XLSX and in the file itself gives one price; a row without a price is a gap, not an error."""
    rows: list[list[object]] = [["Item", "Price", "Per"], ["stone", 42, "ton"], ["fabric", 1.5, "sq yd"], ["mulch"]]
    (tmp_path / "prices.csv").write_text("item;price;per\nstone;42;ton\nfabric;1,5;sq yd\nmulch;;\n", encoding="utf-8")
    _xlsx(tmp_path / "prices.xlsx", rows)
    totals = []
    for text in (
        'file = "prices.csv"',
        'file = "prices.xlsx"',
        'items = { stone = "42/ton", fabric = "1.5 per sq yd" }',
    ):
        file = changed(tmp_path, "plain.toml", {}, f"\n[prices]\n{text}\n")
        totals.append(planned(file, "--effort", "live").data["works"]["price"]["total"])
    assert totals[0] == totals[1] == totals[2] and totals[0]["likely"] > 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[works]\ncrew = 0\n", ("works.crew", "from 1")),
        ("[works]\nhours_a_day = 30\n", ("works.hours_a_day", "up to 16")),
        ('[works]\nstart = "next week"\n', ("works.start", "next week", "YYYY-MM-DD")),
        ("[works]\nholidays = [2027-02-30]\n", ("cannot be read", "a day of the calendar")),
        ('[[rates]]\ntask = "courses"\nunit = "m"\n', ("neither hours nor a job",)),
        (
            '[[rates]]\ntask = "courses"\nunit = "m"\nhours = 0.5\njob = [{ quantity = 3, hours = 2 }]\n',
            ("rates.1.hours", "one of the two"),
        ),
        ('[[rates]]\ntask = "courses"\nunit = "yd3"\nhours = 2\n', ("courses", "m or ft")),
        ('[[rates]]\ntask = "coursing"\nunit = "m"\nhours = 2\n', ("coursing", "courses")),
        ('[[rates]]\ntask = "stone"\nunit = "m3"\njob = [{ quantity = 0, hours = 3 }]\n', ("rates.1.job.1.quantity",)),
    ],
)
def test_bad_crew_dates_and_rates(tmp_path: Path, text: str, says: tuple[str, ...]) -> None:
    """A crew of nobody, a day of thirty hours, a start that is no date, a rate without hours or in a wrong unit."""
    file = changed(tmp_path, "plain.toml", {}, f"\n{text}")
    ran = command("plan", str(file), "--out", str(tmp_path / "out"))
    assert ran.status == 2 and ran.out == "" and list(tmp_path.iterdir()) == [file]
    for word in says:
        assert word in ran.err, ran.err


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("more", [[], ["--held", "level", "--soil", "sticky"]])
def test_a_first_look_with_prices(tmp_path: Path, units: str, more: list[str]) -> None:
    """With a price list the first look adds a money band beside the days, still on one screen, in both systems."""
    prices = tmp_path / "prices.csv"
    prices.write_text("item,price,per\nstone,42,t\ntimber,1.9,ft\nlabour,48\nload away,420\n", encoding="utf-8")
    ran = command(*ROUGH, *more, "--units", units, "--prices", str(prices))
    lines = ran.out.splitlines()
    assert ran.status == 0 and len(lines) <= 24 and max(map(len, lines)) <= 80
    money = next(line for line in lines if "Money:" in line)
    assert " to " in money and "no price for" in ran.out
    assert any("Work: about" in line and "days" in line for line in lines)


def test_a_first_look_as_data(tmp_path: Path) -> None:
    """`--json` prints the same look as data, and a saved file finds its price list from where it lies."""
    prices, saved = tmp_path / "prices.csv", tmp_path / "yard" / "first.toml"
    prices.write_text("item,price\nbase_stone,42\n", encoding="utf-8")
    saved.parent.mkdir()
    ran = command(*ROUGH, "--json", "--prices", str(prices), "--save", str(saved))
    found = json.loads(ran.out)
    assert ran.status == 0 and found["days"] >= 1 and found["money"]["low"] <= found["money"]["high"]
    assert found["verdict"] in ("ok", "watch", "ask", "stop") and found["reasons"]
    again = command("plan", str(saved), "--effort", "live")
    assert again.status == 0 and "money:" in again.out


def test_a_bad_price_list_stops_a_first_look(tmp_path: Path) -> None:
    """A list with other columns is refused before anything is planned or saved."""
    prices, saved = tmp_path / "prices.csv", tmp_path / "first.toml"
    prices.write_text("shop,sum\nyard,3\n", encoding="utf-8")
    ran = command(*ROUGH, "--prices", str(prices), "--save", str(saved))
    assert ran.status == 2 and ran.out == "" and not saved.exists() and "no column item" in ran.err
