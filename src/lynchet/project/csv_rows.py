"""Rows of CSV files as people and instruments write them: separator, decimal comma, header, line numbers."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from lynchet.core.errors import Fault, InputError


@dataclass(frozen=True)
class CsvRow:
    """One row: its line in the file, and its cells without blanks at their ends."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class CsvFile:
    """A file as read; ``header`` is empty where the first row holds numbers."""

    name: str
    header: tuple[str, ...]
    rows: tuple[CsvRow, ...]
    header_line: int = 1
    """Line of the header, from 1."""
    decimal_comma: bool = False
    """Whether a comma in a number was read as a decimal point anywhere."""

    def fault(self, line: int, found: str, accepted: str, key: str = "") -> Fault:
        """A fault at a line of this file."""
        return Fault(found=found, accepted=accepted, key=key, file=self.name, line=line)


def read_text(path: Path, name: str) -> str:
    """A text file in UTF-8, a byte-order mark dropped.

    Raises:
        InputError: the file is missing, no file, or in another encoding (then with the line and word where that shows).
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputError(Fault(found="there is no such file", accepted="the name of a file", file=name)) from None
    except (OSError, ValueError) as error:  # a name with a mark that no file's name may hold
        reason = (error.strerror if isinstance(error, OSError) else "") or "it cannot be read"
        raise InputError(Fault(found=reason, accepted="a file that can be read", file=name)) from None
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        accepted = "a text file saved as UTF-8 (in your editor: save as, encoding UTF-8)"
        raise InputError(Fault(_not_utf8(data, error.start), accepted, file=name, line=line)) from None


_QUOTES = "\"'.,;"


def _not_utf8(data: bytes, at: int) -> str:
    """What stands where a file stops being UTF-8, in words."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "it is saved as UTF-16, which some programs call Unicode"
    if b"\0" in data:
        return "it is no text file"
    before, after = re.search(rb"\S{0,20}$", data[:at]), re.match(rb"\S{0,20}", data[at:])
    word = ((before[0] if before else b"") + (after[0] if after else b"")).decode("latin-1")
    return f'"{word.strip(_QUOTES)}": a letter in it is not saved as UTF-8'


def read_csv(path: Path, name: str) -> CsvFile:
    """Rows of a CSV file; blank lines and lines starting with # are skipped.

    The separator is taken from the first row: semicolon, else tab, else comma, else blanks. A decimal comma is read
    as a point unless the separator is a comma. A first row without any number is a header.

    Raises:
        InputError: the file cannot be read, or holds no row.
    """
    kept = [
        (number, line)
        for number, line in enumerate(read_text(path, name).split("\n"), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not kept:
        raise InputError(Fault(found="no rows", accepted="a header and rows of values", file=name))
    mark = next((mark for mark in (";", "\t", ",") if mark in kept[0][1]), "")
    unclosed = [number for number, line in kept if mark and _unclosed(line, mark)]
    if unclosed:
        accepted = 'quotes in pairs round a cell, and every row on one line; "" for a quote within a cell'
        found = "a quote that is opened and not closed on this line"
        raise InputError(*(Fault(found, accepted, file=name, line=number) for number in unclosed[:_MOST_TOLD]))
    written = [(number, _cells(line, mark)) for number, line in kept]
    rows = [CsvRow(number, _decimal_points(cells, mark)) for number, cells in written]
    comma = any(row.cells != cells for row, (_, cells) in zip(rows, written, strict=True))
    header = () if any(number_or_none(cell) is not None for cell in rows[0].cells) else rows[0].cells
    heads = tuple(plain_head(cell) for cell in header)
    file = CsvFile(name, heads, tuple(rows[1:] if header else rows), rows[0].line, comma)
    if header and mark:
        _refuse_longer_rows(file, mark)
    return file


_MOST_TOLD = 20


def _unclosed(line: str, mark: str) -> bool:
    try:
        next(csv.reader([line], delimiter=mark, strict=True))
    except csv.Error as error:
        return "unexpected end" in str(error)
    return False


def _refuse_longer_rows(file: CsvFile, mark: str) -> None:
    """A cell behind the last head means that a cell was parted in two: nobody knows then which number is which."""
    faults = []
    for row in file.rows:
        count = next((n for n in range(len(row.cells), 0, -1) if row.cells[n - 1]), 0)
        if count > len(file.header):
            found = f"{count} cells under {len(file.header)} heads ({', '.join(file.header)[:60]})"
            hint = "; a decimal as 4.5, or a cell with a comma in it in quotes" if mark == "," else ""
            faults.append(file.fault(row.line, found, f"as many cells as heads, or fewer{hint}"))
    if faults:
        raise InputError(*faults[:_MOST_TOLD])


def _cells(line: str, mark: str) -> tuple[str, ...]:
    if not mark:
        return tuple(line.split())
    return tuple(cell.strip() for cell in next(csv.reader([line], delimiter=mark)))


def _decimal_points(cells: tuple[str, ...], mark: str) -> tuple[str, ...]:
    return tuple(_decimal_point(cell) for cell in cells) if mark in (";", "\t") else cells


def _decimal_point(cell: str) -> str:
    changed = cell.replace(",", ".", 1)
    return changed if cell.count(",") == 1 and number_or_none(changed) is not None else cell


def plain_head(cell: str) -> str:
    """A column's name: small letters, up to a bracket, blanks and strokes as underscores."""
    name = re.split(r"[(\[]", cell, maxsplit=1)[0].strip().lower()
    return re.sub(r"[ -]", "_", name.replace(".", ""))


def unit_in_heads(path: Path) -> str:
    """ "m" or "ft" where the heads of a file give it in brackets, "x (ft)"; empty where they give none, or both."""
    try:
        with path.open(encoding="utf-8-sig") as file:
            head = next((line for line in file if line.strip() and not line.startswith("#")), "")
    except (OSError, UnicodeDecodeError):
        return ""
    names = {"m": "m", "metres": "m", "meters": "m", "ft": "ft", "feet": "ft"}
    found = {names[name] for name in re.findall(r"[(\[]\s*([a-z]+)\s*[)\]]", head.lower()) if name in names}
    return found.pop() if len(found) == 1 else ""


def number_or_none(cell: str) -> float | None:
    """A finite number, or None."""
    try:
        value = float(cell) if "_" not in cell else float("nan")
    except ValueError:
        return None
    return value if abs(value) < float("inf") else None


def columns(file: CsvFile, names: dict[str, tuple[str, ...]]) -> dict[str, int]:
    """Places of columns by meaning.

    Args:
        names: meaning to the headers that stand for it.

    Raises:
        InputError: two columns stand for one meaning.
    """
    found: dict[str, int] = {}
    for place, head in enumerate(file.header):
        for meaning, heads in names.items():
            if head in heads:
                if meaning in found:
                    raise InputError(file.fault(0, f'two columns for {meaning} ("{head}")', "one column for each"))
                found[meaning] = place
    return found
