"""Places for labels: greedy on demand with ejection. No two texts ever meet, by construction.

A label tries places round its anchor, near ones first and then three rings with a leader; it takes the cheapest that
meets nothing placed. Then labels that stand badly look for better places, if need be by moving the one in the way.
What finds no place at all becomes a number in the key. Deterministic; the order hangs on ids, not on the file's order.
Candidate costs and rounds are our own, chosen by measurement against annealing, force and an integer programme.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lynchet.core.quick import quick
from lynchet.drawings.label_tries import Tries, Wish, tries_of
from lynchet.drawings.leaders import barred, cut, leaders, through
from lynchet.drawings.paper import Box

Point = tuple[float, float]
Array = NDArray[np.float64]

MARGIN_MM = 0.5
CROSSES_LINE = 3.0
MORE_LINES = 0.1
"""For every line crossed, so that of two bad places the less bad is taken."""
COVERS_ANCHOR = 6.0
DROP_COST = 8.0
_ROUNDS = 6


@dataclass(frozen=True)
class Scene:
    """What is already there."""

    region: Box
    boxes: tuple[Box, ...] = ()
    """Places nobody may enter."""
    segments: Array = field(default_factory=lambda: np.empty((0, 4)))
    """(n, 4): lines a text had better not lie on."""
    owners: tuple[str, ...] = ()
    """Whose line each segment is."""

    @cached_property
    def by_owner(self) -> dict[str, list[int]]:
        """Numbers of the segments of every owner."""
        found: dict[str, list[int]] = {}
        for n, owner in enumerate(self.owners):
            found.setdefault(owner, []).append(n)
        return found

    def of(self, things: Iterable[str]) -> Array:
        """(k, 4): segments of some things, each drawn as parts with a number after its id ("wall-W2-0")."""
        asked = frozenset(things)
        rows = [rows for owner, rows in self.by_owner.items() if owner.rpartition("-")[0] in asked]
        return self.segments[[n for part in rows for n in part]]

    @cached_property
    def _numbers(self) -> dict[str, int]:
        return {owner: n for n, owner in enumerate(dict.fromkeys(self.owners))}

    @cached_property
    def owner_numbers(self) -> NDArray[np.intp]:
        """(n,) whose line each segment is, as a number."""
        return np.array([self._numbers[owner] for owner in self.owners], dtype=np.intp)

    def numbers_of(self, owners: Sequence[Iterable[str]]) -> NDArray[np.intp]:
        """(k, m) numbers of some owners, row by row; -1 where there are no more that have lines."""
        rows = [[self._numbers[owner] for owner in row if owner in self._numbers] for row in owners]
        found = np.full((len(rows), max(map(len, rows), default=0)), -1, dtype=np.intp)
        for n, row in enumerate(rows):
            found[n, : len(row)] = row
        return found

    @cached_property
    def reach(self) -> Array:
        """(n, 4): least x and y, greatest x and y of every segment."""
        x, y = self.segments[:, ::2], self.segments[:, 1::2]
        return np.column_stack([np.minimum(*x.T), np.minimum(*y.T), np.maximum(*x.T), np.maximum(*y.T)])

    @cached_property
    def fixed(self) -> Array:
        """(n, 4): the boxes."""
        return np.array(self.boxes, dtype=np.float64).reshape(-1, 4)

    @cached_property
    def flat(self) -> tuple[Array, Array, Array, Array]:
        """Region, boxes, lines and the boxes round these, as the compiled code reads them."""
        parts = (np.array(self.region), self.fixed, self.segments, self.reach)
        region, boxes, lines, reach = (np.ascontiguousarray(part, dtype=np.float64) for part in parts)
        return region, boxes, lines, reach


@quick
@dataclass(frozen=True)
class Spot:
    """One possible place."""

    box: Box
    ring: int
    cost: float
    crossings: int = 0
    leader: tuple[Point, Point] | None = None
    pick: int = -1
    """Which of the wish's own spots it is; -1 for any other place."""

    @cached_property
    def reach(self) -> Box:
        """Round text and leader with the margin: nothing outside it can be met."""
        left, top, right, bottom = self.box
        gap = 2 * MARGIN_MM
        if self.leader is None:
            return left - gap, top - gap, right + gap, bottom + gap
        (ax, ay), (bx, by) = self.leader
        return min(left, ax, bx) - gap, min(top, ay, by) - gap, max(right, ax, bx) + gap, max(bottom, ay, by) + gap


def meets(box: Box, boxes: Array) -> NDArray[np.bool_]:
    """Which of (n, 4) boxes a box meets."""
    return (boxes[:, 0] < box[2]) & (boxes[:, 2] > box[0]) & (boxes[:, 1] < box[3]) & (boxes[:, 3] > box[1])


def crosses(boxes: Array, segments: Array) -> NDArray[np.bool_]:
    """(k, n): which of n segments pass through which of k boxes."""
    low, high = boxes[:, None, :2], boxes[:, None, 2:]
    start, step = segments[None, :, :2], segments[None, :, 2:] - segments[None, :, :2]
    safe = np.where(np.abs(step) < 1e-12, 1e-12, step)
    one, two = (low - start) / safe, (high - start) / safe
    enter, leave = np.minimum(one, two), np.maximum(one, two)
    still = (np.abs(step) < 1e-12) & ((start < low) | (start > high))
    # Axis by axis: over an axis of two NumPy's own greatest and least are slow.
    first = np.maximum(np.maximum(enter[:, :, 0], enter[:, :, 1]), 0.0)
    last = np.minimum(np.minimum(leave[:, :, 0], leave[:, :, 1]), 1.0)
    result: NDArray[np.bool_] = (first < last) & ~(still[:, :, 0] | still[:, :, 1])
    return result


def _candidates(wishes: Sequence[Wish], scene: Scene, anchors: Array, compiled: bool = True) -> list[list[Spot]]:
    """Of every label all places inside the region and clear of the fixed boxes, cheapest first."""
    if not wishes:
        return []
    tries = tries_of(wishes, anchors)
    wide = tries.boxes + np.array([-MARGIN_MM, -MARGIN_MM, MARGIN_MM, MARGIN_MM])
    ways = leaders(anchors[tries.label], tries.boxes, tries.at >= tries.plain[tries.label])
    good, lines, covered = _rated(wishes, scene, anchors, (tries, wide, ways), compiled)
    price = tries.costs + np.where(lines > 0, CROSSES_LINE + np.minimum(2.0, MORE_LINES * lines), 0.0)
    price += COVERS_ANCHOR * covered
    for n, wish in enumerate(wishes):
        if wish.bars:
            led = slice(int(tries.starts[n] + tries.plain[n]), int(tries.starts[n + 1]))
            price[led] += CROSSES_LINE * barred(ways[led], scene.of(wish.bars))
        if wish.off:
            all_of = slice(int(tries.starts[n]), int(tries.starts[n + 1]))
            price[all_of] += CROSSES_LINE * crosses(wide[all_of], scene.of(wish.off)).any(axis=1)
    kept = np.flatnonzero(good & (price < np.array([wish.dearest for wish in wishes])[tries.label]))
    kept = kept[np.lexsort((price[kept], tries.label[kept]))]
    rows = zip(tries.label[kept].tolist(), tries.at[kept].tolist(), price[kept].tolist(), lines[kept].tolist(),
               tries.boxes[kept].tolist(), ways[kept].tolist(), strict=True)  # fmt: skip
    plain, own = tries.plain.tolist(), [len(wish.spots) for wish in wishes]
    found: list[list[Spot]] = [[] for _ in wishes]
    for label, n, cost, under, (a, b, c, d), (u, v, x, y) in rows:
        if n < plain[label]:
            found[label].append(Spot((a, b, c, d), 0, cost, under, None, n if n < own[label] else -1))
        else:
            found[label].append(Spot((a, b, c, d), 1 + (n - plain[label]) // 12, cost, under, ((u, v), (x, y))))
    return found


def _rated(
    wishes: Sequence[Wish], scene: Scene, anchors: Array, places: tuple[Tries, Array, Array], compiled: bool
) -> tuple[NDArray[np.bool_], NDArray[np.intp], NDArray[np.bool_]]:
    """Of every place whether it is free, how many lines pass under it, and whether it covers another's anchor.

    Args:
        wishes, scene: as for ``place``.
        anchors: (n, 2) of all labels.
        places: to try, their boxes with the margin, and leaders, not a number where there is none.
        compiled: by compiled code where numba is there.
    """
    tries, wide, ways = places
    good, covered = np.empty(len(wide), dtype=np.bool_), np.empty(len(wide), dtype=np.bool_)
    lines = np.zeros(len(wide), dtype=np.intp)
    if compiled:
        try:
            from lynchet.drawings.labels_compiled import rate
        except (ImportError, RuntimeError):  # no numba, or no folder it may keep its work in
            pass
        else:
            own = scene.numbers_of([wish.own for wish in wishes]), scene.owner_numbers
            rate((wide, ways, tries.starts), anchors, own, scene.flat, (good, lines, covered))
            return good, lines, covered
    for n, wish in enumerate(wishes):
        part = slice(int(tries.starts[n]), int(tries.starts[n + 1]))
        good[part], lines[part], covered[part] = _rated_one(wish, scene, (anchors, n), (wide[part], ways[part]))
    return good, lines, covered


def _rated_one(
    wish: Wish, scene: Scene, others: tuple[Array, int], places: tuple[Array, Array]
) -> tuple[NDArray[np.bool_], NDArray[np.intp], NDArray[np.bool_]]:
    """The same of one label, by the plain way."""
    (anchors, number), (wide, ways) = others, places
    lines = np.zeros(len(wide), dtype=np.intp)
    good = _free(wide, ways, (wish, scene))
    if len(scene.segments) and good.any():
        near = _near(scene.reach, wide[good]) & ~_own(wish, scene)
        lines[good] = crosses(wide[good], scene.segments[near]).sum(axis=1)
    x, y = anchors.T
    over = (x > wide[:, :1]) & (x < wide[:, 2:3]) & (y > wide[:, 1:2]) & (y < wide[:, 3:])
    over[:, number] = False
    return good, lines, over.any(axis=1)


def _own(wish: Wish, scene: Scene) -> NDArray[np.bool_]:
    """Which lines a label may lie on."""
    found = np.zeros(len(scene.segments), dtype=np.bool_)
    for owner in wish.own:
        found[scene.by_owner.get(owner, [])] = True
    return found


def _near(reach: Array, boxes: Array) -> NDArray[np.bool_]:
    """Which segments, by the boxes round them, come near any of some boxes."""
    (left, top), (right, bottom) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    near = (reach[:, 0] < right) & (reach[:, 2] > left) & (reach[:, 1] < bottom) & (reach[:, 3] > top)
    return np.asarray(near, dtype=np.bool_)


def _free(wide: Array, ways: Array, given: tuple[Wish, Scene]) -> NDArray[np.bool_]:
    """Which candidates lie inside the region and meet no fixed box, with their leaders."""
    wish, scene = given
    left, top, right, bottom = scene.region
    good = (wide[:, 0] >= left) & (wide[:, 1] >= top) & (wide[:, 2] <= right) & (wide[:, 3] <= bottom)
    if not len(scene.boxes):
        return good
    fixed = scene.fixed
    apart = (fixed[None, :, 0] >= wide[:, None, 2]) | (fixed[None, :, 2] <= wide[:, None, 0])
    apart |= (fixed[None, :, 1] >= wide[:, None, 3]) | (fixed[None, :, 3] <= wide[:, None, 1])
    good &= apart.all(axis=1)
    # An anchor may lie inside a fixed box of its own (a sign); passing through another is not allowed.
    x, y = wish.anchor
    own = (fixed[:, 0] <= x) & (x <= fixed[:, 2]) & (fixed[:, 1] <= y) & (y <= fixed[:, 3])
    asked = np.flatnonzero(good & ~np.isnan(ways[:, 0]))
    if len(asked) and not own.all():
        good[asked] = ~crosses(fixed[~own], ways[asked]).any(axis=0)
    return good


class _Taken:
    """The places given so far."""

    def __init__(self) -> None:
        self.spots: dict[str, Spot] = {}

    def in_the_way(self, spot: Spot, but: str = "") -> list[str]:
        """Ids of the labels that a place would meet, text or leader; at most two of them."""
        left, top, right, bottom = spot.reach
        found: list[str] = []
        for name, held in self.spots.items():
            a, b, c, d = held.reach
            if a < right and c > left and b < bottom and d > top and name != but and _clash(spot, held):
                found.append(name)
                if len(found) == 2:
                    break
        return found


def _clash(one: Spot, two: Spot) -> bool:
    a, b = one.box, two.box
    gap = MARGIN_MM
    if a[0] < b[2] + gap and a[2] + gap > b[0] and a[1] < b[3] + gap and a[3] + gap > b[1]:
        return True
    if one.leader and through(one.leader, b):
        return True
    if two.leader and through(two.leader, a):
        return True
    return bool(one.leader and two.leader and cut(one.leader, two.leader))


def place(wishes: list[Wish], scene: Scene, compiled: bool = True) -> dict[str, Spot | None]:
    """A place for every label, or None where it must go to the key.

    Args:
        wishes: the labels; ids are unique.
        scene: the region, what is already placed, and the lines.
        compiled: by compiled code where numba is there.
    """
    anchors = np.array([wish.anchor for wish in wishes]).reshape(-1, 2)
    tried = _candidates(wishes, scene, anchors, compiled)
    options = {wish.id: spots for wish, spots in zip(wishes, tried, strict=True)}
    taken = _Taken()
    order = sorted(wishes, key=lambda w: (sum(s.cost < 1.0 for s in options[w.id]), w.priority, w.id))
    for wish in order:
        free = next((spot for spot in options[wish.id] if not taken.in_the_way(spot)), None)
        if free is not None:
            taken.spots[wish.id] = free
    for _ in range(_ROUNDS):
        if not _improve(options, taken):
            break
    return {wish.id: taken.spots.get(wish.id) for wish in wishes}


def _cost(taken: _Taken, name: str) -> float:
    held = taken.spots.get(name)
    return held.cost if held else DROP_COST


def _improve(options: dict[str, list[Spot]], taken: _Taken) -> bool:
    """One round over the labels that stand badly, worst first; True if anything moved."""
    changed = False
    poor = sorted((name for name in options if _cost(taken, name) > 0.3), key=lambda n: (-_cost(taken, n), n))
    for name in poor:
        now = _cost(taken, name)
        for spot in options[name]:
            if spot.cost >= now - 1e-9:
                break
            blockers = taken.in_the_way(spot, but=name)
            if not blockers:
                taken.spots[name] = spot
                changed = True
                break
            if len(blockers) == 1 and _eject(options, taken, name, (spot, blockers[0], now - spot.cost)):
                changed = True
                break
    return changed


def _eject(options: dict[str, list[Spot]], taken: _Taken, name: str, move: tuple[Spot, str, float]) -> bool:
    """Give a held place to a label if its holder can move for less than the gain."""
    spot, holder, gain = move
    before, mine = taken.spots.get(holder), taken.spots.get(name)
    assert before is not None
    taken.spots[name] = spot
    for other in options[holder]:
        if other.cost - before.cost >= gain - 1e-9:
            break
        if not taken.in_the_way(other, but=holder):
            taken.spots[holder] = other
            return True
    if mine is None:
        del taken.spots[name]
    else:
        taken.spots[name] = mine
    return False
