"""What is seen of faces by the cells of a net: their edges, and the lines on which they go through one another.

A cell is gone round with it on the left. What is seen in it is asked beside its longest ways, a little inside, and the
longest part decides: a cell thinner than that little is counted to its neighbour. Corners nearer together than
``axo_net_compiled.TOUCH`` are one, and a corner nearer than that to a line lies in it: so what differs by rounding
alone falls together. Imported only where numba is there.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lynchet.drawings import axo_compiled as kernels
from lynchet.drawings import axo_net_compiled as nets
from lynchet.drawings.axo_compiled import LATTICE
from lynchet.drawings.axo_net_compiled import TOUCH

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
_BESIDE = 3.0 * TOUCH
_LEAST_SHARE = 0.5
"""Of its longest way: shorter ways of a cell are not asked."""


class Flat(NamedTuple):
    """Faces as they lie in the picture."""

    edges: Array
    """(m, 4): start and end of every edge of every ring, face by face."""
    first: Whole
    """(n + 1,): first edge of each face, and their number."""
    boxes: Array
    """(n, 4): least and greatest u and v."""
    planes: Array
    """(n, 3): nearness as a u + b v + c."""
    order: Whole
    """Of two in one place the one with the greater number is seen; all unlike."""
    convex: Whole
    """1 where it is one convex ring run anticlockwise in the picture, -1 clockwise, 0 where it is another shape."""
    same: float
    """Difference of nearness below which faces lie in one place."""


class Net(NamedTuple):
    """Corners, found again by where they lie; ``used`` holds how many there are."""

    points: Array
    heads: Whole
    after: Whole
    used: Whole
    lie: Array


class Met(NamedTuple):
    """Which corner lies in which line, and at which share of it."""

    lines: Whole
    shares: Array
    corners: Whole
    used: Whole


class Fields(NamedTuple):
    """Faces by the fields of a lattice they may lie in."""

    lie: Array
    ends: Whole
    faces: Whole


class Rings(NamedTuple):
    """Rings of corners, and room to make them in."""

    corners: Whole
    starts: Whole
    owners: Whole
    used: Whole
    done: NDArray[np.bool_]
    place: Whole
    path: Whole


def shown_rings(flat: Flat, groups: Whole) -> tuple[Array, Whole, Whole, NDArray[np.bool_]]:
    """What is seen of faces that hide one another.

    Args:
        flat: the faces.
        groups: (n,) from 0: what belongs together gets common rings.

    Returns:
        (m, 2) corners of rings, one after the other, the seen part on their left; (k + 1,) first corner of each ring
        and their number; (k,) the group of each ring; (n,) whether anything is seen of each face.
    """
    shown = np.ones(len(flat.boxes), dtype=np.bool_)
    kernels.open_faces(flat, shown)
    among = np.flatnonzero(shown)
    own = shown[np.repeat(np.arange(len(shown)), np.diff(flat.first))]
    points, ways = _net(np.concatenate([flat.edges[own], _passages(flat, among)]))
    turns = _turns(points, ways)
    faces = _seen_beside(points, turns, flat, _fields(flat, among))
    seen = np.zeros(len(shown), dtype=np.bool_)
    seen[faces[faces >= 0]] = True
    beside = np.where(faces >= 0, groups[faces], -1)
    many = len(faces)
    corners, owners, path = (np.empty(many, np.int64) for _ in range(3))
    rings = Rings(corners, np.zeros(many + 1, np.int64), owners, np.zeros(1, np.int64), np.zeros(many, np.bool_),
                  np.full(len(points), -1), path)  # fmt: skip
    kernels.rings_round(beside, turns, points, rings)
    used = int(rings.used[0])
    starts = rings.starts[: used + 1]
    return points[rings.corners[: starts[-1]]], starts, rings.owners[:used], seen


def _passages(flat: Flat, among: Whole) -> Array:
    """(k, 4): where two of some faces go through one another."""
    edges, size = int(np.diff(flat.first).max()), 4 * len(among) + 16
    while True:
        found, used = np.empty((size, 4)), np.zeros(1, np.int64)
        kernels.passages(flat, among, np.empty((2, edges)), (found, used))
        if used[0] <= size:
            return found[: used[0]]
        size = int(used[0])


def _net(segments: Array) -> tuple[Array, Whole]:
    """Corners (k, 2) of a net of lines, and the (m, 2) ways between them, by the numbers of corners, each once."""
    room = 8 * len(segments) + 256
    while True:
        net = _empty_net(segments, room)
        numbers = np.empty(2 * len(segments), np.int64)
        nets.corners_at(np.ascontiguousarray(segments.reshape(-1, 2)), net, numbers)
        lines, boxes = _by_left(net, _unlike(numbers[0::2], numbers[1::2], room))
        met = Met(np.empty(2 * room, np.int64), np.empty(2 * room), np.empty(2 * room, np.int64), np.zeros(1, np.int64))
        nets.meetings(lines, boxes, net, met)
        if net.used[0] < room and met.used[0] <= 2 * room:
            break
        room *= 4
    used, many = int(met.used[0]), len(lines)
    starts, stops = np.empty(many + used, np.int64), np.empty(many + used, np.int64)
    room_for = np.zeros(many + 1, np.int64), np.empty(used, np.int64)
    nets.ways_along(lines, (met.lines[:used], met.shares[:used], met.corners[:used]), room_for, (starts, stops))
    return net.points[: net.used[0]], _unlike(starts, stops, room)


def _empty_net(segments: Array, room: int) -> Net:
    places = segments.reshape(-1, 2)
    low, high = places.min(axis=0), places.max(axis=0)
    step = max(float((high - low).max()) / (LATTICE * 4 - 1), 10.0 * TOUCH)
    return Net(np.empty((room, 2)), np.full((LATTICE * 4, LATTICE * 4), -1), np.empty(room, np.int64),
               np.zeros(1, np.int64), np.array([low[0], low[1], step]))  # fmt: skip


def _unlike(one: Whole, two: Whole, many: int) -> Whole:
    """(n, 2): pairs of two different numbers, each pair once, the smaller number first."""
    keys = np.sort(np.minimum(one, two) * many + np.maximum(one, two))
    keys = keys[np.concatenate([[True], keys[1:] != keys[:-1]])] if len(keys) else keys
    pairs = np.column_stack(np.divmod(keys, many))
    return np.ascontiguousarray(pairs[pairs[:, 0] != pairs[:, 1]])


def _by_left(net: Net, lines: Whole) -> tuple[Whole, Array]:
    """Lines from the leftmost on, and the boxes round them."""
    ends = net.points[lines]
    boxes = np.column_stack([ends.min(axis=1) - TOUCH, ends.max(axis=1) + TOUCH])
    order = np.argsort(boxes[:, 0], kind="stable")
    return np.ascontiguousarray(lines[order]), np.ascontiguousarray(boxes[order])


def _turns(points: Array, ways: Whole) -> tuple[Whole, Whole]:
    """Of every way in both senses (2 n and 2 n + 1): where it starts, and which goes before it round that corner."""
    starts = np.ascontiguousarray(ways.ravel())
    step = (points[ways[:, 1]] - points[ways[:, 0]])[:, None, :] * np.array([[1.0], [-1.0]])
    step = step.reshape(-1, 2)
    before = np.empty(len(starts), np.int64)
    room = np.zeros(len(points) + 1, np.int64), np.empty(len(starts), np.int64)
    nets.turns_round(starts, np.arctan2(step[:, 1], step[:, 0]), room, before)
    return starts, before


def _seen_beside(points: Array, turns: tuple[Whole, Whole], flat: Flat, fields: Fields) -> Whole:
    """The face seen on the left of every way; -1 for none."""
    starts, before = turns
    cells = np.full(len(starts), -1)
    many = kernels.cells_of(before, cells)
    ends = np.arange(len(starts)) ^ 1
    a, b = points[starts], points[starts[ends]]
    step = b - a
    size = np.hypot(step[:, 0], step[:, 1])
    longest = np.zeros(many)
    kernels.longest_of(cells, size, longest)
    asked = np.flatnonzero(size >= _LEAST_SHARE * longest[cells])
    off = np.minimum(_BESIDE, 0.3 * size[asked]) / size[asked]
    inward = np.column_stack([-step[asked, 1], step[asked, 0]]) * off[:, None]
    told = np.empty(len(asked), np.int64)
    kernels.nearest_at(flat, fields, np.ascontiguousarray(0.5 * (a[asked] + b[asked]) + inward), told)
    of_cell = np.empty(many, np.int64)
    heaps = np.zeros(many + 1, np.int64), np.empty(len(asked), np.int64)
    nets.heaps(cells[asked], *heaps)
    kernels.named_most(told, size[asked], heaps, np.empty(len(asked)), of_cell)
    return np.asarray(of_cell[cells])


def _fields(flat: Flat, among: Whole) -> Fields:
    boxes = flat.boxes[among]
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    fine = LATTICE / max(float((high - low).max()), TOUCH)
    reach = np.clip(((boxes.reshape(-1, 2, 2) - low) * fine).astype(np.int64), 0, LATTICE - 1).reshape(-1, 4)
    ends = np.zeros(LATTICE * LATTICE + 1, np.int64)
    faces = np.empty(int((reach[:, 2:] - reach[:, :2] + 1).prod(axis=1).sum()), np.int64)
    kernels.fields_of(reach, among, ends, faces)
    return Fields(np.array([low[0], low[1], fine]), ends, faces)
