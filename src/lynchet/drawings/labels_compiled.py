"""The loops of ``labels``, compiled: which of the places of a label are free, and what lies under each.

Imported only where numba is there.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

_EDGE_ON = 1e-12


@njit(cache=True, error_model="numpy")
def _crosses(box: Any, line: Any) -> bool:
    """Whether a line passes through a box, as ``labels.crosses`` has it."""
    first, last = 0.0, 1.0
    for axis in range(2):
        low, high, start, step = box[axis], box[axis + 2], line[axis], line[axis + 2] - line[axis]
        if abs(step) < _EDGE_ON:
            if start < low or start > high:
                return False
            step = _EDGE_ON
        one, two = (low - start) / step, (high - start) / step
        first, last = max(first, min(one, two)), min(last, max(one, two))
    return first < last


@njit(cache=True, error_model="numpy")
def _is_free(box: Any, way: Any, anchor: Any, scene: Any) -> bool:
    """Whether a place lies in the region and meets no fixed box, nor its leader one that the anchor is not in."""
    region, fixed, _, _ = scene
    if box[0] < region[0] or box[1] < region[1] or box[2] > region[2] or box[3] > region[3]:
        return False
    for n in range(len(fixed)):
        if fixed[n, 0] < box[2] and fixed[n, 2] > box[0] and fixed[n, 1] < box[3] and fixed[n, 3] > box[1]:
            return False
    if way[0] == way[0]:  # not a number: no leader
        for n in range(len(fixed)):
            across = fixed[n, 0] <= anchor[0] and anchor[0] <= fixed[n, 2]
            own = across and fixed[n, 1] <= anchor[1] and anchor[1] <= fixed[n, 3]
            if not own and _crosses(fixed[n], way):
                return False
    return True


@njit(cache=True, error_model="numpy")
def _rate_one(places: Any, label: Any, scene: Any, anchors: Any, rated: Any) -> None:
    """Rate the places of one label.

    Args:
        places: (k, 4) boxes with their margin; (k, 4) leaders, not a number where there is none.
        label: its number among all, and (n,) whether each line is its own.
        scene: region, (m, 4) fixed boxes, (n, 4) lines, (n, 4) boxes round the lines.
        anchors: (l, 2) of all labels.
        rated: (k,) whether it is free, (k,) how many lines pass under it, (k,) whether it covers another's anchor.
    """
    boxes, ways = places
    number, mine = label
    _, _, lines, reach = scene
    free, under, covers = rated
    left, top, right, bottom = 1e30, 1e30, -1e30, -1e30
    for k in range(len(boxes)):
        free[k], under[k], covers[k] = _is_free(boxes[k], ways[k], anchors[number], scene), 0, False
        if free[k]:
            left, top = min(left, boxes[k, 0]), min(top, boxes[k, 1])
            right, bottom = max(right, boxes[k, 2]), max(bottom, boxes[k, 3])
            for n in range(len(anchors)):
                x, y = anchors[n, 0], anchors[n, 1]
                if n != number and x > boxes[k, 0] and x < boxes[k, 2] and y > boxes[k, 1] and y < boxes[k, 3]:
                    covers[k] = True
                    break
    for n in range(len(lines)):
        if mine[n] or not (reach[n, 0] < right and reach[n, 2] > left and reach[n, 1] < bottom and reach[n, 3] > top):
            continue
        for k in range(len(boxes)):
            beside = reach[n, 0] > boxes[k, 2] or reach[n, 2] < boxes[k, 0]
            if free[k] and not (beside or reach[n, 1] > boxes[k, 3] or reach[n, 3] < boxes[k, 1]):
                under[k] += _crosses(boxes[k], lines[n])


@njit(cache=True, error_model="numpy")
def rate(places: Any, anchors: Any, own: Any, scene: Any, rated: Any) -> None:
    """Rate the places of all labels.

    Args:
        places: (k, 4) boxes with their margin; (k, 4) leaders, not a number where there is none; (l + 1,) the first of
            each label, and their number.
        anchors: (l, 2) of the labels.
        own: (l, m) numbers of the owners on whose lines each may lie, and (n,) the owner of each line.
        scene: region, (m, 4) fixed boxes, (n, 4) lines, (n, 4) boxes round the lines.
        rated: (k,) whether it is free, (k,) how many lines pass under it, (k,) whether it covers another's anchor.
    """
    boxes, ways, starts = places
    free, under, covers = rated
    own_numbers, owners = own
    mine = np.empty(len(owners), np.bool_)
    for label in range(len(anchors)):
        a, b = starts[label], starts[label + 1]
        for n in range(len(owners)):
            mine[n] = False
            for k in range(own_numbers.shape[1]):
                mine[n] |= own_numbers[label, k] == owners[n]
        part = free[a:b], under[a:b], covers[a:b]
        _rate_one((boxes[a:b], ways[a:b]), (label, mine), scene, anchors, part)


@njit(cache=True, error_model="numpy")
def apart_at(places: Any, least: float, found: Any) -> int:
    """Fill in the first of (n, 2) places and those apart from all before them, as far as there is room; how many."""
    used = 0
    for n in range(len(places)):
        apart = used < len(found)
        for k in range(used):
            if abs(places[n, 0] - found[k, 0]) < least and abs(places[n, 1] - found[k, 1]) < least:
                apart = False
                break
        if apart:
            found[used, 0], found[used, 1] = places[n, 0], places[n, 1]
            used += 1
    return used
