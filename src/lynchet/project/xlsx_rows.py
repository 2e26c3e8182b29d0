"""Rows of a spreadsheet file, read like those of a CSV file."""

from __future__ import annotations

from itertools import chain
from pathlib import Path
from typing import Any

from lynchet.core.errors import Fault, InputError
from lynchet.project.csv_rows import CsvFile, CsvRow, number_or_none, plain_head

_MOST_ROWS = 10_000


def read_xlsx(path: Path, name: str) -> CsvFile:
    """Rows of the first sheet that holds a table (two rows of two cells), else of the first.

    Empty rows, rows starting with # and titles (one cell alone) at its head are skipped. A first row without any
    number is a header. Of formulas the value last shown is taken, and the formula itself where none was ever shown.

    Raises:
        InputError: the file cannot be read, is no spreadsheet, or holds no row.
    """
    rows = [
        CsvRow(number, cells)
        for number, cells in enumerate(_cells(path, name), start=1)
        if any(cells) and not cells[0].startswith("#")
    ]
    if not rows:
        raise InputError(Fault(found="no rows", accepted="a header and rows of values", file=name))
    titles = next((place for place, row in enumerate(rows) if sum(map(bool, row.cells)) > 1), 0)
    rows = rows[titles:]
    header = () if any(number_or_none(cell) is not None for cell in rows[0].cells) else rows[0].cells
    heads = tuple(plain_head(cell) for cell in header)
    return CsvFile(name, heads, tuple(rows[1:] if header else rows), rows[0].line)


def _cells(path: Path, name: str) -> list[tuple[str, ...]]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    def values(data_only: bool) -> list[tuple[Any, ...]]:
        book = load_workbook(path, read_only=True, data_only=data_only)
        sheets = [list(one.iter_rows(max_row=_MOST_ROWS, values_only=True)) for one in book.worksheets]
        book.close()
        return next((rows for rows in sheets if _is_table(rows)), sheets[0])

    try:
        written = values(data_only=False)
        shown = values(data_only=True) if any(map(_is_formula, chain.from_iterable(written))) else written
    except FileNotFoundError:
        raise InputError(Fault(found="there is no such file", accepted="the name of a file", file=name)) from None
    except OSError as error:
        reason = error.strerror or "it cannot be read"
        raise InputError(Fault(found=reason, accepted="a file that can be read", file=name)) from None
    except (BadZipFile, InvalidFileException, KeyError, IndexError, ValueError):
        raise InputError(Fault(found="no spreadsheet (XLSX)", accepted="a spreadsheet file", file=name)) from None
    pairs = (zip(*rows, strict=False) for rows in zip(shown, written, strict=False))
    return [tuple(_text(formula if value is None else value) for value, formula in row) for row in pairs]


def _is_table(rows: list[tuple[Any, ...]]) -> bool:
    """Whether two rows at least have two cells or more: a cover sheet has none such."""
    full = (row for row in rows if sum(cell is not None for cell in row) > 1)
    return next(full, None) is not None and next(full, None) is not None


def _is_formula(value: Any) -> bool:
    return isinstance(value, str) and value.startswith("=")


def _text(value: Any) -> str:
    return "" if value is None else repr(float(value)) if isinstance(value, float) else str(value).strip()
