"""A sheet drawn, ready to be written: what the books, the office and the folder take of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from lynchet.drawings.display import Display, Mark
from lynchet.drawings.faults import faults
from lynchet.drawings.lower import lower
from lynchet.drawings.model import Sheet, View
from lynchet.drawings.paper import PageTooSmallError
from lynchet.drawings.svg import letters_used, to_svg, with_font

_DXF = "terraces"
"""Kind of the sheet the DXF is made from."""


class Drawn:
    """A sheet as SVG, written when it is asked for.

    From one process to another it goes written: what it was drawn of takes longer on the way, and stays behind.
    """

    def __init__(self, sheet: Sheet, display: Display) -> None:
        self.name = sheet.id
        self.sheet = replace(sheet, views=(), marks=())
        """Without its views and marks."""
        self.plan: tuple[View, tuple[Mark, ...]] | None = None
        """View and marks of the plan of the terraces, from which the DXF is made; None on other sheets."""
        if sheet.kind == _DXF:
            self.plan = sheet.views[0], display.by_view[0]
        self._unwritten: tuple[Sheet, Display] | None = (sheet, display)
        self._bare, self._letters = "", letters_used()

    def svg(self, *, embed_font: bool = True) -> str:
        """As SVG; without its font where the file that carries it has the font."""
        made = self._unwritten
        if made is not None:  # two threads may write it, and alike
            self._bare, self._letters = to_svg(*made, embed_font=False), letters_used(made[1].texts)
            self._unwritten = None
        return with_font(self._bare, self._letters) if embed_font else self._bare

    def __getstate__(self) -> dict[str, Any]:
        """Written first."""
        self.svg(embed_font=False)
        return self.__dict__


def drawn(sheet: Sheet) -> Drawn:
    """Draw a sheet, and on a small paper asked for look it over for what has no room.

    Raises:
        PageTooSmallError: something has none.
    """
    display = lower(sheet)
    if sheet.paper.wide and sheet.paper.small and (seen := faults(display, sheet.paper)):
        raise PageTooSmallError(sheet.paper, seen[0], sheet.fields.title)
    return Drawn(sheet, display)
