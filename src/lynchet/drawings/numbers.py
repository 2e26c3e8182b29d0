"""What stands for the numbers of labels that found no place, on a sheet of several pictures."""

from __future__ import annotations

from collections.abc import Sequence

from lynchet.drawings.lower import place_view
from lynchet.drawings.model import View
from lynchet.drawings.strip import Note


def numbered(views: Sequence[View], names: Sequence[str]) -> tuple[Note, ...]:
    """The numbers in words, each with the picture it is in; empty where every label found its place.

    Args:
        views: pictures of the sheet.
        names: a short name for each.
    """
    lines = [
        f"{name} {one.number}: {one.text}"
        for view, name in zip(views, names, strict=True)
        for one in place_view(view)[1]
        if one.number
    ]
    return (Note("Numbers", "\n".join(lines)),) if lines else ()
