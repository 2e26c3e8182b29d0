"""A tall page set by measure: texts, boxes, rules and bars in paper mm, each with an id of its own."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from lynchet.drawings.letters import fit, printable
from lynchet.drawings.model import Area, Item, Line, Text

Point = tuple[float, float]


@dataclass
class Page:
    """Collects the items of a page."""

    items: list[Item] = field(default_factory=list)

    def _id(self, what: str) -> str:
        return f"{what}-{len(self.items):04d}"

    def text(self, at: Point, said: str, h: float = 2.5, room: float = 0.0, **look: Any) -> None:
        """One line; smaller, then cut, where it is wider than its room."""
        weight = look.get("weight", "regular")
        words, height = fit(printable(said), room, h, weight) if room else (printable(said), h)
        self.items.append(Text(id=self._id("text"), at=at, text=words, h=height, **({"layer": "labels"} | look)))

    def area(self, ring: tuple[Point, ...], **look: Any) -> None:
        """A filled or hatched shape."""
        self.items.append(Area(id=self._id("area"), layer="tones", rings=(ring,), **look))

    def bar(self, x: tuple[float, float], y: tuple[float, float], **look: Any) -> None:
        """An upright box from x to x and y to y, fine edged."""
        ring = ((x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1]))
        self.area(ring, **({"pen": "fine"} | look))

    def rule(self, a: Point, b: Point, **look: Any) -> None:
        """A line; on the layer of the frame where it runs from side to side."""
        self.items.append(Line(id=self._id("rule"), pts=(a, b), **({"pen": "thin", "layer": "dimensions"} | look)))


class Trial(Page):
    """A page nobody will see: to find out how high what is set on it comes."""

    def text(self, at: Point, said: str, h: float = 2.5, room: float = 0.0, **look: Any) -> None:
        """Nothing: a line of text takes its own height whatever it says."""


def spread(wished: list[float], pitch: float, low: float, high: float) -> list[float]:
    """Heights in order, as near as may be to those wished, no two nearer than a pitch, none beyond the ends.

    Args:
        wished: heights wished, rising.
        pitch: least distance.
        low: least height.
        high: greatest; wins over ``low`` where both cannot be kept.
    """
    found: list[float] = []
    for y in wished:
        found.append(max(y, low if not found else found[-1] + pitch))
    limit = high
    for n in range(len(found) - 1, -1, -1):
        found[n] = min(found[n], limit)
        limit = found[n] - pitch
    return found
