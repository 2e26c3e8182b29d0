"""Leaders of labels: where they run, and what they pass through."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings.paper import Box

Point = tuple[float, float]
Array = NDArray[np.float64]


def leaders(anchors: Array, boxes: Array, led: NDArray[np.bool_]) -> Array:
    """(k, 4) from the anchor to the nearest side of each place, at half its height where it stands beside.

    Args:
        anchors: (k, 2) of the label of each place.
        boxes: (k, 4) places.
        led: (k,) which have a leader; of the others it is not a number.
    """
    ways = np.full((len(boxes), 4), np.nan)
    left, top, right, bottom = boxes[led].T
    x, y = anchors[led].T
    beside = (x <= left) | (x >= right)
    ways[led, 0], ways[led, 1] = x, y
    ways[led, 2] = np.where(x <= left, left, np.where(x >= right, right, np.clip(x, left + 1.0, right - 1.0)))
    ways[led, 3] = np.where(beside, (top + bottom) / 2, np.where(y > bottom, bottom, top))
    return ways


def barred(ways: Array, lines: Array) -> NDArray[np.bool_]:
    """(k,) which of (k, 4) leaders cross any of (n, 4) lines beyond their own anchor."""
    start, step = ways[:, None, :2], ways[:, None, 2:] - ways[:, None, :2]
    first, along = lines[None, :, :2], lines[None, :, 2:] - lines[None, :, :2]
    turn = step[..., 0] * along[..., 1] - step[..., 1] * along[..., 0]
    off, safe = first - start, np.where(np.abs(turn) < 1e-12, np.inf, turn)
    share = (off[..., 0] * along[..., 1] - off[..., 1] * along[..., 0]) / safe
    where = (off[..., 0] * step[..., 1] - off[..., 1] * step[..., 0]) / safe
    met = (share > 0.0) & (share < 1.0) & (where >= 0.0) & (where <= 1.0) & (np.abs(turn) >= 1e-12)
    return np.asarray(met.any(axis=1), dtype=np.bool_)


def through(leader: tuple[Point, Point], box: Box) -> bool:
    """Whether a leader passes through a box (Liang-Barsky)."""
    first, last = 0.0, 1.0
    for axis in (0, 1):
        start, step = leader[0][axis], leader[1][axis] - leader[0][axis]
        low, high = box[axis], box[axis + 2]
        if abs(step) < 1e-12:
            if not low < start < high:
                return False
            continue
        one, two = (low - start) / step, (high - start) / step
        first, last = max(first, min(one, two)), min(last, max(one, two))
    return first < last


def cut(one: tuple[Point, Point], two: tuple[Point, Point]) -> bool:
    """Whether two leaders cross."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (a, b), (c, d) = one, two
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
