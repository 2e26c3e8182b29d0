"""The generated pages are true, and names carry the units they should."""

from __future__ import annotations

from pathlib import Path

from lynchet.calculators.make_pages import pages
from lynchet.calculators.names_page import every_key, holds_numbers
from lynchet.calculators.registry import entries
from lynchet.units.endings import ending

DOCS = Path(__file__).parents[2] / "docs"


def test_pages_are_what_code_and_cases_say():
    """`make pages` would change nothing."""
    made = pages()
    written = {path: (DOCS / path).read_text(encoding="utf-8") for path in made}
    assert made and [path for path in made if made[path] != written[path]] == []


def test_a_unit_stands_only_at_the_end_of_numbers():
    """A key that ends like a unit holds numbers, so that nobody reads a text or a flag as metres."""
    wrong = {key.name for entry in entries() for key in every_key(entry) if ending(key.name) and not holds_numbers(key)}
    assert wrong == set()


def test_a_key_means_one_kind_of_number():
    """No key holds numbers in one calculator and a text or flag in another."""
    kinds: dict[str, set[bool]] = {}
    for entry in entries():
        for key in every_key(entry):
            kinds.setdefault(key.name, set()).add(holds_numbers(key))
    mixed = {name for name, found in kinds.items() if len(found) > 1 and ending(name)}
    assert mixed == set()
