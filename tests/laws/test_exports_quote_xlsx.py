"""The quote's spreadsheet: an engine that is not ours computes it to the same money, also after a user changed it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from lynchet.exports.order_xlsx import order_xlsx
from lynchet.exports.quote_xlsx import quote_xlsx
from lynchet.plan.model import Plan
from lynchet.project.csv_rows import number_or_none
from lynchet.project.firm import Offer
from lynchet.project.xlsx_rows import read_xlsx
from lynchet.quotes.making import quote_of
from quoted import OFFER, TERMS, every_price, planned, prices, without
from recalculated import by_office, carried, changed, recalculated, same, typed_numbers


def written(plan: Plan, folder: Path, name: str = "quote.xlsx") -> Path:
    """The quote of a plan as a file."""
    path = folder / name
    path.write_bytes(quote_xlsx(plan, quote_of(plan)))
    return path


def either(make: str, folder: Path) -> Path:
    """The file of a quote, or of the order list of the same plan."""
    plan = planned()
    path = folder / "sheet.xlsx"
    data = quote_xlsx(plan, quote_of(plan)) if make == "quote" else order_xlsx(plan.works, "Invented", plan.planted)
    path.write_bytes(data)
    return path


def labelled(path: Path, page: str, label: str, column: str = "B") -> str:
    """The cell of a column in the row that begins with a label."""
    rows = [row for row in load_workbook(path)[page].iter_rows() if row[0].value == label]
    assert len(rows) == 1, (label, len(rows))
    return f"{column}{rows[0][0].row}"


def line_of(path: Path, what: str) -> int:
    """Row of a cost line by its name."""
    return next(row[1].row for row in load_workbook(path)["Cost lines"].iter_rows() if row[1].value == what)


@pytest.mark.parametrize(
    "plan",
    [
        planned(),
        planned(without("labour", "fabric")),
        planned(prices(items=()), Offer()),
        planned(offer=replace(OFFER, terms=replace(TERMS, round_to_money=250.0, rounding="up", minimum_money=9000.0))),
        planned(offer=replace(OFFER, terms=replace(TERMS, bill_days=None, minimum_days=30.0, round_to_money=7.0))),
        planned(name="l_garden"),
    ],
    ids=["plain", "gaps", "no prices", "smallest job", "fewest days", "metric"],
)
def test_every_formula_gives_what_the_file_carries(plan: Plan, tmp_path: Path) -> None:
    """Recomputed from its formulas alone, the file shows the sums, parts and payments of the quote, cell by cell."""
    path = written(plan, tmp_path)
    found, said, quote = recalculated(path), carried(path), quote_of(plan)
    wrong = {key: (found[key], said[key]) for key in found if not same(found[key], said[key])}
    assert not wrong
    assert len(found) > 20
    for label, value in (("Direct cost", quote.sums.direct), ("Profit", quote.sums.profit),
                         ("Price before tax", quote.sums.price), ("Total", quote.sums.total)):  # fmt: skip
        assert 100 * float(found["Price", labelled(path, "Price", label)]) == pytest.approx(value, abs=1e-4), label
    state = found["Price", labelled(path, "Price", "So these sums are")]
    assert state == ("complete" if quote.complete else "NOT COMPLETE")


def test_what_a_user_changes_gives_what_the_quote_would_say(tmp_path: Path) -> None:
    """Dearer stone, another hour's price, other shares, steps and days: the file follows as the quote itself does."""
    path = written(planned(), tmp_path)
    stone = line_of(path, "drain stone, washed, 3/4 to 1 1/2 in (20 to 40 mm)")
    rates: dict[tuple[str, str], Any] = {
        ("Price", labelled(path, "Price", "Money for one hour of one person")): 55.0,
        ("Price", labelled(path, "Price", "Crew days go to whole steps of")): 1.0,
        ("Price", labelled(path, "Price", "Overhead, share of the direct cost")): 0.22,
        ("Price", labelled(path, "Price", "Profit, share of the price")): 0.13,
        ("Price", labelled(path, "Price", "The price goes to whole steps of")): 50.0,
        ("Price", labelled(path, "Price", "Tax, share of the price")): 0.2,
        ("Cost lines", f"E{stone}"): 61.0,
    }
    edited = changed(path, rates, tmp_path / "edited.xlsx")
    dearer = tuple(replace(one, money=55.0) if one.item == "labour" else one for one in every_price())
    dearer = tuple(replace(one, money=61.0, per="yd3") if one.item == "drain_stone" else one for one in dearer)
    offer = replace(OFFER, terms=replace(TERMS, bill_days=1.0, round_to_money=50.0))
    quote = quote_of(planned(prices(items=dearer, overhead=0.22, profit=0.13, tax=0.2), offer))
    found = recalculated(edited)
    for label, value in (("Work", sum(line.cents or 0 for line in quote.lines if line.kind == "labour")),
                         ("Direct cost", quote.sums.direct), ("Overhead", quote.sums.overhead),
                         ("Price before tax", quote.sums.price), ("Total", quote.sums.total),
                         ("And of the profit is left", quote.over.profit)):  # fmt: skip
        assert 100 * float(found["Price", labelled(edited, "Price", label)]) == pytest.approx(value, abs=1e-4), label
    for part in quote.parts:
        cell = labelled(edited, "Parts", part.name, "D")
        assert 100 * float(found["Parts", cell]) == pytest.approx(part.cents, abs=1e-4), part.name
    for one in quote.payments:
        assert 100 * float(found["Payments", labelled(edited, "Payments", one.name, "C")]) == pytest.approx(one.cents)


def test_a_price_taken_away_is_not_hidden(tmp_path: Path) -> None:
    """An emptied price turns the first page to NOT COMPLETE; hours changed change the work."""
    path = written(planned(), tmp_path)
    rate = labelled(path, "Price", "Money for one hour of one person")
    state, count = (labelled(path, "Price", label) for label in ("So these sums are", "Lines without a price"))
    empty = recalculated(changed(path, {("Price", rate): None, ("Cost lines", "E6"): None}, tmp_path / "a.xlsx"))
    assert (empty["Price", state], float(empty["Price", count])) == ("NOT COMPLETE", 2.0)
    work = labelled(path, "Price", "Work")
    more = recalculated(changed(path, {("Hours", "B4"): 40.0}, tmp_path / "b.xlsx"))
    assert float(more["Price", work]) > float(carried(path)["Price", work])


def test_the_order_lists_spreadsheet_too(tmp_path: Path) -> None:
    """The order list's file, computed by the same engine, carries what its formulas give."""
    path = either("order", tmp_path)
    found, said = recalculated(path), carried(path)
    assert not {key: (found[key], said[key]) for key in found if not same(found[key], said[key])}


@pytest.mark.parametrize("make", ["quote", "order"])
def test_libreoffice_computes_the_same(make: str, tmp_path: Path) -> None:
    """LibreOffice opens the file bare of every computed value and finds for every formula what the file carried."""
    path = either(make, tmp_path)
    bare = changed(path, {}, tmp_path / "bare.xlsx")
    assert set(carried(bare).values()) == {None}, "openpyxl keeps no computed value: all must come from the office"
    found = by_office(bare, tmp_path / "office")
    said = carried(path)
    assert said.keys() == found.keys() and len(said) > 20
    assert not {key: (said[key], found[key]) for key in said if not same(said[key], found[key])}


@pytest.mark.parametrize("make", ["quote", "order"])
def test_libreoffice_follows_what_the_user_changes(make: str, tmp_path: Path) -> None:
    """Amounts and rates written over: LibreOffice and the other engine give the same totals, and not the old ones."""
    path = either(make, tmp_path)
    values = {place: 1.25 * value for place, value in list(typed_numbers(path).items())[:40]}
    other = changed(path, values, tmp_path / "other.xlsx")
    found, engine = by_office(other, tmp_path / "office"), recalculated(other)
    assert found.keys() == engine.keys()
    assert not {key: (engine[key], found[key]) for key in found if not same(engine[key], found[key])}
    assert any(not same(found[key], said) for key, said in carried(path).items())


def test_an_order_list_saved_by_libreoffice_is_read_alike(tmp_path: Path) -> None:
    """An order list opened and saved in LibreOffice is read as a price list row by row as ours is."""
    path = either("order", tmp_path)
    by_office(path, tmp_path / "office")
    ours, saved = read_xlsx(path, "ours"), read_xlsx(tmp_path / "office" / path.name, "saved")
    assert ours.header == saved.header and len(ours.rows) == len(saved.rows) > 10
    for one, other in zip(ours.rows, saved.rows, strict=True):
        for cell, kept in zip(one.cells, other.cells, strict=False):
            numbers = number_or_none(cell), number_or_none(kept)
            assert cell == kept or (None not in numbers and same(*numbers)), (cell, kept)


@pytest.mark.parametrize("make", ["quote", "order"])
def test_rows_are_as_high_as_their_words_need(make: str, tmp_path: Path) -> None:
    """No cell hides words under the next row: a row has a line for every one and a half column widths of words."""
    path = either(make, tmp_path)
    wrapped = 0
    for page in load_workbook(path):
        widths = {at: one.width for one in page.column_dimensions.values() for at in range(one.min, one.max + 1)}
        for row in page.iter_rows(min_row=3):
            lines = max((len(str(c.value)) / (1.5 * widths[c.column]) for c in row if c.alignment.wrap_text), default=0)
            if lines > 1:
                wrapped += 1
                assert page.row_dimensions[row[0].row].height >= 14.9 * lines, (page.title, row[0].row)
    assert wrapped > 3
