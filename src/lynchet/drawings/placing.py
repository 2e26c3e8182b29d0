"""Labels of a view placed on paper: wishes from the model, the scene from what is drawn, texts back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import chain, pairwise
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np

from lynchet.drawings import symbols
from lynchet.drawings.display import Letters, Mark, Placed, Stroke
from lynchet.drawings.hatches import all_inside
from lynchet.drawings.label_tries import Wish
from lynchet.drawings.labels import Scene, Spot, meets, place
from lynchet.drawings.letters import ASCENT, DESCENT, PITCH_LIST, RESERVE, width
from lynchet.drawings.model import Label, View
from lynchet.drawings.paper import Box
from lynchet.drawings.roles import PEN_MM
from lynchet.drawings.symbols import circle

Point = tuple[float, float]
_BUBBLE = 3.0
_HEAVY = PEN_MM["fine"] - 1e-9
_OCTAGON = 9.0
_SPREAD_MM = 2.5
_MOST_SPOTS = 40
_BROKEN = "ground before"
_TIES = "ties"
"""Their dashes are thin, but words on them cannot be read."""
"""Contours: a text breaks them, as contour figures do."""
_TAKEN = "heaps"
"""Ground things are put on: no foreign words over it."""
_CLOSE_MM = 2.0
"""Less than any text is high."""
_DEAREST = 2.0
"""An optional label is left out rather than put far off or across lines."""
_FAR_STEPS = 40
"""Rings of 2.5 mm on which a place is looked for, for a number that finds none near its point."""


def place_labels(labels: list[Label], view: View, drawn: list[Mark]) -> tuple[list[Mark], list[Placed]]:
    """Texts, leaders and bubbles of all labels of a view, and where each came to stand."""
    if not labels:
        return [], []
    wishes = [replace(_wish(label, view), bars=frozenset(label.bars), off=frozenset(label.off)) for label in labels]
    wishes = [replace(w, dearest=_DEAREST) if label.optional else w for w, label in zip(wishes, labels, strict=True)]
    spots = place(wishes, _scene(view, drawn))
    marks: list[Mark] = []
    placed: list[Placed] = []
    left: list[tuple[Label, Wish]] = []
    for label, wish in zip(labels, wishes, strict=True):
        spot = spots[label.id]
        bound = label.kind == "line" or label.inside
        if spot is None or (bound and spot.pick < 0):  # beside a line there is no place for its figure
            if not bound and not label.optional:
                left.append((label, wish))
            continue
        marks.extend(_marks(label, wish, spot, view))
        placed.append(Placed(label.id, " ".join(label.lines), spot.ring, spot.cost, spot.crossings))
    numbers, keyed = _numbered(left, view, [*drawn, *marks])
    return [*marks, *numbers], [*placed, *keyed]


def _numbered(left: list[tuple[Label, Wish]], view: View, drawn: list[Mark]) -> tuple[list[Mark], list[Placed]]:
    """Labels without a place: a number in a ring near the anchor, the words in the key."""
    if not left:
        return [], []
    wishes = [replace(wish, size=(4.4, 4.4), spots=(), gap_mm=0.6) for _, wish in left]
    scene = _scene(view, drawn)
    spots = place(wishes, scene)
    taken = [spot.box for spot in spots.values() if spot]
    marks: list[Mark] = []
    placed = []
    for number, (label, wish) in enumerate(left, start=1):
        spot = spots[wish.id] or _far_off(wish.anchor, scene, taken)
        placed.append(Placed(label.id, " ".join(label.lines), -1, 8.0, spot.crossings if spot else 0, number))
        if spot is None:
            continue
        x, y = (spot.box[0] + spot.box[2]) / 2, (spot.box[1] + spot.box[3]) / 2
        if spot.leader:
            marks.append(Stroke((spot.leader,), label.layer, False, PEN_MM["fine"], label.role, of=label.id))
        marks.append(Stroke((circle((x, y), 2.2),), label.layer, True, PEN_MM["fine"], label.role, fill="paper",
                            of=label.id))  # fmt: skip
        marks.append(Letters(x, y + 1.1, str(number), 2.2, label.layer, "c", "semibold", label.role,
                             halo="paper", of=label.id))  # fmt: skip
    return marks, placed


def _far_off(at: Point, scene: Scene, taken: list[Box]) -> Spot | None:
    """The nearest place for a ring farther off, whatever lines its leader crosses: a number that the key explains is
    on the drawing. What it takes is added; None where the sheet is full."""
    left, top, right, bottom = scene.region
    for step in range(1, _FAR_STEPS + 1):
        far = 2.5 * step
        for n in range(24):
            x, y = at[0] + far * cos(radians(15.0 * n)), at[1] + far * sin(radians(15.0 * n))
            box = (x - 2.2, y - 2.2, x + 2.2, y + 2.2)
            free = left < box[0] and box[2] < right and top < box[1] and box[3] < bottom
            if free and not meets(box, np.array([*scene.boxes, *taken], dtype=np.float64).reshape(-1, 4)).any():
                taken.append(box)
                end = (x - 2.2 * cos(radians(15.0 * n)), y - 2.2 * sin(radians(15.0 * n)))
                return Spot(box, step, 8.0, 0, (at, end))
    return None


def fits_inside(label: Label, view: View) -> bool:
    """Whether the words of a label of an area have a place wholly inside it."""
    return bool(_spots_in(tuple(view.paper(point) for point in label.anchor), _size(label))[1])


def _size(label: Label) -> Point:
    if label.style == "bubble":
        return 2 * _BUBBLE + _stretch(label), 2 * _BUBBLE
    wide = max((width(line, label.h, label.weight) for line in label.lines), default=0.0) * RESERVE
    high = label.h * (ASCENT + DESCENT + PITCH_LIST * (len(label.lines) - 1))
    if label.style == "stop":
        return (_OCTAGON + 1.5 + wide, max(_OCTAGON, high)) if label.lines else (_OCTAGON, _OCTAGON)
    pad = 1.0 if label.style == "box" else 0.0
    return wide + 2 * pad, high + 2 * pad


def _stretch(label: Label) -> float:
    """How much longer than round a bubble is, for a long name."""
    return max(0.0, width(label.lines[0], label.h, label.weight) + 1.6 - 2 * _BUBBLE)


def _wish(label: Label, view: View) -> Wish:
    points = [view.paper(point) for point in label.anchor]
    size = _size(label)
    if label.kind == "point":
        return Wish(label.id, points[0], size, label.priority, label.gap_mm, frozenset({label.of}))
    if label.kind == "line":
        found = along(points, size, view.region)
        at = found[0][0] if found else points[0]
        own = tuple((centre, extent) for centre, extent, _ in found)
        return Wish(label.id, at, size, label.priority, label.gap_mm, frozenset({label.of}), own, leaders=False)
    centre, spots = _spots_in(tuple(points), size)
    placed = tuple((spot, size) for spot in spots)
    # What does not fit into its area does not lie over its border either.
    lines = frozenset({label.of}) if placed or label.optional else frozenset()
    return Wish(label.id, centre, size, label.priority, label.gap_mm, lines, placed, leaders=not label.inside)


def along(points: list[Point], size: Point, region: Box) -> list[tuple[Point, Point, float]]:
    """Centres on a line where a text of this size can stand in it, straightest first; upright extent, and turn."""
    steps = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
    total, need = sum(steps), size[0] + 1.0
    if total < need:
        return []
    found = []
    for n, (a, b, c) in _placed_along(points, steps, need, region):
        chord = hypot(c[0] - a[0], c[1] - a[1])
        if chord < 0.9 * need:
            continue
        bulge = abs((c[0] - a[0]) * (b[1] - a[1]) - (c[1] - a[1]) * (b[0] - a[0])) / chord
        turn = degrees(atan2(a[1] - c[1], c[0] - a[0]))
        turn = turn - 180 if turn > 90 else turn + 180 if turn <= -90 else turn
        co, si = abs(cos(radians(turn))), abs(sin(radians(turn)))
        extent = (size[0] * co + size[1] * si, size[0] * si + size[1] * co)
        found.append((bulge, n, (b, extent, turn)))
    return [spot for _, _, spot in sorted(found, key=lambda one: (round(one[0], 1), one[1]))]


def _placed_along(
    points: list[Point], steps: list[float], need: float, region: Box
) -> list[tuple[int, tuple[Point, Point, Point]]]:
    """Starts, middles and ends of a text at every place along a line whose ends lie in the region, by number."""
    total = sum(steps)
    count = int((total - need) / 4.0)
    middles = np.array([total / 2]) if count <= 0 else need / 2 + np.arange(count + 1) * (total - need) / count
    stops = np.concatenate([[0.0], np.cumsum(steps)])
    xs, ys = np.array([p[0] for p in points]), np.array([p[1] for p in points])
    where = [middles - need / 2, middles, middles + need / 2]
    x, y = (np.stack([np.interp(at, stops, values) for at in where]) for values in (xs, ys))
    inside_x = (x[::2] > region[0] + 3) & (x[::2] < region[2] - 3)
    good = (inside_x & (y[::2] > region[1] + 3) & (y[::2] < region[3] - 3)).all(axis=0)
    spots = np.stack([x, y], axis=2)[:, good].tolist()
    placed = zip(*([(px, py) for px, py in row] for row in spots), strict=True)
    return [(int(n), (a, b, c)) for n, (a, b, c) in zip(np.flatnonzero(good), placed, strict=True)]


@lru_cache(maxsize=1 << 8)
def _spots_in(ring: tuple[Point, ...], size: Point) -> tuple[Point, tuple[Point, ...]]:
    """The middle of an area, and centres of boxes that lie wholly inside it, nearest to the middle first."""
    from shapely import maximum_inscribed_circle
    from shapely.geometry import Polygon

    shape = Polygon(ring)
    shape = shape if shape.is_valid else shape.buffer(0)
    line = maximum_inscribed_circle(shape, tolerance=1.0)
    x, y = line.coords[0]
    left, top, right, bottom = shape.bounds
    # The box's middle would stand in the area's middle if it can: its centroid when inside, else the inscribed circle.
    middle = shape.centroid
    aim = (middle.x, middle.y) if shape.contains(middle) else (x, y)
    step = max(1.5, min(right - left, bottom - top) / 14)
    xs = np.concatenate([np.arange(left, right, step), [aim[0], x]])
    ys = np.concatenate([np.arange(top, bottom, step), [aim[1], y]])
    grid = np.stack(np.meshgrid(xs, ys, indexing="ij"), axis=-1).reshape(-1, 2)
    w, h = size[0] / 2 + 0.8, size[1] / 2 + 0.8
    rim = np.array([(-w, -h), (w, -h), (w, h), (-w, h), (0, -h), (0, h), (-w, 0), (w, 0)])
    free = all_inside((ring,), grid, rim)
    far = np.abs(free[:, 0] - aim[0]) + 2 * np.abs(free[:, 1] - aim[1])
    return (float(x), float(y)), spread(free[np.argsort(far, kind="stable")])


def spread(places: np.ndarray, compiled: bool = True) -> tuple[Point, ...]:
    """The first of (n, 2) places and those apart from all before them: a second label finds room beside the first.

    Args:
        places: paper mm, the best first.
        compiled: by compiled code where numba is there.
    """
    if compiled:
        try:
            from lynchet.drawings.labels_compiled import apart_at
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
        else:
            found = np.empty((_MOST_SPOTS, 2))
            used = apart_at(np.ascontiguousarray(places, dtype=np.float64), _SPREAD_MM, found)
            return tuple((x, y) for x, y in found[:used].tolist())
    kept: list[Point] = []
    for a, b in places.tolist():
        if all(abs(a - c) >= _SPREAD_MM or abs(b - d) >= _SPREAD_MM for c, d in kept):
            kept.append((a, b))
            if len(kept) == _MOST_SPOTS:
                break
    return tuple(kept)


def _scene(view: View, drawn: Iterable[Mark]) -> Scene:
    """Boxes of all texts and signs, segments of all lines of 0.25 or more, lines close together over heaps."""
    boxes: list[Box] = []
    segments: list[tuple[float, float, float, float]] = []
    owners: list[str] = []
    for mark in drawn:
        if isinstance(mark, Letters):
            boxes.append(mark.box())
            continue
        if _is_sign(mark):
            boxes.append(_box_of(mark))
            continue
        if mark.layer == _TAKEN and mark.fill:
            across = [line for path in mark.paths for line in _lines_over(path)]
            segments += across
            owners += [mark.of] * len(across)
        thin = mark.width_mm < _HEAVY and mark.layer != _TIES
        if thin or mark.role == "paper" or mark.texture or mark.layer == _BROKEN:
            continue
        for path in mark.paths:
            ring = (*path, path[0]) if mark.closed else path
            for (ax, ay), (bx, by) in pairwise(ring):
                segments.append((ax, ay, bx, by))
                owners.append(mark.of)
    return Scene(view.region, tuple(boxes), np.array(segments).reshape(-1, 4), tuple(owners))


def _lines_over(ring: Sequence[Point]) -> list[tuple[float, float, float, float]]:
    """Level lines over an area, so close that no text stands between two of them."""
    found = []
    sides = [*pairwise(ring), (ring[-1], ring[0])]
    low, high = min(y for _, y in ring), max(y for _, y in ring)
    for n in range(1, int((high - low) / _CLOSE_MM) + 1):
        y = low + n * _CLOSE_MM
        met = sorted(ax + (y - ay) / (by - ay) * (bx - ax) for (ax, ay), (bx, by) in sides if (ay < y) != (by < y))
        found += [(left, y, right, y) for left, right in zip(met[::2], met[1::2], strict=True)]
    return found


def _is_sign(mark: Stroke) -> bool:
    """Small closed shapes are signs no text may cover; large ones are areas."""
    if not mark.closed or mark.texture or len(mark.paths) > 1:
        return False
    left, top, right, bottom = _box_of(mark)
    return (
        right - left <= 15.0
        and bottom - top <= 15.0
        and bool(mark.width_mm or mark.fill)
        and mark.layer in _SIGN_LAYERS
    )


_SIGN_LAYERS = {"water", "levels", "section marks", "labels", "dimensions", "things that stay"}


def _box_of(mark: Stroke) -> Box:
    xs, ys = zip(*chain.from_iterable(mark.paths), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _cross(label: Label, at: Point) -> Iterable[Mark]:
    x, y = at
    arms = (((x - 0.9, y - 0.9), (x + 0.9, y + 0.9)), ((x - 0.9, y + 0.9), (x + 0.9, y - 0.9)))
    yield Stroke(arms, label.layer, False, PEN_MM["fine"], label.role, of=label.id)


def _in_line(label: Label, wish: Wish, spot: Spot, view: View) -> Mark:
    """A text in its line, turned along it; its middle stands on the line."""
    points = [view.paper(point) for point in label.anchor]
    (x, y), _, turn = along(points, wish.size, view.region)[spot.pick]
    down = label.h / 2
    x, y = x + down * sin(radians(turn)), y + down * cos(radians(turn))
    return Letters(
        x, y, label.lines[0], label.h, label.layer, "c", label.weight, label.role, turn, label.halo, label.id
    )


def _marks(label: Label, wish: Wish, spot: Spot, view: View) -> Iterable[Mark]:
    left, top, right, bottom = spot.box
    if spot.leader:
        yield Stroke((spot.leader,), label.layer, False, PEN_MM["fine"], label.role, of=label.id)
        if label.style not in ("bubble", "spot"):
            yield Stroke((circle(spot.leader[0], 0.4),), label.layer, True, fill=label.role, of=label.id)
    if label.kind == "line":
        yield _in_line(label, wish, spot, view)
        return
    if label.style == "bubble":
        middle = ((left + right) / 2, (top + bottom) / 2)
        half = _stretch(label) / 2
        ring = tuple((x + (half if x > middle[0] else -half), y) for x, y in circle(middle, _BUBBLE))
        yield Stroke((ring,), label.layer, True, PEN_MM["visible"], label.role, fill="paper", of=label.id)
        yield Letters(middle[0], middle[1] + label.h / 2, label.lines[0], label.h, label.layer, "c", label.weight,
                      label.role, halo="paper", of=label.id)  # fmt: skip
        return
    if label.style == "box":
        ring = ((left, top), (right, top), (right, bottom), (left, bottom))
        yield Stroke((ring,), label.layer, True, PEN_MM["thin"], label.role, fill="paper", of=label.id)
    if label.style == "spot":
        yield from _cross(label, wish.anchor)
    if label.style == "stop":
        sign = symbols.Sign((left + _OCTAGON / 2, (top + bottom) / 2), label.layer, role="warn", of=label.id)
        yield from symbols.draw("stop", sign)
        left += _OCTAGON + 1.5
        top += max(0.0, (bottom - top - label.h * (ASCENT + DESCENT + PITCH_LIST * (len(label.lines) - 1))) / 2)
    pad = 1.0 if label.style == "box" else 0.0
    beside = spot.leader is not None and wish.anchor[0] >= right and label.style != "stop"
    anchor = "c" if label.style == "box" else "r" if beside else "l" if spot.leader or label.kind == "point" else "c"
    x = {"l": left + pad, "c": (left + right) / 2, "r": right - pad}[anchor]
    for n, line in enumerate(label.lines):
        y = top + pad + label.h * (ASCENT + PITCH_LIST * n)
        halo = "paper" if label.style == "box" else label.halo
        yield Letters(x, y, line, label.h, label.layer, anchor, label.weight, label.role, halo=halo, of=label.id)
