"""Lines stand open at texts: a contour at its own figure, as a dash beside a level would be read as its sign; a line
that gives way, the ground before in a cut or on a wall, at every text of its view.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from dataclasses import replace
from itertools import chain, pairwise
from math import cos, dist, radians, sin

from lynchet.drawings.display import Letters, Mark, Stroke
from lynchet.drawings.model import Label

_ALONG_MM, _ACROSS_MM = 1.8, 0.4
"""Free paper between a figure and the line it stands in: along it more than between two dashes."""
_AIR_MM = 0.5
"""Free paper round a text at which a line gives way."""
_SCRAP_MM = 2.6
"""What is left of a line beside a text and no longer than this would be read as a sign of it."""
_TURNED = 0.7
"""Sine from which on a level line meets a text from its side."""
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
    holes: dict[str, list[Path]] = {}
    for mark in texts:
        if isinstance(mark, Letters) and mark.of in carriers:
            holes.setdefault(carriers[mark.of], []).append(_box(mark, (_ALONG_MM, _ACROSS_MM)))
    if not holes:
        return own
    found: Drawn = []
    for rank, mark in own:
        if isinstance(mark, Stroke) and not mark.closed and mark.of in holes:
            found += [(rank, replace(mark, paths=paths)) for paths in (_cut(mark, holes[mark.of]),) if paths]
        else:
            found.append((rank, mark))
    return found


def given_way(own: Drawn, names: Container[str], texts: Iterable[Mark]) -> Drawn:
    """The marks of a view, some of its lines cut open at every text that lies on them.

    Args:
        own: marks with their rank.
        names: ids of the lines that give way.
        texts: what was placed of the labels.
    """
    letters = [(mark, mark.box()) for mark in (*(mark for _, mark in own), *texts) if isinstance(mark, Letters)]
    found: Drawn = []
    for rank, mark in own:
        if not isinstance(mark, Stroke) or mark.closed or mark.of not in names:
            found.append((rank, mark))
            continue
        left, top, right, bottom = _bounds(mark.paths)
        met = [_round(one) for one, box in letters
               if box[0] < right and box[2] > left and box[1] < bottom and box[3] > top]  # fmt: skip
        paths = tuple(path for path in _cut(mark, met) if _long(path) > _SCRAP_MM) if met else mark.paths
        found += [(rank, mark if paths == mark.paths else replace(mark, paths=paths))] if paths else []
    return found


def _long(path: Path) -> float:
    return sum(dist(a, b) for a, b in pairwise(path))


def _bounds(paths: Sequence[Path]) -> tuple[float, float, float, float]:
    xs, ys = zip(*chain.from_iterable(paths), strict=True)
    return min(xs) - _AIR_MM, min(ys) - _AIR_MM, max(xs) + _AIR_MM, max(ys) + _AIR_MM


def _round(figure: Letters) -> Path:
    """The corners of a text with the air before a line that gives way at it: on all sides of one that is turned."""
    return _box(figure, (_AIR_MM, _AIR_MM if abs(sin(radians(figure.turn_deg))) > _TURNED else 0.0))


def _cut(mark: Stroke, boxes: Sequence[Path]) -> tuple[Path, ...]:
    """What is left of a line; nothing of one that is no longer than its figure."""
    from shapely import union_all
    from shapely.geometry import LineString, Polygon

    hole = union_all([Polygon(box) for box in boxes])
    paths: list[Path] = []
    for path in mark.paths:
        left = LineString(path).difference(hole) if len(path) > 1 else None
        for part in getattr(left, "geoms", [left]):
            if part is not None and not part.is_empty and part.geom_type == "LineString":
                paths.append(tuple((float(x), float(y)) for x, y in part.coords))
    return tuple(paths)


def _box(figure: Letters, air: tuple[float, float]) -> Path:
    """The corners of a figure with the air round it."""
    corners = figure.corners()
    x, y = sum(p[0] for p in corners) / 4, sum(p[1] for p in corners) / 4
    c, s = cos(radians(figure.turn_deg)), sin(radians(figure.turn_deg))
    local = [((px - x) * c - (py - y) * s, (px - x) * s + (py - y) * c) for px, py in corners]
    wide, high = max(abs(u) for u, _ in local) + air[0], max(abs(v) for _, v in local) + air[1]
    return tuple(
        (x + u * c + v * s, y - u * s + v * c)
        for u, v in ((-wide, -high), (wide, -high), (wide, high), (-wide, high))
    )  # fmt: skip
