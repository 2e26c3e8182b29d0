"""A spreadsheet computed anew by an engine that is not ours: what its formulas give, cell by cell."""

from __future__ import annotations

import shutil
import subprocess
import warnings
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

Cells = dict[tuple[str, str], Any]
"""Values of the formulas by page and cell."""


def recalculated(path: Path) -> Cells:
    """Every formula of a file as the engine computes it; the values the file carries are not looked at."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of a library that is not under test
        import formulas

        solved = formulas.ExcelModel().loads(str(path)).finish().calculate()
    found: Cells = {}
    for page, cell in formula_cells(path):
        value = solved[f"'[{path.name}]{page.upper()}'!{cell}"].value[0, 0]
        found[page, cell] = value.item() if hasattr(value, "item") else value
    return found


def carried(path: Path) -> Cells:
    """What the file itself says its formulas give."""
    book = load_workbook(path, data_only=True)
    return {(page, cell): book[page][cell].value for page, cell in formula_cells(path)}


def formula_cells(path: Path) -> list[tuple[str, str]]:
    """Page and cell of every formula."""
    return [
        (page.title, cell.coordinate)
        for page in load_workbook(path)
        for row in page.iter_rows()
        for cell in row
        if isinstance(cell.value, str) and cell.value.startswith("=")
    ]


def changed(path: Path, values: dict[tuple[str, str], Any], target: Path) -> Path:
    """The file with some cells written over, as a user does; formulas stay."""
    book = load_workbook(path)
    for (page, cell), value in values.items():
        assert not str(book[page][cell].value).startswith("="), (page, cell)
        book[page][cell].value = value
    book.save(target)
    return target


def same(one: Any, other: Any) -> bool:
    """Whether two values are one: numbers within a millionth, an empty text as nothing."""
    if isinstance(one, str) or isinstance(other, str) or one is None or other is None:
        return (one or "") == (other or "") or str(one) == str(other)
    return abs(float(one) - float(other)) < 1e-6


def typed_numbers(path: Path) -> dict[tuple[str, str], float]:
    """The numbers a user may write over, by page and cell."""
    return {
        (page.title, cell.coordinate): float(cell.value)
        for page in load_workbook(path)
        for row in page.iter_rows()
        for cell in row
        if isinstance(cell.value, int | float) and not isinstance(cell.value, bool)
    }


def by_office(path: Path, folder: Path) -> Cells:
    """Every formula as LibreOffice computes it without a screen; without LibreOffice the test is skipped."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        pytest.skip("soffice is not on the path: LibreOffice was not asked; another engine is, beside this")
    profile = f"-env:UserInstallation=file://{folder / 'profile'}"
    subprocess.run(
        [program, profile, "--headless", "--convert-to", "xlsx", "--outdir", str(folder), str(path)],
        check=True, timeout=120, capture_output=True,
    )  # fmt: skip
    saved = load_workbook(folder / path.name, data_only=True)
    return {(page, cell): saved[page][cell].value for page, cell in formula_cells(path)}
