"""What is wrong with dates, tables, price lists and points is told plainly, with file and row, and is never a crash."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from lynchet.core.errors import InputError
from lynchet.project.file_ranges import refuse_far_points
from lynchet.project.read import read_project
from lynchet.project.values import split_price

YARD = """lynchet = 1
units = "metric"
ground = { GROUND, held = "level" }
area = { length = "4 m", depth = "5 m" }
soil = { class = "SM" }
timber = { section = "150 mm x 150 mm", stock = ["2.4 m"] }
"""
PLANE = 'slope = "1 m in 5 m"'


def _told(folder: Path, more: str = "", ground: str = PLANE) -> str:
    """What is said of a yard; empty for nothing."""
    file = folder / "yard.toml"
    file.write_text(YARD.replace("GROUND", ground) + more, encoding="utf-8")
    try:
        read_project(file)
    except InputError as error:
        return str(error)
    return ""


@pytest.mark.parametrize(("more", "words"), [
    ("[works]\nstart = 9999-12-31", ("yard.toml:8", "works.start", "9999-12-31 found", "1900-01-01 to 2999-12-31")),
    ('[works]\nstart = "0001-01-01"', ("yard.toml:8", "works.start", "0001-01-01")),
    ("[works]\nholidays = [9999-12-31]", ("works.holidays", "2999-12-31")),
    ('[prices]\ncurrency = "EURO"', ("yard.toml:8", "prices.currency", '"EURO"', "three letters")),
    ('[prices]\ncurrency = "$"', ("prices.currency", "three letters")),
    ("x = " + "[" * 3000 + "]" * 3000, ("yard.toml:7", "within each other")),
    (".".join("x" * 200) + " = 1", ("within each other",)),
    ("x = " + "[" * 60 + "]" * 60, ("yard.toml:7", "within each other")),
    ("[[house]]\noutline = [[0,6],[4,6],[4,9],[0,9]]\neaves = \"5 m\"\nridge = \"3 m\"",
     ("yard.toml:10", "house.1.ridge", "below the eaves at 5", "the height of the eaves or more")),
])  # fmt: skip
def test_of_the_file_itself(tmp_path: Path, more: str, words: tuple[str, ...]) -> None:
    """Dates out of the calendar, a currency, tables far too deep, a roof upside down."""
    told = _told(tmp_path, more)
    assert told and all(word in told for word in words), told


@pytest.mark.parametrize("more", [
    "[works]\nstart = 2999-12-31", '[prices]\ncurrency = "CHF"', "[[house]]\noutline = [[0,6],[4,6],[4,9],[0,9]]\n"
    'eaves = "3 m"\nridge = "3 m"', "",
])  # fmt: skip
def test_what_is_right_is_taken(tmp_path: Path, more: str) -> None:
    """The last day, three letters, a roof without a rise: nothing is said."""
    assert _told(tmp_path, more) == ""


@pytest.mark.parametrize(("rows", "words"), [
    ("stone,4,t\nstone,9,t", ("list.csv:3", '"stone" stands in two rows', "4 per t in row 2", "9 per t here")),
    ('stone,4,t\n"gravel,4,t', ("list.csv:3", "a quote that is opened and not closed")),
    ("stone,4,t,5,6", ("list.csv:2", "5 cells under 3 heads", "item, price, per", "in quotes")),
    ("stone,n/a,t", ("list.csv:2", "stone, n/a, t", "an empty cell where there is none yet")),
    ("stone,4,50,t", ("list.csv:2", "4 cells under 3 heads", "a decimal as 4.5")),
])  # fmt: skip
def test_of_a_price_list(tmp_path: Path, rows: str, words: tuple[str, ...]) -> None:
    """Two prices for one item, an open quote, more cells than heads: file, row and what is accepted."""
    (tmp_path / "list.csv").write_text("item,price,per\n" + rows + "\n", encoding="utf-8")
    told = _told(tmp_path, '[prices]\nfile = "list.csv"')
    assert told and all(word in told for word in words), told


@pytest.mark.parametrize(("rows", "words"), [
    ('item,price,per\nstone,"1,041",t', ("list.csv:2", 'stone: "1,041"', "1041, or 1.0410")),
    ("item\tprice\tper\nstone\t1,041\tt", ("list.csv:2", '"1.041"', "as 1041", "as 1.041")),
    ("item;price;per\nstone;1.041;t\ngravel;34,50;t", ("list.csv:2", '"1.041"', "1041, or 1.0410")),
    ("item;price;per\nstone;\u20ac1,041;t", ("list.csv:2", '"1,041"')),
])  # fmt: skip
def test_a_thousand_or_a_decimal(tmp_path: Path, rows: str, words: tuple[str, ...]) -> None:
    """A price with three figures behind its one mark means two things in two countries: both are named, none taken."""
    (tmp_path / "list.csv").write_text(rows + "\n", encoding="utf-8")
    told = _told(tmp_path, '[prices]\nfile = "list.csv"')
    assert told and all(word in told for word in words), told
    file = _told(tmp_path, '[prices]\nitems = { stone = "$1,041 per t" }')
    assert "prices.items" in file and '"1,041"' in file and "1041, or 1.0410" in file


@pytest.mark.parametrize("cover", [[], [["Prices of spring"], ["valid to June"]], [["Prices", "2027"]]])
def test_a_list_behind_a_cover_sheet_is_read(tmp_path: Path, cover: list[list[str]]) -> None:
    """The first sheet that holds a table is the list, with a title above it or not; what is wrong names its row."""
    book = Workbook()
    for row in cover:
        book.active.append(row)
    sheet = book.create_sheet("Prices")
    for row in (["Our prices"], ["Item", "Unit price", "Unit"], ["drain stone", 42, "t"], ["stone", -1, "t"]):
        sheet.append(row)
    book.save(tmp_path / "list.xlsx")
    told = _told(tmp_path, '[prices]\nfile = "list.xlsx"')
    assert told.startswith("list.xlsx:4: stone, -1, t") and "an item and its price" in told


# How numbers are written: a point or a comma for decimals, groups of three above (ISO 80000-1:2022, 7.3; CLDR 46,
# numbering of en-US and de-DE).
@pytest.mark.parametrize(("written", "money"), [
    ("12,50", 12.5), ("1,041.00", 1041.0), ("1.041,00", 1041.0), ("12,345,678", 12345678.0), ("0,125", 0.125),
    ("1041,5", 1041.5), ("1041", 1041.0), ("1.041", 1.041), ("1,041.5 per t", 1041.5), ("1,0410", 1.041),
])  # fmt: skip
def test_prices_that_are_read_in_one_way(written: str, money: float) -> None:
    """Both marks, two groups, a nought before the comma, or not three figures behind it: one number alone."""
    assert split_price(written)[0] == pytest.approx(money, rel=1e-12)


@pytest.mark.parametrize(("more", "ground", "words"), [
    ("", 'slope = "15"', ("ground.slope.fall", '"15" without a sign', '"15 %"', '"1 in 15"', '"15 deg"')),
    ("", "slope = 15", ("ground.slope.fall", "15 without a sign", '"15 %"')),
    ('[drain]\nfall = "1"', PLANE, ("drain.fall", '"1 %"')),
    ('[brief]\nlean = "10"', PLANE, ("brief.lean", '"10 %"', '"1 in 10"', '"10 deg"')),
    ("[prices]\noverhead = 12", PLANE, ("prices.overhead", '"12 %"')),
])  # fmt: skip
def test_a_slope_without_its_sign(tmp_path: Path, more: str, ground: str, words: tuple[str, ...]) -> None:
    """A number meant as a percentage, a ratio or degrees: the forms that would fit are offered, and no other."""
    told = _told(tmp_path, more, ground)
    assert told and all(word in told for word in words), told
    assert "overhead" not in told or "deg" not in told
    assert "drain.fall" not in told or '"1 in 1"' not in told


def test_one_price_twice_and_empty_cells_behind_are_no_fault(tmp_path: Path) -> None:
    """A row copied, a separator too many, a mark for inches within a cell."""
    rows = 'item,price,per\nstone,4,t,,\nstone,4,t\n"stone",4,t\n'
    (tmp_path / "list.csv").write_text(rows, encoding="utf-8")
    assert _told(tmp_path, '[prices]\nfile = "list.csv"') == ""


def test_a_formula_without_a_result_is_no_gap(tmp_path: Path) -> None:
    """In a column that is read it is told with its row; in any other it does not matter."""
    book = Workbook()
    for row in (("item", "price", "per", "sum"), ("stone", 4, "t", "=B2*3"), ("load_away", "=B2*2", "each", None)):
        book.active.append(row)  # type: ignore[union-attr]
    book.save(tmp_path / "list.xlsx")
    told = _told(tmp_path, '[prices]\nfile = "list.xlsx"')
    assert told.startswith("list.xlsx:3: load_away: =B2*2, a formula without a result") and told.count("\n") == 0


POINTS = "name,x,y,level\na,-3,-3,0\nb,7,-3,0\nc,7,8,2\nd,-3,8,2\n"


@pytest.mark.parametrize(("wrong", "row", "words"), [
    ("e,1,1,1e308", 6, ("level", "1e308 found", "-500.00 m", "9000.00 m")),
    ("e,1e308,1,1", 6, ("x", "1e308 found")),
    ("e,1,-1e300,1", 6, ("y", "-1e300 found")),
])  # fmt: skip
def test_of_points(tmp_path: Path, wrong: str, row: int, words: tuple[str, ...]) -> None:
    """A place or a level that no yard has: file, row, column, what was found and what is accepted."""
    (tmp_path / "p.csv").write_text(POINTS + wrong + "\n", encoding="utf-8")
    told = _told(tmp_path, ground='points = "p.csv"')
    assert told.startswith(f"p.csv:{row}: ") and all(word in told for word in words), told


def test_of_a_long_list_and_of_places_in_the_file(tmp_path: Path) -> None:
    """Points without rows to name are told by their number; a place of the file by its key."""
    with pytest.raises(InputError, match=r"grid.asc: point 2: level 1e\+30 m found; accepted: a length from -500"):
        refuse_far_points([("point 1", 0.0, 0.0, 9000.0), ("point 2", 0.0, 0.0, 1e30)], "grid.asc", "metric")
    rows = ", ".join(f"{{ at = [{x}, 1], level = 1 }}" for x in ("0", "1e308", "5"))
    told = _told(tmp_path, ground=f"points = {{ readings = [{rows}] }}")
    assert "ground.points.readings.2.at: 1e+308 found" in told and "within 10 km" in told


def test_of_a_level_book(tmp_path: Path) -> None:
    """A rod as long as that is none: file, row, column."""
    (tmp_path / "b.csv").write_text(
        "point,backsight,intermediate,foresight,known,x,y\na,1.2,,,0,0,0\nb,,1e300,,,5,0\nc,,1.1,,,5,5\nd,,,1.2,0,0,5\n",
        encoding="utf-8",
    )
    told = _told(tmp_path, ground='level_book = "b.csv"')
    assert told.startswith("b.csv:3: intermediate: 1e300 found") and "10.00 m" in told, told
