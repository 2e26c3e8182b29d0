"""The net of ``axo_cells``, compiled: corners, lines that meet, and the ways between them in their order.

Imported only where numba is there. No list is made here and nothing long sorted: that is quicker to compile, and NumPy
does it as well. What stands in small heaps (on a line, round a corner) is put in order as it comes.
"""

from __future__ import annotations

from math import floor, sqrt
from typing import Any

from numba import njit

TOUCH = 2e-5
"""Metres of the picture: under two thousandths of a millimetre on paper at 1 : 10."""
_NEAR = 2.0 * TOUCH
"""Corners in fields of a net no nearer than this are no nearer than ``TOUCH``."""


@njit(cache=True, error_model="numpy")
def heaps(keys: Any, ends: Any, found: Any) -> None:
    """Numbers of the members of every heap, in their order, heap after heap.

    Args:
        keys: (n,) heap of each, from 0.
        ends: (k + 1,) noughts; to be filled with the first of each heap, and their number.
        found: (n,) to be filled.
    """
    for n in range(len(keys)):
        ends[keys[n] + 1] += 1
    for k in range(1, len(ends)):
        ends[k] += ends[k - 1]
    for n in range(len(keys) - 1, -1, -1):
        ends[keys[n] + 1] -= 1
        found[ends[keys[n] + 1]] = n
    for k in range(len(ends) - 1):
        ends[k] = ends[k + 1]
    ends[len(ends) - 1] = len(keys)


@njit(cache=True, error_model="numpy")
def _in_order(values: Any, found: Any, first: int, last: int) -> None:
    """Put the numbers from first to before last in the order of their values, equal ones as they are."""
    for k in range(first + 1, last):
        own, at = found[k], k
        while at > first and values[found[at - 1]] > values[own]:
            found[at] = found[at - 1]
            at -= 1
        found[at] = own


@njit(cache=True, error_model="numpy")
def corner_at(x: float, y: float, net: Any) -> int:
    """Number of the corner of a net at a place: one that is there already, or a new one; -1 where there is no room."""
    left, right = floor((x - _NEAR - net.lie[0]) / net.lie[2]), floor((x + _NEAR - net.lie[0]) / net.lie[2])
    low, high = floor((y - _NEAR - net.lie[1]) / net.lie[2]), floor((y + _NEAR - net.lie[1]) / net.lie[2])
    for i in range(max(0, left), min(len(net.heads), right + 1)):
        for j in range(max(0, low), min(len(net.heads), high + 1)):
            at = net.heads[i, j]
            while at >= 0:
                dx, dy = net.points[at, 0] - x, net.points[at, 1] - y
                if dx * dx + dy * dy <= TOUCH * TOUCH:
                    return int(at)
                at = net.after[at]
    new = net.used[0]
    if new >= len(net.points):
        return -1
    column, row = floor((x - net.lie[0]) / net.lie[2]), floor((y - net.lie[1]) / net.lie[2])
    column, row = min(max(column, 0), len(net.heads) - 1), min(max(row, 0), len(net.heads) - 1)
    net.points[new, 0], net.points[new, 1] = x, y
    net.after[new] = net.heads[column, row]
    net.heads[column, row] = new
    net.used[0] = new + 1
    return int(new)


@njit(cache=True, error_model="numpy")
def corners_at(places: Any, net: Any, numbers: Any) -> None:
    """Numbers of the corners at many (n, 2) places."""
    for n in range(len(places)):
        numbers[n] = corner_at(places[n, 0], places[n, 1], net)


@njit(cache=True, error_model="numpy")
def _note(line: int, share: float, corner: int, met: Any) -> None:
    n = met.used[0]
    if n < len(met.lines) and corner >= 0:
        met.lines[n], met.shares[n], met.corners[n] = line, share, corner
    met.used[0] = n + 1


@njit(cache=True, error_model="numpy")
def _note_within(line: int, share: float, corner: int, met: Any) -> bool:
    """Note a corner that lies in a line, if it does between its ends."""
    inner = 0.0 < share < 1.0
    if inner:
        _note(line, share, corner, met)
    return inner


@njit(cache=True, error_model="numpy")
def _meet(i: int, j: int, lines: Any, net: Any, met: Any) -> None:
    """Note where two lines touch or cross."""
    a, b, c, e = lines[i, 0], lines[i, 1], lines[j, 0], lines[j, 1]
    p = net.points
    ax, ay, cx, cy = p[a, 0], p[a, 1], p[c, 0], p[c, 1]
    dx, dy, gx, gy = p[b, 0] - ax, p[b, 1] - ay, p[e, 0] - cx, p[e, 1] - cy
    long, wide = dx * dx + dy * dy, gx * gx + gy * gy
    one, two = TOUCH * sqrt(long), TOUCH * sqrt(wide)
    # Offsets of the ends of each from the other, times its length.
    off_c, off_e = (cx - ax) * dy - (cy - ay) * dx, (cx + gx - ax) * dy - (cy + gy - ay) * dx
    off_a, off_b = (ax - cx) * gy - (ay - cy) * gx, (ax + dx - cx) * gy - (ay + dy - cy) * gx
    if min(off_c, off_e) > one or max(off_c, off_e) < -one or min(off_a, off_b) > two or max(off_a, off_b) < -two:
        return
    touched = a in (c, e) or b in (c, e)
    if c != a and c != b and abs(off_c) <= one:
        touched |= _note_within(i, ((cx - ax) * dx + (cy - ay) * dy) / long, c, met)
    if e != a and e != b and abs(off_e) <= one:
        touched |= _note_within(i, ((p[e, 0] - ax) * dx + (p[e, 1] - ay) * dy) / long, e, met)
    if a != c and a != e and abs(off_a) <= two:
        touched |= _note_within(j, ((ax - cx) * gx + (ay - cy) * gy) / wide, a, met)
    if b != c and b != e and abs(off_b) <= two:
        touched |= _note_within(j, ((p[b, 0] - cx) * gx + (p[b, 1] - cy) * gy) / wide, b, met)
    if not touched and off_c != off_e and off_a != off_b:
        share, other = off_a / (off_a - off_b), off_c / (off_c - off_e)
        if 0.0 < share < 1.0 and 0.0 < other < 1.0:
            corner = corner_at(ax + share * dx, ay + share * dy, net)
            _note(i, share, corner, met)
            _note(j, other, corner, met)


@njit(cache=True, error_model="numpy")
def meetings(lines: Any, boxes: Any, net: Any, met: Any) -> None:
    """Note all places where two lines touch or cross.

    Args:
        lines: (n, 2) numbers of corners, from the leftmost box on.
        boxes: (n, 4) round the lines, with room to touch.
        net: the corners; those of crossings are added.
        met: to be filled; what has no room in it is counted only.
    """
    for i in range(len(lines)):
        for j in range(i + 1, len(lines)):
            if boxes[j, 0] > boxes[i, 2]:
                break
            if boxes[j, 1] <= boxes[i, 3] and boxes[j, 3] >= boxes[i, 1]:
                _meet(i, j, lines, net, met)


@njit(cache=True, error_model="numpy")
def ways_along(lines: Any, met: Any, room: Any, out: Any) -> None:
    """Ways from corner to corner along every line.

    Args:
        lines: (n, 2) numbers of corners.
        met: (k,) line, share along it and corner of what lies in a line.
        room: (n + 1,) noughts and (k,), to work in.
        out: (n + k,) start and (n + k,) end of each way; to be filled.
    """
    owners, shares, corners = met
    ends, found = room
    starts, stops = out
    heaps(owners, ends, found)
    used = 0
    for line in range(len(lines)):
        _in_order(shares, found, ends[line], ends[line + 1])
        last = lines[line, 0]
        for k in range(ends[line], ends[line + 1]):
            starts[used], stops[used] = last, corners[found[k]]
            last, used = corners[found[k]], used + 1
        starts[used], stops[used] = last, lines[line, 1]
        used += 1


@njit(cache=True, error_model="numpy")
def turns_round(starts: Any, angles: Any, room: Any, before: Any) -> None:
    """Fill in which way goes before each round the corner where both start, anticlockwise.

    Args:
        starts: (n,) corner at which each way starts.
        angles: (n,) its direction.
        room: (corners + 1,) noughts and (n,), to work in.
        before: (n,) to be filled.
    """
    ends, found = room
    heaps(starts, ends, found)
    for corner in range(len(ends) - 1):
        first, last = ends[corner], ends[corner + 1]
        _in_order(angles, found, first, last)
        for k in range(first, last):
            before[found[k]] = found[k - 1 if k > first else last - 1]
