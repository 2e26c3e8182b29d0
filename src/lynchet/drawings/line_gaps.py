"""A line stands open where its own figure stands in it: a dash of the line beside a level would be read as its sign."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import cos, radians, sin

from lynchet.drawings.display import Letters, Mark, Stroke
from lynchet.drawings.model import Label

_ALONG_MM, _ACROSS_MM = 1.8, 0.4
"""Free paper between a figure and the line it stands in: along it more than between two dashes."""
Drawn = list[tuple[int, Mark]]
Path = tuple[tuple[float, float], ...]


def opened(own: Drawn, labels: Sequence[Label], texts: Iterable[Mark]) -> Drawn:
    """The marks of a view, the lines that carry a figure cut open round it.

    Args:
        own: marks with their rank.
        labels: of the view; those of kind "line" name the line they stand in by ``of``.
        texts: what was placed of them.
    """
    carriers = {label.id: label.of for label in labels if label.kind == "line" and label.of}
    holes: dict[str, list[Letters]] = {}
    for mark in texts:
        if isinstance(mark, Letters) and mark.of in carriers:
            holes.setdefault(carriers[mark.of], []).append(mark)
    if not holes:
        return own
    found: Drawn = []
    for rank, mark in own:
        if isinstance(mark, Stroke) and not mark.closed and mark.of in holes:
            found += [(rank, replace(mark, paths=paths)) for paths in (_cut(mark, holes[mark.of]),) if paths]
        else:
            found.append((rank, mark))
    return found


def _cut(mark: Stroke, figures: Sequence[Letters]) -> tuple[Path, ...]:
    """What is left of a line; nothing of one that is no longer than its figure."""
    from shapely import union_all
    from shapely.geometry import LineString, Polygon

    hole = union_all([Polygon(_box(figure)) for figure in figures])
    paths: list[Path] = []
    for path in mark.paths:
        left = LineString(path).difference(hole) if len(path) > 1 else None
        for part in getattr(left, "geoms", [left]):
            if part is not None and not part.is_empty and part.geom_type == "LineString":
                paths.append(tuple((float(x), float(y)) for x, y in part.coords))
    return tuple(paths)


def _box(figure: Letters) -> Path:
    """The corners of a figure with the air round it."""
    corners = figure.corners()
    x, y = sum(p[0] for p in corners) / 4, sum(p[1] for p in corners) / 4
    c, s = cos(radians(figure.turn_deg)), sin(radians(figure.turn_deg))
    local = [((px - x) * c - (py - y) * s, (px - x) * s + (py - y) * c) for px, py in corners]
    wide, high = max(abs(u) for u, _ in local) + _ALONG_MM, max(abs(v) for _, v in local) + _ACROSS_MM
    return tuple(
        (x + u * c + v * s, y - u * s + v * c)
        for u, v in ((-wide, -high), (wide, -high), (wide, high), (-wide, high))
    )  # fmt: skip
