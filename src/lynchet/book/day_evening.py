"""How the place is left in the evening, in words: the same for paper, phone and spreadsheet."""

from __future__ import annotations

from lynchet.book.texts import Words
from lynchet.works.model import Left


def evening_line(words: Words, left: Left, height: str, length: str) -> str:
    """One line.

    Args:
        words: of one language.
        left: what is told.
        height: its height, as it is shown.
        length: its length, as it is shown.
    """
    name = "day.evening." + left.what.replace(" ", "_")
    if left.what == "trench open" and left.away_days:
        return words.plural(f"{name}_days", left.away_days, length=length)
    if left.what == "drain not running" and left.drains:
        return words.plural(f"{name}_named", len(left.drains), drains=", ".join(left.drains))
    return words(name, terrace=left.terrace, height=height, length=length)
