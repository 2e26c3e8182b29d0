"""Best value that a stick can hold: one pass that serves every room up to the largest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lynchet.timber.values import Array

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Fills:
    """Loads that nothing lighter outdoes, by rising weight and value, with what they hold."""

    weight: Ints
    value: Array
    state: Ints
    """Where each load ends in the history below."""
    parent: Ints
    item: Ints
    times: Ints

    def best(self, room: int) -> int:
        """Index of the best load within a room."""
        return int(np.searchsorted(self.weight, room, side="right")) - 1

    def items(self, index: int) -> Counter[int]:
        """Item numbers of a load and how many of each."""
        held: Counter[int] = Counter()
        at = int(self.state[index])
        while at > 0:
            held[int(self.item[at])] += int(self.times[at])
            at = int(self.parent[at])
        return held


def fills(weights: Sequence[int], values: Sequence[float], limits: Sequence[int], room: int) -> Fills:
    """All loads worth considering (dominance lists of Nemhauser and Ullmann, 1969).

    Args:
        weights: whole, above 0.
        values: items of no value are left out.
        limits: most of each item.
        room: largest weight of a load.
    """
    weight, value, state = np.zeros(1, np.int64), np.zeros(1), np.zeros(1, np.int64)
    history: list[tuple[Ints, Ints, Ints]] = [(np.zeros(1, np.int64),) * 3]
    known = 1
    worth = [i for i in range(len(weights)) if values[i] > 1e-12 and weights[i] <= room]
    for item in sorted(worth, key=lambda i: -values[i] / weights[i]):
        for times in _parts(min(limits[item], room // weights[item])):
            fits = int(np.searchsorted(weight, room - times * weights[item], side="right"))
            more = np.arange(known, known + fits, dtype=np.int64)
            history.append((state[:fits], np.full(fits, item), np.full(fits, times)))
            known += fits
            all_weight = np.concatenate([weight, weight[:fits] + times * weights[item]])
            all_value = np.concatenate([value, value[:fits] + times * values[item]])
            all_state = np.concatenate([state, more])
            order = np.lexsort((-all_value, all_weight))
            all_value = all_value[order]
            better = np.empty(len(order), bool)
            better[0] = True
            better[1:] = all_value[1:] > np.maximum.accumulate(all_value)[:-1] + 1e-12
            weight, value, state = all_weight[order][better], all_value[better], all_state[order][better]
    parent, items, many = (np.concatenate(part) for part in zip(*history, strict=True))
    return Fills(weight, value, state, parent, items, many)


def _parts(most: int) -> list[int]:
    """Numbers of which some sum makes every count up to the most: 1, 2, 4, ..., rest."""
    parts, size = [], 1
    while most > 0:
        parts.append(min(size, most))
        most -= parts[-1]
        size *= 2
    return parts
