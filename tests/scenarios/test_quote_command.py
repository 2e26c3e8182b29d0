"""A contractor quotes the same evening: the firm's file under the job's, a copy for the client, one for himself."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

import lynchet.demos
from by_command import Ran, command
from lynchet.exports.written_list import LIST

FIRM = """\
# INVENTED
lynchet = 1
units = "us"
[firm]
name = "Invented Terraces"
address = ["14 Example Road", "Sampletown"]
phone = "000 555 0100"
logo = "logo.svg"
[prices]
overhead = "18 %"
profit = "10 %"
tax = "6.5 %"
items = { labour = 48, plants = 6, drip_line = "0.6 per ft" }
[terms]
valid_days = 14
stages = [{ name = "at signing", share = "30 %" }, { name = "walls up", share = "70 %" }]
exclusions = ["survey of the lot lines"]
warranty = "two years"
[[allowance]]
name = "rock that a bar does not move"
unit = "yd3"
cost = 160
[[allowance]]
name = "old wall found"
unit = "job"
[[option]]
name = "stump ground out"
price = 250
"""
LOGO = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 30 10"><path d="M0 9h10v-3h10v-3h10" stroke="#000"/></svg>'
JOB = """
[quote]
number = "27-014"
client = "A. and B. Client"
[sheet]
date = 2027-03-12
"""
FILES = ("quote-client.pdf", "quote-own.pdf", "quote.xlsx")


def job(folder: Path, more: str = JOB, **swaps: str) -> Path:
    """The side yard under the firm; texts of the job or the firm swapped ("old" to "new" by key_old, key_new)."""
    demo = Path(lynchet.demos.__file__).with_name("side_yard.toml").read_text(encoding="utf-8")
    text = demo.replace('units = "us"', 'units = "us"\nfirm = "firm.toml"', 1) + more
    for old, new in swaps.items():
        text = text.replace(old, new)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    (folder / "firm.toml").write_text(FIRM, encoding="utf-8")
    (folder / "logo.svg").write_text(LOGO, encoding="utf-8")
    return folder / "job.toml"


def quoted(path: Path, *words: str) -> Ran:
    """The command, quickly."""
    return command("quote", str(path), "--effort", "live", *words)


def words_of(path: Path) -> str:
    """Text of a PDF on one line."""
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job quoted with an option and a scheme."""
    place = tmp_path_factory.mktemp("quote")
    option = '[[option]]\nname = "no steps"\nleave_out = "steps"\n'
    scheme = '[[scheme]]\nname = "three"\nterraces = 3\noption = "three beds in place of four"\n'
    done = quoted(job(place, JOB + option + scheme), "--out", str(place / "out"))
    assert done.status == 0, done.err
    return place / "out"


def test_the_client_reads_what_is_built_and_what_it_costs(folder: Path) -> None:
    """Firm, client, walls, parts, allowances, options, payments and the last day stand on at most two pages."""
    text = words_of(folder / FILES[0])
    assert len(PdfReader(folder / FILES[0]).pages) <= 2
    for said in ("Quote 27-014", "Invented Terraces", "A. and B. Client", "Good until: 26 March 2027", "6 walls",
                 "Timber walls and steps", "rock that a bar does not move", "to be agreed in writing", "no steps",
                 "three beds in place of four", "survey of the lot lines", "at signing", "two years", "Terraces plan",
                 "licensed engineer", "Engineer:"):  # fmt: skip
        assert said in text, said
    assert "As drawn on issue A, sheets:" in text and " Walls" in text.partition("sheets:")[2][:120]
    assert "your building office" in text or "Office:" not in text
    assert "New Jersey" not in text and "a sample" not in text and "not known here" not in text
    assert "outlets" not in text, "this yard has no pipe, so no outlet to keep open"


def test_rows_left_out_are_told_where_a_price_is_missing(tmp_path: Path) -> None:
    """Plants without a price, and a row that may have been meant for them, are told together."""
    rows = "item,price,per\ndelivery,90,each\ngarden chair,20,each\n"
    (tmp_path / "list.csv").write_text(rows, encoding="utf-8")
    path = job(tmp_path)
    firm = FIRM.replace('tax = "6.5 %"', 'tax = "6.5 %"\nfile = "list.csv"').replace("plants = 6, ", "")
    (tmp_path / "firm.toml").write_text(firm, encoding="utf-8")
    said = " ".join(quoted(path).out.split())
    assert "left out: garden chair." in said


def test_the_client_reads_nothing_of_the_firms_cost(folder: Path) -> None:
    """Overhead, profit, hours, rates and direct cost stay at home; the own copy has them and says whose it is."""
    client, own = words_of(folder / FILES[0]).lower(), words_of(folder / FILES[1]).lower()
    for secret in ("overhead", "profit", "direct cost", "by the hour", "charged", "48.00"):
        assert secret not in client, secret
        assert secret in own or secret in ("by the hour", "48.00"), secret
    assert "not for the client" in own
    assert "old wall found: no price agreed" in own
    assert "not offered: stump ground out" in own and "stump" not in client


def test_the_three_files_name_one_money(folder: Path) -> None:
    """Both copies, the spreadsheet and the data agree on price, tax, total and payments to the last hundredth."""
    data = json.loads(quoted(folder.parent / "job.toml", "--json").out)
    total, price = f"{data['total']:,.2f}", f"{data['price']:,.2f}"
    assert data["complete"]
    for name in FILES[:2]:
        assert total in words_of(folder / name)
        assert price in words_of(folder / name)
    page = load_workbook(folder / FILES[2], data_only=True)["Price"]
    cells = {row[0].value: row[1].value for row in page.iter_rows()}
    assert cells["Total"] == pytest.approx(data["total"], abs=1e-9)
    assert sum(one["money"] for one in data["payments"]) == pytest.approx(data["total"], abs=1e-9)
    assert sum(part["money"] for part in data["parts"]) == pytest.approx(data["price"], abs=1e-9)
    options = {one["name"]: one["money"] for one in data["options"]}
    assert options["no steps"] < 0
    assert options["three beds in place of four"] not in (None, 0.0)


def test_a_forgotten_haul_off_stops_the_clients_copy(tmp_path: Path) -> None:
    """Without a price for a load away no client's copy is made, an old one goes, and the own copy says why."""
    out = tmp_path / "out"
    assert quoted(job(tmp_path), "--out", str(out)).status == 0
    assert (out / FILES[0]).exists()
    done = quoted(job(tmp_path, **{"load_away = 420, ": ""}), "--out", str(out))
    assert done.status == 0
    assert "NO CLIENT'S COPY" in done.out
    assert "load_away" in done.out
    assert sorted(path.name for path in out.iterdir()) == sorted((LIST, *FILES[1:]))
    assert "No client's copy is made" in words_of(out / FILES[1])


def test_a_missing_price_is_said_loudly_on_every_sheet(tmp_path: Path) -> None:
    """Without a price for fabric no sum passes for a price: screen, both copies, spreadsheet."""
    out = tmp_path / "out"
    done = quoted(job(tmp_path, **{'fabric = "1.1 per sq yd", ': ""}), "--out", str(out))
    assert "NOT TO BE SENT: no price for 1 of" in done.out
    assert "NOT COMPLETE" in done.out
    client = words_of(out / FILES[0])
    assert "not to be sent" in client
    assert "So far, NOT COMPLETE" in client
    assert "Signed" not in client
    assert "NO PRICE" in words_of(out / FILES[1])
    assert str(load_workbook(out / FILES[2])["Price"]["A2"].value).startswith("NOT COMPLETE")


def test_a_plan_that_stops_is_not_offered(tmp_path: Path) -> None:
    """The steep demo has no client's copy, whatever it would cost."""
    file = Path(lynchet.demos.__file__).with_name("spot_levels.toml")
    done = quoted(file, "--out", str(tmp_path / "out"))
    assert done.status == 0
    assert "The plan says stop" in " ".join(done.out.split())
    assert not (tmp_path / "out" / FILES[0]).exists()


def test_a_date_may_be_given_and_is_never_the_clocks(tmp_path: Path) -> None:
    """--date dates the quote; without any the sheet leaves room and the screen says so."""
    path = job(tmp_path, JOB.replace("date = 2027-03-12", ""))
    data = json.loads(quoted(path, "--json", "--date", "2028-02-20").out)
    assert (data["date"], data["valid_until"]) == ("2028-02-20", "2028-03-05")
    data = json.loads(quoted(path, "--json").out)
    assert (data["date"], data["valid_until"]) == ("", "")
    assert any("no date" in text for text in data["before_sending"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--date", "12 March"), "--date"),
        (("--effort", "some"), "effort"),
        (("--out", "job.toml"), "is a file"),
        (("--out", "taken"), "is a folder"),
    ],
)
def test_bad_input_is_told_and_nothing_is_written(tmp_path: Path, words: tuple[str, str], said: str) -> None:
    """A wrong date, word or folder ends with a message and leaves no file."""
    path = job(tmp_path)
    (tmp_path / "taken" / FILES[2]).mkdir(parents=True)
    before = sorted(tmp_path.rglob("*"))
    asked = (words[0], str(tmp_path / words[1])) if words[0] == "--out" else words
    done = quoted(path, *asked)
    assert done.status == 2
    assert said in done.err
    assert sorted(tmp_path.rglob("*")) == before


def test_a_fault_in_the_firms_file_is_told_on_its_line(tmp_path: Path) -> None:
    """Shares that do not make 100 % end the quote with the firm's file, line and key."""
    path = job(tmp_path)
    firm = tmp_path / "firm.toml"
    firm.write_text(FIRM.replace('share = "70 %"', 'share = "60 %"'), encoding="utf-8")
    done = quoted(path, "--out", str(tmp_path / "out"))
    assert done.status == 2
    assert "firm.toml:16: terms.stages: the payments make 90 %" in done.err
    assert not (tmp_path / "out").exists()
