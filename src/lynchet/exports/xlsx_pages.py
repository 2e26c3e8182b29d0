"""What all pages of the spreadsheet share: looks of cells, head, print setup."""

from __future__ import annotations

from typing import Any

FIRST = 4
"""First row of lines, counted from 1."""


def looks_of(book: Any) -> dict[str, Any]:
    """Looks of cells by name; "mine" and its like are for the user to change."""
    mine = {"bg_color": "#FFF4C2", "border": 1, "border_color": "#C9C4BB", "valign": "top"}
    return {
        "title": book.add_format({"bold": True, "font_size": 14}),
        "note": book.add_format({"font_color": "#5A5A5A"}),
        "head": book.add_format({"bold": True, "bottom": 2, "text_wrap": True, "valign": "bottom"}),
        "wrap": book.add_format({"text_wrap": True, "valign": "top"}),
        "amount": book.add_format({"num_format": "#,##0.##", "valign": "top"}),
        "count": book.add_format({"num_format": "0", "valign": "top"}),
        "date": book.add_format({"num_format": "ddd d mmm yyyy", "align": "left", "valign": "top"}),
        "mine": book.add_format({**mine, "num_format": "#,##0.00"}),
        "mine_count": book.add_format({**mine, "num_format": "0"}),
        "rate": book.add_format({**mine, "num_format": "#,##0.000"}),
        "share": book.add_format({**mine, "num_format": "0.0 %"}),
        "money": book.add_format({"num_format": "#,##0.00", "valign": "top"}),
        "total": book.add_format({"num_format": "#,##0.00", "bold": True, "top": 2}),
        "total_count": book.add_format({"num_format": "0", "bold": True, "top": 2}),
        "strong": book.add_format({"bold": True, "top": 2}),
    }


def new_page(book: Any, name: str, title: tuple[str, str], looks: dict[str, Any], widths: tuple[int, ...]) -> Any:
    """A page with its title, its columns and its print setup: landscape, one page wide, heads on every page.

    Args:
        book: the workbook.
        name: of the page.
        title: title and the line under it.
        looks: as ``looks_of`` gives them.
        widths: of the columns, in letters.
    """
    page = book.add_worksheet(name)
    page.write_string(0, 0, title[0], looks["title"])
    page.write_string(1, 0, title[1], looks["note"])
    for column, width in enumerate(widths):
        page.set_column(column, column, width)
    page.freeze_panes(FIRST - 1, 0)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.repeat_rows(FIRST - 2)
    page.set_footer("&L&A&RPage &P of &N")
    return page
