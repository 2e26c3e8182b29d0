"""The page of plants in the spreadsheet: what is bought, for which bed, how many."""

from __future__ import annotations

from typing import Any

from lynchet.exports.xlsx_pages import FIRST, new_page, write_words
from lynchet.planting.model import Planted

_HEADS = ("Bed", "Part", "Common name", "Botanical name", "Count", "In flower (months)", "Wished", "Know before buying")
_WIDTHS = (7, 9, 28, 30, 9, 22, 9, 60)


def plants_page(book: Any, planted: Planted, job: str, looks: dict[str, Any]) -> None:
    """One row for each planting; counts can be changed, their sum follows."""
    said = "Yellow cells are yours. Ask for the botanical name: common names differ from place to place."
    page = new_page(book, "Plants", (f"Plants: {job}", said), _HEADS, looks, _WIDTHS)
    row = FIRST
    for row, one in enumerate(planted.plantings, start=FIRST):
        at, kind = row - 1, one.species
        told = (*one.misfits, kind.toxicity_caution)
        words = {0: one.bed, 1: one.part, 2: kind.common_name, 3: kind.botanical_name,
                 5: " ".join(map(str, kind.bloom_months)), 6: "yes" if one.wished else "no",
                 7: "; ".join(word for word in told if word)}  # fmt: skip
        write_words(page, at, words, looks, _WIDTHS)
        page.write_number(at, 4, one.count, looks["mine_count"])
    page.write(row, 2, "All plants", looks["strong"])
    count = sum(one.count for one in planted.plantings)
    page.write_formula(row, 4, f"=SUM(E{FIRST}:E{row})", looks["total_count"], count)
