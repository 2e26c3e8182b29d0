"""From checked tables to money, crew and hours of one's own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from lynchet.core.errors import InputError
from lynchet.project.check import Got
from lynchet.project.csv_rows import CsvFile, columns, number_or_none, read_csv
from lynchet.project.faults import Faults
from lynchet.project.money import ItemPrice, OwnJob, OwnRate, Prices, WorksWish
from lynchet.project.values import split_price
from lynchet.project.xlsx_rows import read_xlsx
from lynchet.works.dates import read_date
from lynchet.works.items import SEVERAL, TIMBER, amount_of, items, known_key, nearest, plain_key, units_of
from lynchet.works.rates import rate_unit

_HEADS = {"item": ("item", "name", "key"), "price": ("price", "rate", "unit_price"), "per": ("per", "unit")}
_MOST = 1e9
_COLUMNS = "columns item, price, and per (the unit) where you like"


def prices_of(got: Got, folder: Path, faults: Faults) -> Prices:
    """Prices by item: those of the file, those written here before them."""
    found: dict[str, ItemPrice] = {}
    if got["file"]:
        try:
            for price in _of_file(folder, got["file"], faults):
                found[price.item] = price
        except InputError as error:
            faults.take(got.at("file"), error)
    for name, (money, per) in (got["items"] or {}).items():
        price = ItemPrice(plain_key(name), money, per)
        wrong = _wrong(name, price)
        if wrong:
            faults.add(got.at("items", name), *wrong)
        found[price.item] = price
    shares = {key: got[key] or 0.0 for key in ("overhead", "profit", "tax")}
    return Prices(got["currency"] or "", tuple(found.values()), **shares)


def _of_file(folder: Path, name: str, faults: Faults) -> Iterator[ItemPrice]:
    read = read_xlsx if name.lower().endswith((".xlsx", ".xlsm")) else read_csv
    file = read(folder / name, name)
    at = _columns(file)
    for row in file.rows:
        cells = (*row.cells, "", "", "")
        item, written, per = (cells[at[key]] if key in at else "" for key in ("item", "price", "per"))
        if not written and item:
            continue  # a list with a gap: the item has no price yet
        number, inside = split_price(written)
        money = number if isinstance(number, float) else number_or_none(str(number))
        if money is None or not item or not 0 <= money <= _MOST:
            shown = ", ".join(cell for cell in row.cells if cell)[:50]
            faults.found.append(file.fault(row.line, shown, "an item and its price, 0 or more"))
            continue
        price = ItemPrice(plain_key(item), money, per or inside, listed=True)
        wrong = _wrong(item, price)
        if wrong:
            faults.found.append(file.fault(row.line, *wrong))
        yield price


def _columns(file: CsvFile) -> dict[str, int]:
    """Places of item and price, by their heads, or the first two where no head is written."""
    if not file.rows:
        raise InputError(file.fault(0, "a price list without a row", f"{_COLUMNS}, and a row for each item"))
    if not file.header:
        if len(file.rows[0].cells) < 2:
            raise InputError(file.fault(file.rows[0].line, "one column", _COLUMNS))
        return {"item": 0, "price": 1, "per": 2}
    at = columns(file, _HEADS)
    missing = [key for key in ("item", "price") if key not in at]
    if missing:
        heads = ", ".join(head for head in file.header if head)[:60]
        raise InputError(file.fault(1, f"no column {' and no column '.join(missing)} (found: {heads})", _COLUMNS))
    return at


def _wrong(written: str, price: ItemPrice) -> tuple[str, str] | None:
    """What is wrong with the item or the unit of a price, and what is accepted; None for nothing."""
    if not known_key(price.item):
        return f'no item "{written}" can be on an order list', "one of " + ", ".join(nearest(price.item))
    if price.item.startswith(TIMBER):
        lengths = price.item == TIMBER
        good = amount_of(items("metric")["drain_pipe"], price.per or "none") is not None
        if lengths and not good:
            return f'"{written}" for sticks of every length needs a length', '"3.4 per m", "1.1 per ft"'
        return None if lengths or not price.per else (f"a stick per {price.per}", "the price of one stick")
    table = items("metric")
    for key in SEVERAL.get(price.item, (price.item,)):
        item = table.get(key, table["plant"])
        if amount_of(item, price.per) is None:
            return f'"{price.per}" is no unit of {item.name}', "one of " + ", ".join(units_of(item))
    return None


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
    jobs = tuple(
        OwnJob(job["name"] or f"job {number + 1}", job["quantity"] * size, job["hours"], job["difficulty"] or 1.0)
        for number, job in enumerate(row["job"])
        if job.complete("quantity", "hours")
    )
    yield OwnRate(row["task"], None if row["hours"] is None else row["hours"] / size, jobs)
