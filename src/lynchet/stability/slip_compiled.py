"""The slices' formulas compiled by numba, circle by circle: the quick twin of ``slip_slices``.

Imported only where many circles are tried; needs numba. No sine or root is taken that can be carried along: this is the
inner loop of every search.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any

import numpy as np
from numba import njit

from lynchet.stability import slices
from lynchet.stability.kinds import SLACK, Array
from lynchet.stability.slices import ROUNDS, SETTLED, UNTRIED, OrdinaryForm
from lynchet.stability.slip_arcs import Arcs, crossing_points
from lynchet.stability.slip_section import DEEP_M, Soil
from lynchet.stability.slip_slices import IDLE, THIN, Method

_total = njit(slices.normal_total, cache=True, fastmath=True, error_model="numpy")
_buoyant = njit(slices.normal_buoyant, cache=True, fastmath=True, error_model="numpy")
_held = njit(slices.held_on_base, cache=True, fastmath=True, error_model="numpy")
_top = njit(slices.bishop_top, cache=True, fastmath=True, error_model="numpy")
_m = njit(slices.bishop_m, cache=True, fastmath=True, error_model="numpy")
_next = njit(slices.next_try, cache=True, fastmath=True, error_model="numpy")
_crossing = njit(crossing_points, cache=True, error_model="numpy")

_SHARE_FROM = 1000
"""Circles that make a thread worth its start."""
_NONE = -1.0
"""Stands for "no solution" inside: this arithmetic knows no NaN."""


@njit(cache=True, error_model="numpy")
def _add_crossings(soil: Any, line: Any, lie: Any, circle: Any, edges: Any) -> Any:
    """Put the x values where the circle crosses a line after those in ``edges`` (first entry: how many there are)."""
    (x, y, radius), (slope, cosine), (low, high) = circle, lie, (edges[1], edges[-1])
    used, share = int(edges[0]), 1.0 / radius
    for g in range(len(slope)):
        x0, x1 = soil.x[g], soil.x[g + 1]
        away = (y - line[g] + slope[g] * (x0 - x)) * cosine[g] * share
        if abs(away) > 1.0 or x1 <= low or x0 >= high:
            continue
        for sine, depth in _crossing(away, slope[g] * cosine[g], cosine[g]):
            at = x + radius * sine
            if low < at < high and x0 - SLACK <= at <= x1 + SLACK and depth >= -SLACK:
                used += 1
                edges[used] = at
    edges[0] = used


@njit(cache=True, error_model="numpy")
def _add_even(circle: Any, start: float, end: float, count: int, edges: Any) -> Any:
    """Edges of slices of equal angle, rising; the right end once more in the last entry.

    The sines of equal steps follow from those before, s'' = 2 cos(step) s' - s: four rows of every fourth sine run side
    by side.
    """
    x, _, radius = circle
    step = (end - start) / count
    one = np.cos(step)
    twice, four = 2.0 * one, 2.0 * (2.0 * (2.0 * one * one - 1.0) ** 2 - 1.0)
    d, e = np.sin(start - step), np.sin(start)
    c = twice * d - e
    b = twice * c - d
    a = twice * b - c
    f = twice * e - d
    g = twice * f - e
    h = twice * g - f
    i = 1
    while i + 3 <= count:
        edges[i], edges[i + 1] = x + radius * e, x + radius * f
        edges[i + 2], edges[i + 3] = x + radius * g, x + radius * h
        a, b, c, d, e, f, g, h = e, f, g, h, four * e - a, four * f - b, four * g - c, four * h - d
        i += 4
    while i <= count:
        edges[i] = x + radius * e
        e, f, g = f, g, h
        i += 1
    edges[count + 1] = edges[-1] = x + radius * np.sin(end)
    edges[0] = count + 1


@njit(cache=True, error_model="numpy")
def _add_bends(soil: Any, lies: Any, circle: Any, edges: Any) -> Any:
    """Edges at the bends of the section and where the circle crosses layers and water; all edges rising."""
    count = int(edges[0])
    low, high = edges[1], edges[-1]
    slopes, cosines = lies
    for bend in soil.x:
        if low < bend < high:
            edges[0] += 1
            edges[int(edges[0])] = bend
    for line in range(1, len(soil.lines)):
        if soil.lines[line, 0] > DEEP_M:
            _add_crossings(soil, soil.lines[line], (slopes[line], cosines[line]), circle, edges)
    if soil.water[0] > DEEP_M:
        _add_crossings(soil, soil.water, (slopes[-1], cosines[-1]), circle, edges)
    for i in range(count + 1, int(edges[0]) + 1):  # few are out of place: put each where it belongs
        value, j = edges[i], i - 1
        while j >= 1 and edges[j] > value:
            edges[j + 1] = edges[j]
            j -= 1
        edges[j + 1] = value


@njit(cache=True, fastmath=True, error_model="numpy")
def _shape(circle: Any, uphill: float, edges: Any, table: Any) -> Any:
    """Width, base length, sine, cosine and middle of every slice, in passes that can run side by side."""
    x, y, radius = circle
    count = int(edges[0]) - 1
    at_x, at_y = edges[1 : count + 2], table[7, : count + 1]
    for i in range(count + 1):
        at_y[i] = y - np.sqrt(max(radius * radius - (at_x[i] - x) ** 2, 0.0))
    width, length, sine, cosine = table[0, :count], table[1, :count], table[2, :count], table[3, :count]
    for i in range(count):
        width[i] = at_x[i + 1] - at_x[i]
    for i in range(count):
        sine[i] = at_y[i + 1] - at_y[i]
    for i in range(count):
        length[i] = np.sqrt(width[i] * width[i] + sine[i] * sine[i])
    for i in range(count):
        share = 1.0 / (length[i] + 1e-300)
        sine[i] *= share * uphill
        cosine[i] = width[i] * share
    middle_x, middle_y = table[5, :count], table[6, :count]
    for i in range(count):
        middle_x[i] = 0.5 * (at_x[i] + at_x[i + 1])
    for i in range(count):
        middle_y[i] = 0.5 * (at_y[i] + at_y[i + 1])
    for i in range(count):  # the arc over the middle says which layer a base is in, not its chord
        at_y[i] = y - np.sqrt(max(radius * radius - (middle_x[i] - x) ** 2, 0.0))
    thin = THIN * radius
    for i in range(count):  # slices without width count nothing
        if table[0, i] <= thin:
            table[0, i], table[1, i], table[2, i], table[3, i] = 0.0, 0.0, 0.0, 1.0
    return count


@njit(cache=True, fastmath=True, error_model="numpy")
def _load(soil: Any, slopes: Any, rows: int, table: Any, circle: Any) -> Any:
    """Weights, pore pressures and strengths of the slices along the section; returns what drives, the weight."""
    _, middle_y, radius = circle
    place, driving, total, last, shaken = 0, 0.0, 0.0, len(soil.weight) - 1, soil.seismic / radius
    for i in range(rows):
        x, y, arc = table[5, i], table[6, i], table[7, i]
        while place < len(soil.x) - 2 and x > soil.x[place + 1]:
            place += 1
        on = x - soil.x[place]
        above = soil.lines[0, place] + slopes[0, place] * on
        height, load, layer = above - y, 0.0, 0
        for k in range(last + 1):
            base = soil.lines[k + 1, place] + slopes[k + 1, place] * on
            load += soil.weight[k] * max(above - max(base, y), 0.0)
            above = base
            if base <= arc + SLACK:
                break
            layer = min(k + 1, last)
        water = soil.water[place] + slopes[-1, place] * on
        weight = load * table[0, i]
        driving += weight * (table[2, i] + shaken * (middle_y - y - 0.5 * height))
        table[4, i] = weight
        total += weight
        table[5, i] = soil.water_kn_m3 * max(water - y, 0.0) + soil.pore_ratio * load
        table[6, i], table[7, i] = soil.cohesion[layer], soil.tan_p[layer]
    return driving, total


@njit(cache=True, fastmath=True, error_model="numpy")
def _bishop(table: Any, rows: int, held: float, driving: float) -> Any:
    """Bishop's factor of one table, which is used up; ``_NONE`` where there is no solution."""
    top, turn, cosine = table[0, :rows], table[2, :rows], table[3, :rows]
    steepest = 1e30  # the 1/F at which the first m comes down to 0
    for i in range(rows):
        top[i] = _top(table[6, i], table[0, i], table[4, i], table[5, i], table[7, i])
        turn[i] *= table[7, i]
        if turn[i] < 0.0:
            steepest = min(steepest, -cosine[i] / turn[i])
    factor, before, gave, pairs = 1.0, UNTRIED, 0.0, rows // 2
    for _ in range(ROUNDS):
        share, total = 1.0 / factor, 0.0
        if share >= steepest:
            return _NONE
        for i in range(pairs):  # two slices to one division: dividing is the slow part
            one, two = _m(cosine[i], turn[i], share, 1.0), _m(cosine[i + pairs], turn[i + pairs], share, 1.0)
            total += (top[i] * two + top[i + pairs] * one) / (one * two)
        if rows > 2 * pairs:
            total += top[rows - 1] / _m(cosine[rows - 1], turn[rows - 1], share, 1.0)
        new = (total + held) / driving
        if new <= 0.0:
            return _NONE
        if abs(new - factor) < SETTLED:
            return new
        before, gave, factor = factor, new, _next(before, gave, factor, new)
    return _NONE


@njit(cache=True, fastmath=True, error_model="numpy")
def _ordinary(soil: Any, table: Any, rows: int, held: float, total_form: bool) -> Any:
    """What all bases of one table hold by the ordinary method."""
    for i in range(rows):
        width, length, weight, pore, cosine = table[0, i], table[1, i], table[4, i], table[5, i], table[3, i]
        if total_form:
            normal = _total(weight, pore, width, length, cosine)
        else:
            normal = _buoyant(weight, pore, width, length, cosine)
        normal -= soil.seismic * weight * table[2, i]
        held += _held(table[6, i], length, normal, table[7, i])
    return held


@njit(cache=True, error_model="numpy")
def _lies(soil: Any) -> Any:
    """Slopes of ground, bases and, last, the water between the bends, and the cosines of their slope angles."""
    lines, pieces = len(soil.lines), len(soil.x) - 1
    found = np.empty((lines + 1, pieces))
    for g in range(pieces):
        run = soil.x[g + 1] - soil.x[g]
        for k in range(lines):
            found[k, g] = (soil.lines[k, g + 1] - soil.lines[k, g]) / run
        found[lines, g] = (soil.water[g + 1] - soil.water[g]) / run
    return found, 1.0 / np.sqrt(1.0 + found * found)


@njit(cache=True, error_model="numpy", nogil=True)
def _all(soil: Any, arcs: Any, which: int, count: int, exact: bool) -> Any:
    """Factors of all circles; ``which`` is 0 for Bishop, 1 ordinary buoyant, 2 ordinary total."""
    room = count + 4 + len(soil.x) + 2 * len(soil.x) * len(soil.lines)
    edges, table = np.empty(room), np.empty((8, room))
    found = np.full(len(arcs.x), np.nan)
    lies = _lies(soil)
    for n in range(len(arcs.x)):
        if not arcs.end[n] > arcs.start[n]:
            continue
        circle = (arcs.x[n], arcs.y[n], arcs.radius[n])
        _add_even(circle, arcs.start[n], arcs.end[n], count, edges)
        if exact:
            _add_bends(soil, lies, circle, edges)
        rows = _shape(circle, arcs.uphill[n], edges, table)
        driving, weight = _load(soil, lies[0], rows, table, circle)
        driving += arcs.driven[n]
        if not driving > IDLE * weight:
            continue
        if which == 0:
            value = _bishop(table, rows, arcs.held[n], driving)
            found[n] = np.nan if value == _NONE else value
        else:
            found[n] = _ordinary(soil, table, rows, arcs.held[n], which == 2) / driving
    return found


def factors_compiled(soil: Soil, arcs: Arcs, method: Method, form: OrdinaryForm, cut: tuple[int, bool]) -> Array:
    """As ``slip_slices.factors_numpy``; many circles are shared among the cores (the compiled code needs no lock)."""
    which = 0 if method == "bishop" else 2 if form == "total" else 1
    fields = Arcs(*(np.ascontiguousarray(field, dtype=np.float64) for field in arcs))
    shares = min(os.cpu_count() or 1, len(fields.x) // _SHARE_FROM)
    if shares < 2:
        return np.asarray(_all(soil, fields, which, cut[0], cut[1]))
    stops = np.linspace(0, len(fields.x), shares + 1).astype(int)
    parts = [Arcs(*(field[a:b] for field in fields)) for a, b in pairwise(stops)]
    with ThreadPoolExecutor(shares) as pool:
        return np.concatenate(list(pool.map(lambda part: _all(soil, part, which, cut[0], cut[1]), parts)))
