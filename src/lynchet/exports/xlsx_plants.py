"""The page of plants in the spreadsheet: what is bought, for which bed, how many."""

from __future__ import annotations

from typing import Any

from lynchet.exports.xlsx_pages import FIRST, new_page
from lynchet.planting.model import Planted

_HEADS = ("Bed", "Part", "Common name", "Botanical name", "Count", "In flower (months)", "Wished", "Know before buying")


def plants_page(book: Any, planted: Planted, job: str, looks: dict[str, Any]) -> None:
    """One row for each planting; counts can be changed, their sum follows."""
    said = "Yellow cells are yours. Ask for the botanical name: common names differ from place to place."
    page = new_page(book, "Plants", (f"Plants: {job}", said), looks, (7, 9, 28, 30, 9, 22, 9, 60))
    page.write_row(FIRST - 2, 0, _HEADS, looks["head"])
    row = FIRST
    for row, one in enumerate(planted.plantings, start=FIRST):
        at, kind = row - 1, one.species
        told = (*one.misfits, kind.toxicity_caution)
        words = (one.bed, one.part, kind.common_name, kind.botanical_name)
        for column, word in enumerate(words):
            page.write_string(at, column, word, looks["wrap"])
        page.write_number(at, 4, one.count, looks["mine_count"])
        page.write_string(at, 5, " ".join(map(str, kind.bloom_months)), looks["wrap"])
        page.write_string(at, 6, "yes" if one.wished else "no", looks["wrap"])
        page.write_string(at, 7, "; ".join(word for word in told if word), looks["wrap"])
    page.write(row, 2, "All plants", looks["strong"])
    count = sum(one.count for one in planted.plantings)
    page.write_formula(row, 4, f"=SUM(E{FIRST}:E{row})", looks["total_count"], count)
