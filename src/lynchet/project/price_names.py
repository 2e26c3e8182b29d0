"""Rows of a price list: which column says what, which item a name stands for, and in which unit it may be priced."""

from __future__ import annotations

import re
from dataclasses import dataclass

from lynchet.core.errors import InputError
from lynchet.project.csv_rows import CsvFile, CsvRow, columns, number_or_none
from lynchet.project.money import ItemPrice
from lynchet.units.measures import FOOT, INCH, System
from lynchet.works.items import (
    SEVERAL,
    TIMBER,
    amount_of,
    foreign,
    item_key,
    items,
    known_key,
    nearest,
    plain_key,
    sized,
    units_of,
)
from lynchet.works.stick_names import stick_named, strange_words

_ITEM_HEADS = ("item", "key", "name", "what", "description", "product", "material")
"""The first of these that is there names the item."""
_HEADS = {
    "price": ("price", "rate", "unit_price", "price_each", "cost"), "per": ("per", "unit", "sold_by"),
    "length": ("length", "stick_length", "long"), "section": ("section", "size"),
}  # fmt: skip
_COLUMNS = "columns item, price, and per (the unit) or length where you like"
_ONE_STICK = ("", "each", "ea", "stick", "piece", "pcs", "pc", "one", "unit")
_PLAIN_SIZES: dict[System, tuple[tuple[float, float, float], ...]] = {
    "metric": ((0.3, 15.0, 1.0), (300.0, 15000.0, 1e-3)), "us": ((1.0, 30.0, FOOT), (36.0, 360.0, INCH)),
}  # fmt: skip
"""From, to and size of the unit that a plain number in a column of lengths is taken to be in."""


@dataclass(frozen=True)
class PriceColumns:
    """Places of the columns of one list."""

    at: dict[str, int]

    def of(self, row: CsvRow, system: System) -> tuple[str, str, str]:
        """Item, price and unit of a row as written; a length or a section in a column of its own joins the item."""
        item, price, per, length, section = (
            row.cells[self.at[key]] if key in self.at and self.at[key] < len(row.cells) else ""
            for key in ("item", "price", "per", "length", "section")
        )
        if not length or not item:
            return item, price, per
        joined = " ".join(part for part in (item, section, _length_text(length, system)) if part)
        for name in (joined, f"{TIMBER} {joined}"):
            if stick_named(name) is not None:
                return name, price, per
        return item, price, per


def _length_text(cell: str, system: System) -> str:
    number = number_or_none(cell)
    if number is None:
        return cell
    sizes = [size for low, high, size in _PLAIN_SIZES[system] if low <= number <= high]
    return f"{number * sizes[0]:.6f} m" if sizes else cell


def found_columns(file: CsvFile) -> PriceColumns:
    """The columns by their heads, or the first two where no head is written.

    Raises:
        InputError: no row, or no column of items or prices.
    """

    if not file.rows:
        raise InputError(file.fault(0, "a price list without a row", f"{_COLUMNS}, and a row for each item"))
    if not file.header:
        if len(file.rows[0].cells) < 2:
            raise InputError(file.fault(file.rows[0].line, "one column", _COLUMNS))
        return PriceColumns({"item": 0, "price": 1, "per": 2})
    at = columns(file, _HEADS)
    head = next((head for head in _ITEM_HEADS if head in file.header), None)
    if head is not None:
        at["item"] = file.header.index(head)
    missing = [key for key in ("item", "price") if key not in at]
    if missing:
        heads = ", ".join(head for head in file.header if head)[:60]
        found = f"no column {' and no column '.join(missing)} (found: {heads})"
        raise InputError(file.fault(file.header_line, found, _COLUMNS))
    return PriceColumns(at)


def same_item(name: str) -> str:
    """One text for every way to write an item: of two prices for it the later is taken."""
    stick = stick_named(name)
    if stick is None:
        return item_key(name)
    sides = "" if stick.section_m is None else "_".join(f"{side:.3f}" for side in stick.section_m)
    return f"{TIMBER} {stick.length_m:.3f} {sides}"


def priced(name: str, money: float, per: str, listed: bool) -> ItemPrice:
    """The price of an item; a stick priced by the metre or foot has the price of the whole stick."""
    stick = stick_named(name)
    if stick is None:
        return ItemPrice(item_key(name), money, per, listed)
    metres = _metres(per)
    if metres is None:
        return ItemPrice(plain_key(name), money, "", listed)
    return ItemPrice(plain_key(name), round(money * stick.length_m / metres, 6), "", listed)


def _metres(per: str) -> float | None:
    if per.strip(" .").lower() in _ONE_STICK:
        return None
    return amount_of(items("metric")["drain_pipe"], per)


def not_ordered(written: str) -> bool:
    """Whether a row of a price list is of something else than what is built here."""
    return bool(written) and not known_key(item_key(written)) and foreign(written)


def wrong_price(written: str, per: str) -> tuple[str, str] | None:
    """What is wrong with the item or the unit of a price, and what is accepted; None for nothing."""
    key = item_key(written)
    if not known_key(key):
        near = nearest(written)
        why = _no_stick(written, key)
        return f'no item "{written}" can be on an order list{why}', ("one of " if near[1:] else "") + ", ".join(near)
    if stick_named(key) is not None:
        good = per.strip(" .").lower() in _ONE_STICK or _metres(per) is not None
        return None if good else (f'"{per}" is no unit of a stick', "each, or per m or ft")
    if key == TIMBER:
        good = amount_of(items("metric")["drain_pipe"], per or "none") is not None
        said = '"3.4 per m" or "1.1 per ft"; or one price for each length: timber_8_ft, timber_2.4_m'
        return None if good else (f'"{written}" is sticks of every length: {f"per {per}" if per else "no unit"}', said)
    table = items("metric")
    for one in SEVERAL.get(key, (key,)):
        item = table.get(one) or sized(one) or table["plant"]
        if amount_of(item, per) is None:
            return f'"{per}" is no unit of {item.name}', "one of " + ", ".join(units_of(item))
    return None


def _no_stick(written: str, key: str) -> str:
    """Why a name that looks like timber is no stick."""
    strange = strange_words(written)
    if strange and re.search(r"\d_?x_?\d|(?:timber|stick|sleeper|lumber|beam)", key):
        return f" (not understood beside the size of a stick: {', '.join(strange[:4])})"
    if re.search(r"\d_?x_?\d", key):
        return " (a stick needs its length, in the name or in a column `length`)"
    return " (a length needs its unit)" if re.fullmatch(rf"(?:{TIMBER}|stick|sleeper)s?_\d+(?:\.\d+)?", key) else ""
