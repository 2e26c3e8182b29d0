"""From checked tables to money, crew and hours of one's own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from lynchet.core.errors import Fault, InputError
from lynchet.project.check import Got
from lynchet.project.csv_rows import CsvFile, CsvRow, read_csv, read_text
from lynchet.project.faults import Faults
from lynchet.project.money import ItemPrice, OwnJob, OwnRate, Prices, WorksWish
from lynchet.project.price_names import found_columns, not_ordered, priced, same_item, wrong_price
from lynchet.project.values import THOUSAND_OR_DECIMAL, split_price, two_readings
from lynchet.project.xlsx_rows import read_xlsx
from lynchet.works.dates import read_date
from lynchet.works.rates import rate_unit

_MOST = 1e9


def prices_of(got: Got, folder: Path, faults: Faults) -> Prices:
    """Prices by item: those of the file, those written here before them."""
    found: dict[str, ItemPrice] = {}
    left_out: list[str] = []
    if got["file"]:
        try:
            for price in _of_file(folder, got["file"], faults, left_out):
                found[same_item(price.item)] = price
        except InputError as error:
            faults.take(got.at("file"), error)
    for name, (money, per) in (got["items"] or {}).items():
        wrong = wrong_price(name, per)
        if wrong:
            faults.add(got.at("items", name), *wrong)
        else:
            found[same_item(name)] = priced(name, money, per, listed=False)
    currency = got["currency"] or ""
    if currency and not re.fullmatch("[A-Za-z]{3}", currency):
        faults.add(got.at("currency"), f'"{currency}"', "three letters, such as USD, CAD, EUR or GBP")
    shares = {key: got[key] or 0.0 for key in ("overhead", "profit", "tax")}
    return Prices(currency, tuple(found.values()), **shares, left_out=tuple(dict.fromkeys(left_out)))


def _of_file(folder: Path, name: str, faults: Faults, left_out: list[str]) -> Iterator[ItemPrice]:
    """Prices of a list, row by row; names of rows that are of something else are added to ``left_out``."""
    read = read_xlsx if name.lower().endswith((".xlsx", ".xlsm")) else read_csv
    if name.lower().endswith(".toml"):
        read_text(folder / name, name)  # where it is not there, that is told first
        raise InputError(
            Fault(
                found="a TOML file, which is a project file",
                file=name,
                accepted="a price list: CSV or "
                "XLSX, with a row for each item; prices of your own are written under [prices] items",
            )
        )
    file = read(folder / name, name)
    table = found_columns(file)
    seen: dict[str, tuple[ItemPrice, int]] = {}
    for row in file.rows:
        item, written, per = table.of(row, faults.system)
        if not_ordered(item):
            left_out.append(item)
            continue
        price = _row_price(file, row, (item, written, per))
        if isinstance(price, ItemPrice):
            first, line = seen.setdefault(same_item(price.item), (price, row.line))
            if (first.money, first.per) == (price.money, price.per):
                yield price
                continue
            found = f'"{item}" stands in two rows: {_shown(first)} in row {line}, {_shown(price)} here'
            price = file.fault(row.line, found, "one price for an item")
        if price is not None:
            faults.found.append(price)
    if len(left_out) == len(file.rows):
        names = ", ".join(left_out[:3]) + (" ..." if left_out[3:] else "")
        accepted = "rows named as on the order list: stone, fabric, drain_pipe, screws, timber_8_ft, timber_2.4_m ..."
        raise InputError(
            file.fault(file.rows[0].line, f"no row of an item that can be on an order list ({names})", accepted)
        )


def _shown(price: ItemPrice) -> str:
    return f"{price.money:g}" + (f" per {price.per}" if price.per else "")


def _row_price(file: CsvFile, row: CsvRow, cells: tuple[str, str, str]) -> ItemPrice | Fault | None:
    """The price of a row, or what is wrong with it; None for a gap: the item has no price yet."""
    item, written, per = cells
    if not written:
        return None
    if written.startswith("="):
        accepted = "a number, or the list opened and saved by a spreadsheet program, which keeps what it comes to"
        return file.fault(row.line, f"{item}: {written[:40]}, a formula without a result", accepted)
    if file.decimal_comma and THOUSAND_OR_DECIMAL.fullmatch(written):
        found, accepted = two_readings(written)
        return file.fault(row.line, f"{item}: {found}", accepted)
    try:
        money, inside = split_price(written)
    except InputError as error:
        return file.fault(row.line, f"{item}: {error.faults[0].found}", error.faults[0].accepted)
    if not isinstance(money, float) or not item or not 0 <= money <= _MOST:
        shown = ", ".join(cell for cell in row.cells if cell)[:50]
        return file.fault(row.line, shown, "an item and its price, 0 or more; an empty cell where there is none yet")
    wrong = wrong_price(item, per or inside)
    return file.fault(row.line, *wrong) if wrong else priced(item, money, per or inside, listed=True)


def works_of(got: Got, rates: tuple[Got, ...], faults: Faults) -> WorksWish:
    """Who works, and what their own hours are."""
    for number, day in enumerate(got["holidays"] or ()):
        read_date(day, f"works.holidays.{number + 1}")
    plain = WorksWish()
    return WorksWish(
        got["start"],
        got["crew"] or plain.crew,
        got["hours_a_day"] or plain.day_h,
        bool(got["weekends_only"]),
        got["holidays"] or (),
        tuple(rate for row in rates for rate in _own_rate(row, faults)),
    )


def _own_rate(row: Got, faults: Faults) -> Iterator[OwnRate]:
    """One rate of one's own, in SI; nothing where a fault was kept."""
    if not row.complete("task", "unit"):
        return
    size = rate_unit(row["task"], row["unit"])
    if isinstance(size, str):
        faults.add(row.at("unit"), f'"{row["unit"]}" for {row["task"]}', size)
        return
    if row["hours"] is None and not row["job"]:
        faults.add(row.path, "neither hours nor a job", "hours for one unit, or [[rates.job]] with quantity and hours")
        return
    if row["hours"] is not None and row["job"]:
        faults.add(
            row.at("hours"), "hours and finished jobs beside them", "one of the two: a rate, or jobs it is taken from"
        )
        return
    jobs = tuple(
        OwnJob(job["name"] or f"job {number + 1}", job["quantity"] * size, job["hours"], job["difficulty"] or 1.0)
        for number, job in enumerate(row["job"])
        if job.complete("quantity", "hours")
    )
    yield OwnRate(row["task"], None if row["hours"] is None else row["hours"] / size, jobs)
