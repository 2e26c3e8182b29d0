"""A short high stretch does not fall alone: long sticks screwed together spread its push along the wall.

The forces on every joint are averaged over a length of wall round the place, what stands within it. A wall that is
judged so still answers for every stretch longer than that length. PRACTICE.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from lynchet.stability.checks import Table
from lynchet.stability.gravity import BaseForces, overturning_factor_of, sliding_factor_of
from lynchet.stability.kinds import Array
from lynchet.stability.model import Place

WINDOW_M = 1.2
"""4 ft: two of the shortest pieces. PRACTICE."""


def spread(table: Table, places: Sequence[Place]) -> Table:
    """The table with every row's forces and helps averaged over the window round its place.

    A joint goes with the joint of its neighbours that has as many courses above it, or their base.
    """
    weights = _weights(table, places)
    parts = {
        name: _mean(weights, np.asarray(value, dtype=np.float64))
        for name, value in (
            ("vertical", table.forces.vertical), ("horizontal", table.forces.horizontal),
            ("resisting", table.forces.resisting), ("overturning", table.forces.overturning),
            ("buried_kn", table.buried_kn), ("buried_turn", table.buried_turn), ("pins_kn", table.pins_kn),
            ("screws_kn", table.screws_kn),
        )
    }  # fmt: skip
    forces = BaseForces(parts["vertical"], parts["horizontal"], parts["resisting"], parts["overturning"])
    helped = replace(forces, resisting=parts["resisting"] + parts["buried_turn"])
    more = np.maximum(parts["buried_kn"], parts["pins_kn"]) + parts["screws_kn"]
    return replace(
        table,
        forces=forces,
        buried_kn=parts["buried_kn"],
        buried_turn=parts["buried_turn"],
        pins_kn=parts["pins_kn"],
        screws_kn=parts["screws_kn"],
        sliding_bare=sliding_factor_of(forces, table.friction_deg),
        sliding=sliding_factor_of(forces, table.friction_deg, more),
        overturning_bare=overturning_factor_of(forces),
        overturning=overturning_factor_of(helped),
    )


def _mean(weights: list[tuple[Array, Array]], value: Array) -> Array:
    return np.array([float(np.dot(share, value[rows.astype(np.intp)])) for rows, share in weights])


def _weights(table: Table, places: Sequence[Place]) -> list[tuple[Array, Array]]:
    """For every row, the rows that count in its place and their shares (sum 1)."""
    rows_of = {
        (int(place), int(case), int(joint)): row
        for row, (place, case, joint) in enumerate(zip(table.place, table.case, table.joint, strict=True))
    }
    stretches = _stretches(places)
    near: dict[int, list[tuple[int, float]]] = {
        number: _near(places, stretches, number) for number in range(len(places))
    }
    found = []
    for place, case, joint in zip(table.place, table.case, table.joint, strict=True):
        above = places[place].courses - joint
        rows, shares = [], []
        for other, length in near[int(place)]:
            row = rows_of.get((other, int(case), max(places[other].courses - int(above), 0)))
            if row is not None:
                rows.append(row)
                shares.append(length)
        total = sum(shares)
        if total <= 1e-9:
            rows, shares, total = [rows_of[int(place), int(case), int(joint)]], [1.0], 1.0
        found.append((np.array(rows, dtype=np.float64), np.array(shares) / total))
    return found


def _stretches(places: Sequence[Place]) -> dict[tuple[str, int, int], list[int]]:
    found: dict[tuple[str, int, int], list[int]] = {}
    for number, place in enumerate(places):
        found.setdefault((place.leg, place.held, place.stretch), []).append(number)
    return found


def _near(
    places: Sequence[Place], stretches: dict[tuple[str, int, int], list[int]], number: int
) -> list[tuple[int, float]]:
    """Places on the same wall with the length of wall inside the window that each stands for."""
    mine = places[number]
    low, high = mine.station_m - WINDOW_M / 2.0, mine.station_m + WINDOW_M / 2.0
    found = []
    for (leg, held, _), numbers in stretches.items():
        if leg != mine.leg or held != mine.held:
            continue
        start = min(places[n].station_m for n in numbers)
        end = max(places[n].station_m for n in numbers)
        overlap = min(end, high) - max(start, low)
        if overlap <= 0:
            continue
        for n in numbers:
            share = 1.0 / len(numbers)
            if len(numbers) == 2 and end > start:  # levels are straight: weigh each end by where the overlap lies
                middle = 0.5 * (min(end, high) + max(start, low))
                along = (middle - start) / (end - start)
                share = along if places[n].station_m == end else 1.0 - along
            found.append((n, overlap * share))
    return found
