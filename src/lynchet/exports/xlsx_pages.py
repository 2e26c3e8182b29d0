"""What all pages of the spreadsheet share: looks of cells, head, print setup."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import Any

FIRST = 4
"""First row of lines, counted from 1."""
_LINE_PT = 15.0
"""Height of one line of words; what is shown on a phone or printed does not grow by itself."""
_FILLED = 1.15
"""Letters of common words to a column's width, which is told in digits; on the safe side."""


def looks_of(book: Any) -> dict[str, Any]:
    """Looks of cells by name; "mine" and its like are for the user to change."""
    mine = {"bg_color": "#FFF4C2", "border": 1, "border_color": "#C9C4BB", "valign": "top"}
    return {
        "title": book.add_format({"bold": True, "font_size": 14}),
        "note": book.add_format({"font_color": "#5A5A5A"}),
        "remark": book.add_format({"font_color": "#5A5A5A", "indent": 1}),
        "head": book.add_format(
            {"bold": True, "bottom": 2, "text_wrap": True, "align": "left", "valign": "bottom", "indent": 1}
        ),
        "wrap": book.add_format({"text_wrap": True, "align": "left", "valign": "top", "indent": 1}),
        "amount": book.add_format({"num_format": "#,##0.##", "valign": "top"}),
        "count": book.add_format({"num_format": "0", "valign": "top"}),
        "date": book.add_format({"num_format": "ddd d mmm yyyy", "align": "left", "valign": "top", "indent": 1}),
        "mine": book.add_format({**mine, "num_format": "#,##0.00"}),
        "mine_count": book.add_format({**mine, "num_format": "0"}),
        "rate": book.add_format({**mine, "num_format": "#,##0.000"}),
        "share": book.add_format({**mine, "num_format": "0.0 %"}),
        "money": book.add_format({"num_format": "#,##0.00", "valign": "top"}),
        "total": book.add_format({"num_format": "#,##0.00", "bold": True, "top": 2}),
        "total_count": book.add_format({"num_format": "0", "bold": True, "top": 2}),
        "total_share": book.add_format({"num_format": "0.0 %", "bold": True, "top": 2}),
        "strong": book.add_format({"bold": True, "top": 2}),
    }


def new_page(
    book: Any,
    name: str,
    title: tuple[str, str],
    heads: tuple[str, ...],
    looks: dict[str, Any],
    widths: tuple[int, ...],
) -> Any:
    """A page with its title, its columns and its print setup: landscape, one page wide, heads on every page.

    Args:
        book: the workbook.
        name: of the page.
        title: title and the line under it.
        heads: of the columns.
        looks: as ``looks_of`` gives them.
        widths: of the columns, in letters.
    """
    page = book.add_worksheet(name)
    page.write_string(0, 0, title[0], looks["title"])
    page.write_string(1, 0, title[1], looks["note"])
    for column, width in enumerate(widths):
        page.set_column(column, column, width)
    page.write_row(FIRST - 2, 0, heads, looks["head"])
    page.set_row(FIRST - 2, _height_pt(dict(enumerate(heads)), widths, bold=True))
    page.freeze_panes(FIRST - 1, 0)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.repeat_rows(FIRST - 2)
    page.set_footer("&L&A&RPage &P of &N")
    return page


def amount_look(amount: float, looks: dict[str, Any]) -> Any:
    """Look of an amount the user may change: whole things without decimals, the rest with two."""
    return looks["mine_count" if amount == round(amount) else "mine"]


def write_words(page: Any, at: int, words: Mapping[int, str], looks: dict[str, Any], widths: tuple[int, ...]) -> None:
    """Words of one row, wrapped in their columns, and the row as high as they need.

    Args:
        page: where they go.
        at: the row, counted from 0.
        words: by column, counted from 0.
        looks: as ``looks_of`` gives them.
        widths: of the page's columns, in letters.
    """
    for column, told in words.items():
        page.write_string(at, column, told, looks["wrap"])
    page.set_row(at, _height_pt(words, widths))


def _height_pt(words: Mapping[int, str], widths: tuple[int, ...], *, bold: bool = False) -> float:
    share = 1.0 if bold else _FILLED
    return _LINE_PT * max(1, *(len(wrap(told, max(1, int(share * widths[at]) - 1))) for at, told in words.items()))
