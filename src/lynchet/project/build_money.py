"""From checked tables to money, crew and hours of one's own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from lynchet.core.errors import InputError
from lynchet.project.check import Got
from lynchet.project.csv_rows import read_csv
from lynchet.project.faults import Faults
from lynchet.project.money import ItemPrice, OwnJob, OwnRate, Prices, WorksWish
from lynchet.project.price_names import found_columns, priced, same_item, wrong_price
from lynchet.project.values import split_price
from lynchet.project.xlsx_rows import read_xlsx
from lynchet.works.dates import read_date
from lynchet.works.rates import rate_unit

_MOST = 1e9


def prices_of(got: Got, folder: Path, faults: Faults) -> Prices:
    """Prices by item: those of the file, those written here before them."""
    found: dict[str, ItemPrice] = {}
    if got["file"]:
        try:
            for price in _of_file(folder, got["file"], faults):
                found[same_item(price.item)] = price
        except InputError as error:
            faults.take(got.at("file"), error)
    for name, (money, per) in (got["items"] or {}).items():
        wrong = wrong_price(name, per)
        if wrong:
            faults.add(got.at("items", name), *wrong)
        else:
            found[same_item(name)] = priced(name, money, per, listed=False)
    shares = {key: got[key] or 0.0 for key in ("overhead", "profit", "tax")}
    return Prices(got["currency"] or "", tuple(found.values()), **shares)


def _of_file(folder: Path, name: str, faults: Faults) -> Iterator[ItemPrice]:
    read = read_xlsx if name.lower().endswith((".xlsx", ".xlsm")) else read_csv
    file = read(folder / name, name)
    table = found_columns(file)
    for row in file.rows:
        item, written, per = table.of(row, faults.system)
        if not written:
            continue  # a list with a gap: the item has no price yet
        money, inside = split_price(written)
        if not isinstance(money, float) or not item or not 0 <= money <= _MOST:
            shown = ", ".join(cell for cell in row.cells if cell)[:50]
            faults.found.append(file.fault(row.line, shown, "an item and its price, 0 or more"))
            continue
        wrong = wrong_price(item, per or inside)
        if wrong:
            faults.found.append(file.fault(row.line, *wrong))
        else:
            yield priced(item, money, per or inside, listed=True)


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
