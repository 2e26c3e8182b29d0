"""Write the pages that come from the code and the case files. Run by ``make pages``; a test compares."""

from __future__ import annotations

from pathlib import Path

import lynchet
from lynchet.calculators.handbook import ROOM_WORDS, handbook_page
from lynchet.calculators.known_page import known_page
from lynchet.calculators.names_page import names_page
from lynchet.calculators.registry import entries
from lynchet.calculators.verify import read_cases, shipped


def pages() -> dict[str, str]:
    """Every page by its path under ``docs``."""
    held = list(entries())
    cases = {room: read_cases(shipped() / f"{room}.toml") for room in ROOM_WORDS}
    found = {f"handbook/{room}.md": handbook_page(room, held) for room in ROOM_WORDS}
    found |= {"how-we-know.md": known_page(cases, held), "names-and-units.md": names_page(held)}
    return {path: "\n".join(lines).rstrip() + "\n" for path, lines in found.items()}


def main() -> None:
    """Write them into the ``docs`` folder of this checkout."""
    docs = Path(lynchet.__file__).parents[2] / "docs"
    for path, text in pages().items():
        (docs / path).parent.mkdir(exist_ok=True)
        (docs / path).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
