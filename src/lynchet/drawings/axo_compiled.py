"""The loops of ``axo_cells``, compiled: faces at places, ways round cells. Only numbers and arrays.

Imported only where numba is there, as ``axo_net_compiled`` with the rest of them.
"""

from __future__ import annotations

from math import sqrt
from typing import Any

from numba import njit

from lynchet.drawings.axo_net_compiled import TOUCH

LATTICE = 64
_WELL = 256.0
"""Times the difference below which faces lie in one place."""
_EDGE_ON = 1e-12


@njit(cache=True, error_model="numpy")
def _hidden_by(flat: Any, one: int, two: int) -> bool:
    """Whether the second face, convex, lies before the whole of the first."""
    slack = flat.same if flat.order[two] > flat.order[one] else -flat.same
    a, b = flat.planes[two, 0] - flat.planes[one, 0], flat.planes[two, 1] - flat.planes[one, 1]
    c = flat.planes[two, 2] - flat.planes[one, 2] + slack
    for k in range(flat.first[one], flat.first[one + 1]):
        x, y = flat.edges[k, 0], flat.edges[k, 1]
        if a * x + b * y + c <= 0.0:
            return False
        for m in range(flat.first[two], flat.first[two + 1]):
            px, py = flat.edges[m, 0], flat.edges[m, 1]
            dx, dy = flat.edges[m, 2] - px, flat.edges[m, 3] - py
            if flat.convex[two] * (dx * (y - py) - dy * (x - px)) < -TOUCH * sqrt(dx * dx + dy * dy):
                return False
    return True


@njit(cache=True, error_model="numpy")
def open_faces(flat: Any, shown: Any) -> None:
    """Take out of ``shown`` (n,) the faces that a single convex one hides."""
    for one in range(len(flat.boxes)):
        for two in range(len(flat.boxes)):
            if (one != two and flat.convex[two] != 0
                    and flat.boxes[two, 0] <= flat.boxes[one, 0] + TOUCH
                    and flat.boxes[two, 1] <= flat.boxes[one, 1] + TOUCH
                    and flat.boxes[two, 2] >= flat.boxes[one, 2] - TOUCH
                    and flat.boxes[two, 3] >= flat.boxes[one, 3] - TOUCH and _hidden_by(flat, one, two)):  # fmt: skip
                shown[one] = False
                break


@njit(cache=True, error_model="numpy")
def _stretches(flat: Any, face: int, line: Any, found: Any) -> int:
    """Where a line enters and leaves a face, along its way, in order; how many such places there are."""
    a, b, c = line
    used = 0
    for k in range(flat.first[face], flat.first[face + 1]):
        ax, ay, bx, by = flat.edges[k, 0], flat.edges[k, 1], flat.edges[k, 2], flat.edges[k, 3]
        one, two = a * ax + b * ay + c, a * bx + b * by + c
        if (one > 0.0) != (two > 0.0) and used < len(found):
            share = one / (one - two)
            at = (ay + share * (by - ay)) * a - (ax + share * (bx - ax)) * b
            n = used
            while n > 0 and found[n - 1] > at:
                found[n] = found[n - 1]
                n -= 1
            found[n] = at
            used += 1
    return used


@njit(cache=True, error_model="numpy")
def _passage(flat: Any, one: int, two: int, room: Any, out: Any) -> None:
    """Add the lines on which two faces go through one another."""
    lines, used = out
    slack = flat.same if flat.order[two] > flat.order[one] else -flat.same
    a, b = flat.planes[two, 0] - flat.planes[one, 0], flat.planes[two, 1] - flat.planes[one, 1]
    c = flat.planes[two, 2] - flat.planes[one, 2] + slack
    left, right = max(flat.boxes[one, 0], flat.boxes[two, 0]), min(flat.boxes[one, 2], flat.boxes[two, 2])
    low, high = max(flat.boxes[one, 1], flat.boxes[two, 1]), min(flat.boxes[one, 3], flat.boxes[two, 3])
    middle, reach = a * (left + right) + b * (low + high) + 2.0 * c, abs(a) * (right - left) + abs(b) * (high - low)
    size = sqrt(a * a + b * b)
    if right - left < TOUCH or high - low < TOUCH or abs(middle) > reach or size < _EDGE_ON:
        return
    a, b, c = a / size, b / size, c / size
    first = _stretches(flat, one, (a, b, c), room[0])
    second = _stretches(flat, two, (a, b, c), room[1]) if first else 0
    for i in range(0, first - 1, 2):
        for j in range(0, second - 1, 2):
            start, end = max(room[0, i], room[1, j]), min(room[0, i + 1], room[1, j + 1])
            if end - start > TOUCH:
                n = used[0]
                if n < len(lines):
                    lines[n, 0], lines[n, 1] = -a * c - b * start, -b * c + a * start
                    lines[n, 2], lines[n, 3] = -a * c - b * end, -b * c + a * end
                used[0] = n + 1


@njit(cache=True, error_model="numpy")
def passages(flat: Any, among: Any, room: Any, out: Any) -> None:
    """Lines on which two faces go through one another, where both lie.

    Args:
        flat: the faces.
        among: (k,) numbers of those looked at.
        room: (2, m) to work in, m as many edges as a face may have.
        out: (n, 4) to be filled, and how many there are; what has no room is counted only.
    """
    for i in range(len(among)):
        one = among[i]
        for j in range(i + 1, len(among)):
            two = among[j]
            across = flat.boxes[one, 0] < flat.boxes[two, 2] and flat.boxes[one, 2] > flat.boxes[two, 0]
            if across and flat.boxes[one, 1] < flat.boxes[two, 3] and flat.boxes[one, 3] > flat.boxes[two, 1]:
                _passage(flat, one, two, room, out)


@njit(cache=True, error_model="numpy")
def _within(flat: Any, face: int, x: float, y: float) -> bool:
    if x < flat.boxes[face, 0] or y < flat.boxes[face, 1] or x > flat.boxes[face, 2] or y > flat.boxes[face, 3]:
        return False
    odd = False
    for k in range(flat.first[face], flat.first[face + 1]):
        ay, by = flat.edges[k, 1], flat.edges[k, 3]
        if (ay <= y) != (by <= y):
            ax = flat.edges[k, 0]
            if x < ax + (y - ay) / (by - ay) * (flat.edges[k, 2] - ax):
                odd = not odd
    return odd


@njit(cache=True, error_model="numpy")
def nearest_at(flat: Any, fields: Any, places: Any, faces: Any) -> None:
    """Number of the face seen at each of (n, 2) places; -1 where there is none.

    What was seen at the place before is often there too: what lies well behind it is not looked at.
    """
    last = -1
    for n in range(len(places)):
        x, y = places[n, 0], places[n, 1]
        column = min(max(int((x - fields.lie[0]) * fields.lie[2]), 0), LATTICE - 1)
        row = min(max(int((y - fields.lie[1]) * fields.lie[2]), 0), LATTICE - 1)
        least = -1e300
        if last >= 0 and _within(flat, last, x, y):
            least = flat.planes[last, 0] * x + flat.planes[last, 1] * y + flat.planes[last, 2] - _WELL * flat.same
        best, most = -1, 0.0
        for k in range(fields.ends[column * LATTICE + row], fields.ends[column * LATTICE + row + 1]):
            face = fields.faces[k]
            near = flat.planes[face, 0] * x + flat.planes[face, 1] * y + flat.planes[face, 2]
            if near < least:
                continue
            if best >= 0:
                slack = flat.same if flat.order[face] > flat.order[best] else -flat.same
                if near - most + slack <= 0.0:
                    continue
            if _within(flat, face, x, y):
                best, most = face, near
        faces[n] = last = best


@njit(cache=True, error_model="numpy")
def fields_of(reach: Any, among: Any, ends: Any, faces: Any) -> None:
    """Fill in the faces of every field of a lattice, in their order.

    Args:
        reach: (n, 4) least and greatest column and row of each face.
        among: (n,) their numbers.
        ends: (LATTICE * LATTICE + 1,) noughts; to be filled with the first face of each field, and the number of all.
        faces: to be filled, with room for all.
    """
    for n in range(len(among)):
        for column in range(reach[n, 0], reach[n, 2] + 1):
            for row in range(reach[n, 1], reach[n, 3] + 1):
                ends[column * LATTICE + row + 1] += 1
    for k in range(1, len(ends)):
        ends[k] += ends[k - 1]
    for n in range(len(among) - 1, -1, -1):
        for column in range(reach[n, 0], reach[n, 2] + 1):
            for row in range(reach[n, 1], reach[n, 3] + 1):
                k = column * LATTICE + row + 1
                ends[k] -= 1
                faces[ends[k]] = among[n]
    for k in range(len(ends) - 1):
        ends[k] = ends[k + 1]
    ends[len(ends) - 1] = len(faces)


@njit(cache=True, error_model="numpy")
def longest_of(cells: Any, size: Any, longest: Any) -> None:
    """Fill in the length of the longest way round every cell, from nought."""
    for n in range(len(cells)):
        longest[cells[n]] = max(longest[cells[n]], size[n])


@njit(cache=True, error_model="numpy")
def named_most(told: Any, sizes: Any, heaps: Any, metres: Any, found: Any) -> None:
    """Fill in the face that the longest part of what was asked of each cell names; of two alike the first.

    Args:
        told: (n,) the face named; -1 for none.
        sizes: (n,) length of what named it.
        heaps: first of each cell and numbers of what was asked of it, cell after cell; written over.
        metres: (n,) to work in.
        found: (cells,) to be filled.
    """
    ends, order = heaps
    for cell in range(len(found)):
        best, most, used = -1, -1.0, ends[cell]
        for k in range(ends[cell], ends[cell + 1]):
            # The faces named so far are kept where their ways stood; these have been read.
            face, at = told[order[k]], ends[cell]
            size = sizes[order[k]]
            while at < used and told[order[at]] != face:
                at += 1
            if at == used:
                order[at], metres[at] = order[k], 0.0
                used += 1
            metres[at] += size
        for at in range(ends[cell], used):
            face = told[order[at]]
            if metres[at] > most or (metres[at] == most and face < best):
                best, most = face, metres[at]
        found[cell] = best


@njit(cache=True, error_model="numpy")
def cells_of(before: Any, cells: Any) -> int:
    """Number of the cell on the left of every way; how many there are."""
    many = 0
    for h in range(len(before)):
        if cells[h] >= 0:
            continue
        at = h
        while cells[at] < 0:
            cells[at] = many
            at = before[at ^ 1]
        many += 1
    return many


@njit(cache=True, error_model="numpy")
def _keep(ring: Any, points: Any, out: Any, room: float) -> None:
    """Write a ring without the corners at which it does not bend."""
    start, end = ring
    used = first = out.starts[out.used[0]]
    last, since = out.path[end - 1], start
    for n in range(start, end):
        ax, ay = points[last, 0], points[last, 1]
        after = out.path[n + 1] if n + 1 < end else out.path[start]
        dx, dy = points[after, 0] - ax, points[after, 1] - ay
        size = sqrt(dx * dx + dy * dy)
        straight = size > 0.0
        for k in range(since, n + 1):
            x, y = points[out.path[k], 0] - ax, points[out.path[k], 1] - ay
            straight = straight and abs(x * dy - y * dx) <= room * size and 0.0 <= x * dx + y * dy <= size * size
        if not straight:
            out.corners[used] = out.path[n]
            last, since, used = out.path[n], n + 1, used + 1
    if used - first >= 3:
        out.used[0] += 1
        out.starts[out.used[0]] = used


@njit(cache=True, error_model="numpy")
def rings_round(groups: Any, turns: Any, points: Any, out: Any) -> None:
    """Rings of corners round every group, the group on their left; no ring comes twice by one corner.

    Args:
        groups: (n,) of what is seen on the left of every way; -1 for none.
        turns: where every way starts, and which goes before it round that corner.
        points: (k, 2) of the corners.
        out: rings one after the other in ``corners``, from ``starts`` on, with their ``owners``; to be filled.
    """
    starts, before = turns
    for h in range(len(groups)):
        own = groups[h]
        if out.done[h] or own < 0 or own == groups[h ^ 1]:
            continue
        at, long = h, 0
        while not out.done[at]:
            out.done[at] = True
            corner = starts[at]
            if out.place[corner] >= 0:
                out.owners[out.used[0]] = own
                _keep((out.place[corner], long), points, out, 0.5 * TOUCH)
                for k in range(out.place[corner], long):
                    long -= 1
                    out.place[out.path[k]] = -1
            out.place[corner] = long
            out.path[long] = corner
            long += 1
            # On along the edge of the same piece of the group.
            at = before[at ^ 1]
            while groups[at ^ 1] == own:
                at = before[at]
        out.owners[out.used[0]] = own
        _keep((0, long), points, out, 0.5 * TOUCH)
        for k in range(long):
            out.place[out.path[k]] = -1
