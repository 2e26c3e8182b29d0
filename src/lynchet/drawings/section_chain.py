"""The chain of figures along the foot of a section."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from lynchet.drawings.figures import Figures
from lynchet.drawings.letters import width
from lynchet.drawings.model import Dim
from lynchet.drawings.section_data import Cutting
from lynchet.drawings.section_items import low_side

_OFF_MM = -8.0


def wall_faces(found: Cutting) -> set[float]:
    """Stations of the faces of the walls, on their low sides."""
    stations = set()
    for leg in dict.fromkeys(block.of for block in found.timber):
        blocks = found.of_leg(leg)
        _, side = low_side(found, blocks)
        stations.add(blocks[0].start_m if side < 0 else blocks[0].end_m)
    return stations


def foot_chain(
    stations: Iterable[float], foot_m: float, look: tuple[Figures, int], *, apart_m: float, crowded_mm: float
) -> Dim:
    """From station to station along the foot.

    Args:
        stations: along the cut, in any order.
        foot_m: level of the foot.
        look: figures, and the scale of the view.
        apart_m: stations nearer than this count as one.
        crowded_mm: under the foot, where a figure is wider than its part.
    """
    figures, scale = look
    kept: list[float] = []
    for station in sorted(stations):
        if not kept or station - kept[-1] > apart_m:
            kept.append(station)
    values = tuple(b - a for a, b in pairwise(kept))
    texts = tuple(figures.length(value) for value in values)
    crowded = any(width(text, 2.5) + 1.0 > value * 1000.0 / scale for text, value in zip(texts, values, strict=True))
    return Dim(id="chain", layer="dimensions", pts=tuple((s, foot_m) for s in kept), values_m=values, texts=texts,
               off_mm=crowded_mm if crowded else _OFF_MM, along="h")  # fmt: skip
